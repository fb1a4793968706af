package tanks

import (
	"errors"

	"weirkeeper/assets/words"
)

// Fault is one thing wrong with a value that a person gave: where it is, what
// is wrong, and what to do about it.
type Fault struct {
	Field   string     // the field's stable name, such as "code" or "low"
	Problem words.Text // what is wrong, a sentence without full stop
	Remedy  words.Text // what to do
}

// Words implements words.Worded: what is wrong and what to do in one line.
func (f Fault) Words() words.Text {
	if f.Remedy == "" {
		return f.Problem
	}
	return words.T("%s: %s", f.Problem, f.Remedy)
}

// Error says it in English.
func (f Fault) Error() string { return f.Words().String() }

// Faults are all the things wrong with a value. A nil Faults is valid.
type Faults []Fault

// Words implements words.Worded: the faults in one line each.
func (fs Faults) Words() words.Text {
	lines := make([]words.Text, len(fs))
	for i, f := range fs {
		lines[i] = f.Words()
	}
	return words.Join(lines, "\n")
}

// Error says them in English.
func (fs Faults) Error() string { return fs.Words().String() }

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

func (fs *Faults) add(field string, problem, remedy words.Text) {
	*fs = append(*fs, Fault{Field: field, Problem: problem, Remedy: remedy})
}
