package tanks

import (
	"strings"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
)

// Addition is something put into a system at a time.
type Addition struct {
	ID      AdditionID
	System  SystemID
	Product ProductID
	At      time.Time
	Amount  float64 // in the product's unit
	// Changes are the changes of concentration that the addition made, in each
	// analyte's canonical unit, computed when it was recorded from the volume
	// and the product as they were then.
	Changes []Delta
	Dose    DoseID // the planned dose it carried out; zero: none
	Person  string
	Note    string
	Status  Status
}

// Delta is a change of one analyte in its canonical unit.
type Delta struct {
	Analyte chem.Analyte
	Change  float64
}

// Validate returns Faults of "system", "product", "at", "amount".
func (a Addition) Validate(now time.Time) error {
	var fs Faults
	if a.System == 0 {
		fs.add("system", "The addition names no system", "choose one")
	}
	if a.Product == 0 {
		fs.add("product", "The addition names no product", "choose one from the shelf")
	}
	if a.At.IsZero() || a.At.After(now.Add(clockSlack)) {
		fs.add("at", "The addition has no time, or one still to come", "say when it was given")
	}
	if a.Amount <= 0 || !finite(a.Amount) {
		fs.add("amount", words.T("An addition of %g cannot be", a.Amount), "give an amount above zero")
	}
	return fs.Err()
}

// WaterChange is part of a system's water replaced by water of known
// composition.
type WaterChange struct {
	ID     WaterChangeID
	System SystemID
	At     time.Time
	Litres float64
	// Share is the part of the net volume replaced, above 0 to 1, as it was
	// when recorded.
	Share float64
	From  SystemID // the source; zero: not named
	// Water is the new water's composition, in canonical units.
	Water  []Level
	Person string
	Note   string
	Status Status
}

// Level is a value of one analyte in its canonical unit.
type Level struct {
	Analyte chem.Analyte
	Value   float64
}

// Validate returns Faults of "system", "at", "litres".
func (w WaterChange) Validate(now time.Time) error {
	var fs Faults
	if w.System == 0 {
		fs.add("system", "The water change names no system", "choose one")
	}
	if w.At.IsZero() || w.At.After(now.Add(clockSlack)) {
		fs.add("at", "The water change has no time, or one still to come", "say when it was done")
	}
	if w.Litres <= 0 || !finite(w.Litres) {
		fs.add("litres", words.T("A change of %g L cannot be", w.Litres), "give litres above zero")
	}
	if w.Share <= 0 || w.Share > 1 || !finite(w.Share) {
		fs.add("litres", "The change is more than the system holds, or its volume is unknown", "check the litres and the net volume")
	}
	return fs.Err()
}

// Observation is a dated note on a system.
type Observation struct {
	ID     NoteID
	System SystemID
	At     time.Time
	Text   string
	Person string
	Status Status
}

// Validate returns Faults of "system", "at", "text".
func (o Observation) Validate(now time.Time) error {
	var fs Faults
	if o.System == 0 {
		fs.add("system", "The note names no system", "choose one")
	}
	if o.At.IsZero() || o.At.After(now.Add(clockSlack)) {
		fs.add("at", "The note has no time, or one still to come", "say when it was seen")
	}
	if strings.TrimSpace(o.Text) == "" {
		fs.add("text", "The note is empty", "write what you saw")
	}
	return fs.Err()
}

// Amendment records that an entry was changed or withdrawn, and what stood
// there before.
type Amendment struct {
	Entity string // "reading", "addition", ...
	ID     int64
	At     time.Time
	Person string
	Reason words.Text
	Before string // the values before, as JSON
}

// NewWater is water that was made for a water change.
type NewWater struct {
	Name   string  // of its recipe; empty: it has none
	Litres float64 // that were made
	Levels []Level // what it holds
}
