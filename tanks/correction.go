package tanks

import (
	"strings"
	"time"

	"weirkeeper/assets/words"
)

// Correction is what a biased method's results are corrected by from a day on:
// corrected = Factor·v + Shift, in the analyte's canonical unit.
type Correction struct {
	ID     CorrectionID
	Method MethodID
	From   time.Time
	Until  time.Time // zero: it still acts
	Factor float64   // above zero; 1 leaves the value
	Shift  float64   // canonical unit
	Reason string    // what showed the bias
	Person string
	Status Status
}

// ActsAt tells whether the correction applies to a result of the instant at.
func (c Correction) ActsAt(at time.Time) bool {
	return c.Status == Live && !at.Before(c.From) && (c.Until.IsZero() || at.Before(c.Until))
}

// Correct returns the corrected value of v, both in the canonical unit.
func (c Correction) Correct(v float64) float64 { return c.Factor*v + c.Shift }

// Validate returns Faults of "method", "from", "until", "factor", "shift",
// "reason".
func (c Correction) Validate() error {
	var fs Faults
	if c.Method == 0 {
		fs.add("method", "The correction names no method", "choose one")
	}
	if c.From.IsZero() {
		fs.add("from", "The correction has no first day", "say from when it acts")
	}
	if !c.Until.IsZero() && !c.Until.After(c.From) {
		fs.add("until", "The correction ends before it begins", "correct one of the two days")
	}
	if !(c.Factor > 0) || !finite(c.Factor) {
		fs.add("factor", words.T("A factor of %g cannot be", c.Factor), "give a number above zero, 1 for none")
	}
	if !finite(c.Shift) {
		fs.add("shift", words.T("A shift of %g cannot be", c.Shift), "give a number, 0 for none")
	}
	if strings.TrimSpace(c.Reason) == "" {
		fs.add("reason", "The correction has no reason", "say what showed the bias")
	}
	return fs.Err()
}

// StandardCheck is a measurement by a method of a standard whose value is
// known. Values are in the analyte's canonical unit.
type StandardCheck struct {
	ID                  StandardCheckID
	Method              MethodID
	At                  time.Time
	Standard            string // what it is, with its batch
	Expected            float64
	ExpectedUncertainty float64 // standard uncertainty; zero: not stated
	Found               float64
	Person              string
	Note                string
	Status              Status
}

// Validate returns Faults of "method", "at", "standard", "expected", "found".
func (c StandardCheck) Validate(now time.Time) error {
	var fs Faults
	if c.Method == 0 {
		fs.add("method", "The check names no method", "choose one")
	}
	if c.At.IsZero() || c.At.After(now.Add(clockSlack)) {
		fs.add("at", "The check has no time, or one still to come", "say when it was made")
	}
	if strings.TrimSpace(c.Standard) == "" {
		fs.add("standard", "The standard is not named", "copy name and batch from its label")
	}
	if !finite(c.Expected) || !finite(c.ExpectedUncertainty) || c.ExpectedUncertainty < 0 {
		fs.add("expected", "The value of the standard is no number, or its uncertainty is negative", "copy both from its label")
	}
	if !finite(c.Found) {
		fs.add("found", "The value found is no number", "give what the method showed")
	}
	return fs.Err()
}
