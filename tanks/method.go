package tanks

import (
	"strings"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/chem/seawater"
)

// MethodKind tells what sort of instrument a method uses.
type MethodKind int

// The kinds of method.
const (
	Kit MethodKind = iota + 1
	Photometer
	Meter
	Probe
	Lab
)

// MethodKinds lists the kinds in the order that lists show them.
func MethodKinds() []MethodKind { return []MethodKind{Kit, Photometer, Meter, Probe, Lab} }

// Words implements words.Worded: the kind's word.
func (k MethodKind) Words() words.Text {
	switch k {
	case Kit:
		return "kit"
	case Photometer:
		return "photometer"
	case Meter:
		return "meter"
	case Probe:
		return "probe"
	case Lab:
		return "lab"
	}
	return "no kind"
}

// String returns the word in English.
func (k MethodKind) String() string { return k.Words().String() }

// Method is how a value of one analyte is got. All numbers but Unit's are in
// the analyte's canonical unit.
type Method struct {
	ID      MethodID
	Name    string
	Kind    MethodKind
	Analyte chem.Analyte
	Unit    chem.Unit // in which it reads
	// Resolution is the smallest step it shows.
	Resolution float64
	// Accuracy is the stated ±a, taken as rectangular; AccuracyShare the stated
	// part proportional to the value (0.05 for ±5 %).
	Accuracy, AccuracyShare float64
	// Repeatability is the standard deviation of repeated tests; zero: not
	// known, half of the trueness is assumed.
	Repeatability float64
	// Detection is the limit of detection; a result below it is reported as
	// "<". Zero: none known.
	Detection float64
	// Top is the upper end of the range; zero: none known.
	Top  float64
	Note string
	// Retired methods keep their readings but are not offered.
	Retired bool
}

// Validate returns Faults of "name", "kind", "analyte", "unit", "resolution",
// "accuracy", "accuracy_share", "repeatability", "detection", "top".
func (m Method) Validate() error {
	var fs Faults
	if strings.TrimSpace(m.Name) == "" {
		fs.add("name", "The method has no name", "name it after the instrument on your shelf")
	}
	if m.Kind < Kit || m.Kind > Lab {
		fs.add("kind", "The kind of method is not chosen", "choose kit, photometer, meter, probe or lab")
	}
	info, ok := chem.Lookup(m.Analyte)
	if !ok {
		fs.add("analyte", "The analyte is not chosen", "choose one from the list")
		return fs.Err()
	}
	if !info.Accepts(m.Unit) {
		fs.add("unit", words.T("%s is not read in %q", info.Name, m.Unit), "choose one of its units")
	}
	for _, n := range []struct {
		field, what string
		v           float64
	}{
		{"resolution", "resolution", m.Resolution},
		{"accuracy", "accuracy", m.Accuracy},
		{"accuracy_share", "proportional accuracy", m.AccuracyShare},
		{"repeatability", "repeatability", m.Repeatability},
		{"detection", "limit of detection", m.Detection},
		{"top", "upper end of range", m.Top},
	} {
		if n.v < 0 || !finite(n.v) {
			fs.add(n.field, words.T("The %s is %g", n.what, n.v), "give zero (not known) or more")
		}
	}
	if m.AccuracyShare > 1 {
		fs.add("accuracy_share", words.T("A proportional accuracy of %g %% cannot be", m.AccuracyShare*100),
			"give the share of the value, such as 5 %")
	}
	if m.Top > 0 && m.Detection >= m.Top {
		fs.add("detection", "The limit of detection is not below the upper end of range", "correct one of the two")
	}
	return fs.Err()
}

// PHScale returns the scale that the method's pH is on: laboratories report on
// the total scale, what is set with buffers reads on the NBS scale.
func (m Method) PHScale() seawater.PHScale {
	if m.Kind == Lab {
		return seawater.TotalScale
	}
	return seawater.NBSScale
}
