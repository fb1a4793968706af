package tanks

import (
	"strings"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
)

// Limit tells that a result is only a bound.
type Limit int

// The limits. Below: the value is less than Reading.Value ("<0.02"); Above:
// more ("> 100").
const (
	Exact Limit = iota
	Below
	Above
)

// Status tells whether an entry counts.
type Status int

// The statuses. A withdrawn entry stays in the record with its reason.
const (
	Live Status = iota
	Withdrawn
)

// Reading is one value of one analyte in one system at one time by one method.
type Reading struct {
	ID      ReadingID
	System  SystemID
	Analyte chem.Analyte
	At      time.Time // UTC instant when the water was taken
	Value   float64   // canonical unit; with a Limit, the bound
	Limit   Limit
	// Uncertainty is the standard uncertainty that came with the value itself,
	// canonical unit; zero: the method's holds.
	Uncertainty float64
	Typed       string    // as typed: "8,3", "<0.02"
	Unit        chem.Unit // of Typed
	Method      MethodID  // zero: not named
	Sample      SampleID  // zero: not from a lab sample
	Person      string
	Note        string
	Status      Status
	Entered     time.Time // when it was written down
}

// clockSlack is how far ahead of the clock a reading may lie before it is
// refused as a slip.
const clockSlack = 5 * time.Minute

// Validate returns Faults of "system", "analyte", "at", "value", "unit",
// "uncertainty", "person", "note", nil when r can be saved at the instant now.
func (r Reading) Validate(now time.Time) error {
	var fs Faults
	if r.System == 0 {
		fs.add("system", "The reading names no system", "choose the system the water came from")
	}
	if r.At.IsZero() {
		fs.add("at", "The reading has no time", "give day and time")
	} else if r.At.After(now.Add(clockSlack)) {
		fs.add("at", words.T("The reading is dated %s, which is still to come", r.At.Format("2006-01-02 15:04")),
			"correct the date or the computer's clock")
	}
	info, ok := chem.Lookup(r.Analyte)
	if !ok {
		fs.add("analyte", "The analyte is not in the catalogue", "choose one from the list")
		return fs.Err()
	}
	if r.Unit != "" && !info.Accepts(r.Unit) {
		fs.add("unit", words.T("%s is not given in %q", info.Name, r.Unit), "choose one of its units")
	}
	unit := info.Unit
	if info.Accepts(r.Unit) && !chem.NeedsWater(r.Analyte, r.Unit) { // a reading does not know its water
		unit = r.Unit
	}
	if _, err := chem.Canonical(r.Analyte, r.Value, info.Unit, chem.Water{}); err != nil {
		fs = append(fs, cannotBe(r.Analyte, chem.Format(r.Analyte, r.Value, unit, chem.Water{}), unit, chem.Water{}))
	} else if f, bad := noBound(r.Value, r.Limit); bad {
		fs = append(fs, f)
	}
	fs.text(CheckName("person", r.Person))
	fs.text(CheckName("value", r.Typed))
	fs.text(CheckNote("note", r.Note))
	if !(r.Uncertainty >= 0) || !finite(r.Uncertainty) {
		fs.add("uncertainty", words.T("An uncertainty of %g cannot be", r.Uncertainty), "give zero (the method's holds) or more")
	}
	return fs.Err()
}

// Sample is water sent away to a lab.
type Sample struct {
	ID       SampleID
	System   SystemID
	Code     string // the kit's code
	Lab      string
	Drawn    time.Time
	Sent     time.Time // zero: not sent yet
	Expected time.Time // zero: not known
	Received time.Time // zero: not back yet
	Note     string
}

// Validate returns Faults of "system", "code", "drawn", "sent", "received".
func (s Sample) Validate(now time.Time) error {
	var fs Faults
	if s.System == 0 {
		fs.add("system", "The sample names no system", "choose the system it was drawn from")
	}
	if strings.TrimSpace(s.Code) == "" {
		fs.add("code", "The sample has no code", "copy the code from the kit")
	}
	if s.Drawn.IsZero() {
		fs.add("drawn", "The sample has no day", "say when it was drawn")
	} else if s.Drawn.After(now.Add(clockSlack)) {
		fs.add("drawn", "The sample is drawn in the future", "correct the day")
	}
	if !s.Sent.IsZero() && s.Sent.Before(s.Drawn) {
		fs.add("sent", "The sample was sent before it was drawn", "correct one of the two days")
	}
	if !s.Received.IsZero() && s.Received.Before(s.Drawn) {
		fs.add("received", "The result is older than the sample", "correct one of the two days")
	}
	return fs.Err()
}
