package tanks

import (
	"fmt"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
)

// DosingPlan is a committed dosing decision for many systems.
type DosingPlan struct {
	ID      PlanID
	Made    time.Time
	Caution float64 // the share of the computed daily amount to begin with, above 0 to 1
	Person  string
	Note    string
	Lines   []PlanLine
}

// PlanLine is the decision for one analyte of one system.
type PlanLine struct {
	ID      LineID
	System  SystemID
	Analyte chem.Analyte
	Product ProductID
	// Now, Aim and After are values of the analyte in its canonical unit: the
	// estimate when the plan was made, the aim, and what the doses lead to.
	Now, Aim, After float64
	// Computed is the daily amount that the program proposed, in the product's
	// unit; the doses hold what the person decided.
	Computed float64
	// How is the arithmetic, one step a line, as it was shown.
	How    words.Text
	Retest time.Time // zero: none set
	Doses  []Dose
}

// Dose is one amount of a line, due at a time.
type Dose struct {
	ID     DoseID
	Due    time.Time
	Amount float64   // planned, in the product's unit
	Done   time.Time // zero: not given yet
	Given  float64   // what was really given
	// Dropped doses are neither given nor waiting; Reason says why.
	Dropped bool
	Reason  string
}

// Waiting tells whether the dose is still to be given.
func (d Dose) Waiting() bool { return d.Done.IsZero() && !d.Dropped }

// RunItem is a waiting or given dose with what the run sheet needs beside it.
type RunItem struct {
	Dose    Dose
	Plan    PlanID
	Line    LineID
	System  SystemID
	Analyte chem.Analyte
	Product ProductID
}

// Validate returns Faults of "caution", "lines" and, for line N and dose M,
// "lines.N.system", "lines.N.product", "lines.N.doses.M.amount", ".due".
func (p DosingPlan) Validate() error {
	var fs Faults
	if !(p.Caution > 0 && p.Caution <= 1) {
		fs.add("caution", words.T("The part of the computed dose is %g %%", p.Caution*100),
			"choose more than 0 and up to 100 %")
	}
	if len(p.Lines) == 0 {
		fs.add("lines", "The plan doses nothing", "choose a system that something is to be given to")
	}
	for i, l := range p.Lines {
		at := fmt.Sprintf("lines.%d.", i)
		if l.System == 0 {
			fs.add(at+"system", "A dose names no system", "choose one")
		}
		if l.Product == 0 {
			fs.add(at+"product", "A dose names no product", "choose one from the shelf")
		}
		for j, d := range l.Doses {
			if d.Amount <= 0 || !finite(d.Amount) {
				fs.add(fmt.Sprintf("%sdoses.%d.amount", at, j), words.T("A dose of %g cannot be", d.Amount),
					"give an amount above zero, or take the dose out")
			}
			if d.Due.IsZero() {
				fs.add(fmt.Sprintf("%sdoses.%d.due", at, j), "The dose has no day", "give one")
			}
		}
	}
	return fs.Err()
}
