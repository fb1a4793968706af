package plan

import (
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// Bands without edges only ask for tests: there is nothing to dose to.
func TestOnlyBandsWithEdgesArePlanned(t *testing.T) {
	tested := tanks.Band{Analyte: chem.Magnesium, TestEvery: 7 * 24 * time.Hour}
	p := Make([]Input{input(341, []tanks.Band{calciumBand, tested, alkalinityBand}, 388, 1200, dkh(7))}, options())[0]
	if len(p.Lines) != 2 || p.Lines[0].Analyte != chem.Calcium || p.Lines[1].Analyte != chem.Alkalinity {
		t.Errorf("it plans %+v", p.Lines)
	}
}

// A result above the range of its method says nothing of the gap.
func TestABoundIsNotCorrected(t *testing.T) {
	in := input(341, []tanks.Band{calciumBand}, 388)
	e := in.Estimates[chem.Calcium]
	e.Limit = tanks.Above
	in.Estimates[chem.Calcium] = e
	if l := one(t, in, options()); l.Gap != 0 || l.Correction != 0 || l.Daily != 0 || !l.Stopped() {
		t.Errorf("of more than 388 it plans a gap of %g and %g mL", l.Gap, l.Correction)
	}
}

// Only what a line gives is recorded, with what was decided beside what was
// proposed; a person may dose what the program would not, and for no days means
// for one.
func TestRecordKeepsDecisions(t *testing.T) {
	in := input(341, []tanks.Band{calciumBand, magnesiumBand}, 480, 1320)
	opt := options()
	opt.Caution = 0.75
	p := Make([]Input{in}, opt)[0]
	if !p.Lines[0].Hold() || !p.Lines[1].Hold() {
		t.Fatalf("%+v", p.Lines)
	}
	p.Lines[0] = p.Lines[0].WithDaily(10, 0, in, opt)
	if l := p.Lines[0]; l.Daily != 10 || l.Days != 1 {
		t.Errorf("decided to dose what is too high: %g mL on %d days", l.Daily, l.Days)
	}
	record := DosingPlanOf([]SystemPlan{p}, opt, "JM")
	if len(record.Lines) != 1 || record.Person != "JM" || record.Caution != 0.75 || !record.Made.Equal(now) {
		t.Fatalf("%+v", record)
	}
	l := record.Lines[0]
	if l.System != 7 || l.Analyte != chem.Calcium || l.Product != 1 || l.Now != 480 || l.Aim != 420 || l.Computed != 0 ||
		len(l.Doses) != 1 {
		t.Errorf("%+v", l)
	}
	near(t, "after", l.After, 480+10*73.0634/341, 0.01)
}
