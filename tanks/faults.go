package tanks

import (
	"errors"
	"strings"
)

// Fault is one thing wrong with a value that a person gave: where it is, what
// is wrong, and what to do about it.
type Fault struct {
	Field   string // the field's stable name, such as "code" or "low"
	Problem string // what is wrong, a sentence without full stop
	Remedy  string // what to do
}

// Error says what is wrong and what to do in one line.
func (f Fault) Error() string {
	if f.Remedy == "" {
		return f.Problem
	}
	return f.Problem + ": " + f.Remedy
}

// Faults are all the things wrong with a value. A nil Faults is valid.
type Faults []Fault

// Error joins the faults in one line each.
func (fs Faults) Error() string {
	lines := make([]string, len(fs))
	for i, f := range fs {
		lines[i] = f.Error()
	}
	return strings.Join(lines, "\n")
}

// Field returns the first fault of the named field.
func (fs Faults) Field(name string) (Fault, bool) {
	for _, f := range fs {
		if f.Field == name {
			return f, true
		}
	}
	return Fault{}, false
}

// Err returns fs as an error, nil when there is no fault.
func (fs Faults) Err() error {
	if len(fs) == 0 {
		return nil
	}
	return fs
}

// FaultsOf returns the faults within err, nil when it carries none.
func FaultsOf(err error) Faults {
	var fs Faults
	if errors.As(err, &fs) {
		return fs
	}
	var f Fault
	if errors.As(err, &f) {
		return Faults{f}
	}
	return nil
}

func (fs *Faults) add(field, problem, remedy string) {
	*fs = append(*fs, Fault{Field: field, Problem: problem, Remedy: remedy})
}
