package tanks

import (
	"fmt"
	"math"
	"strings"
	"time"

	"weirkeeper/assets/words"
)

// Kind tells what water a system holds.
type Kind int

// The kinds. A source is water that goes into systems: RO/DI store, mixing
// vat, tap.
const (
	Marine Kind = iota + 1
	Brackish
	Freshwater
	Source
)

// Kinds lists the kinds in the order that lists show them.
func Kinds() []Kind { return []Kind{Marine, Brackish, Freshwater, Source} }

// Words implements words.Worded: the kind's word.
func (k Kind) Words() words.Text {
	switch k {
	case Marine:
		return "marine"
	case Brackish:
		return "brackish"
	case Freshwater:
		return "freshwater"
	case Source:
		return "source"
	}
	return "no kind"
}

// String returns the word in English.
func (k Kind) String() string { return k.Words().String() }

// System is one connected body of water: tanks, sump, pipework.
type System struct {
	ID      SystemID
	Code    string // short, unique in the room regardless of case: "F3"
	Name    string
	Kind    Kind
	Place   string // where it stands; groups the lists
	Profile ProfileID
	Order   int // walking order in the room
	Tanks   []Tank
	// Stated is a net volume in litres that was measured or given rather than
	// computed; zero: use the tanks.
	Stated float64
	// StatedUncertainty is the standard uncertainty of Stated in litres.
	StatedUncertainty float64
	Invertebrates     bool // no copper here
	// Purified is a source of reverse osmosis, resin or a still: what was not measured
	// of its water counts as nothing, see [chem.Portion].
	Purified bool
	Opened   time.Time
	Closed   time.Time // zero while in use
	Note     string
}

// Tank is one vessel of a system: inside length and width, water height, all
// in centimetres, and what in it is not water.
type Tank struct {
	ID                    TankID
	Name                  string
	Length, Width, Height float64 // cm
	Displaced             float64 // litres taken up by rock, sand and equipment
}

// Litres returns the tank's water in litres: length·width·height/1000 less
// what is displaced.
func (t Tank) Litres() float64 {
	return t.Length*t.Width*t.Height/1000 - t.Displaced
}

// Volume is a net volume with where it comes from.
type Volume struct {
	Litres      float64
	Uncertainty float64    // standard uncertainty, litres
	How         words.Text // "stated", "from dimensions", "known addition", "unknown"
}

// Known tells whether there is a volume to compute with.
func (v Volume) Known() bool { return v.Litres > 0 }

// dimensionUncertainty is the relative standard uncertainty assumed for a
// volume from dimensions (common practice, no source): rulers are good to
// half a centimetre, the guess of displacement is not.
const dimensionUncertainty = 0.05

// NetVolume returns the litres of water really in the system: as stated, else
// the sum over its tanks.
func (s System) NetVolume() Volume {
	if s.Stated > 0 {
		return Volume{Litres: s.Stated, Uncertainty: s.StatedUncertainty, How: "stated"}
	}
	var sum float64
	for _, t := range s.Tanks {
		sum += t.Litres()
	}
	if len(s.Tanks) == 0 || sum <= 0 {
		return Volume{How: "unknown"}
	}
	return Volume{Litres: sum, Uncertainty: sum * dimensionUncertainty, How: "from dimensions"}
}

// Open tells whether the system is in use.
func (s System) Open() bool { return s.Closed.IsZero() }

// Label returns code and name in one line.
func (s System) Label() string { return strings.TrimSpace(s.Code + "  " + s.Name) }

// Validate returns Faults, nil when s can be saved. Fields: "code", "name",
// "kind", "purified", "stated", "closed", and "tanks.N.length", ".width", ".height",
// ".displaced" with N counted from 0.
func (s System) Validate() error {
	var fs Faults
	switch {
	case strings.TrimSpace(s.Code) == "":
		fs.add("code", "The system has no code", "give it a short one such as F3")
	case len([]rune(s.Code)) > 8 || strings.ContainsAny(s.Code, " \t\r\n"):
		fs.add("code", words.T("The code %q is too long or has a space", s.Code), "use up to 8 letters and digits")
	}
	if strings.TrimSpace(s.Name) == "" {
		fs.add("name", "The system has no name", "say what it is, such as Frag rack, north")
	}
	if s.Kind < Marine || s.Kind > Source {
		fs.add("kind", "The kind of water is not chosen", "choose marine, brackish, freshwater or source")
	}
	if s.Purified && s.Kind != Source {
		fs.add("purified", words.T("A system of %s water is no purified source", s.Kind), "clear the mark, or make it a source")
	}
	if s.Stated < 0 || !finite(s.Stated) {
		fs.add("stated", words.T("A net volume of %g L cannot be", s.Stated),
			"give litres above zero, or leave it empty to use the dimensions")
	}
	if s.StatedUncertainty < 0 || !finite(s.StatedUncertainty) {
		fs.add("stated", "The uncertainty of the volume is negative", "give litres of zero or more")
	}
	for i, t := range s.Tanks {
		t.validate(fmt.Sprintf("tanks.%d.", i), &fs)
	}
	if !s.Closed.IsZero() && s.Closed.Before(s.Opened) {
		fs.add("closed", "The system is closed before it was opened", "correct one of the two days")
	}
	return fs.Err()
}

func (t Tank) validate(prefix string, fs *Faults) {
	for _, d := range []struct {
		field string
		cm    float64
	}{{"length", t.Length}, {"width", t.Width}, {"height", t.Height}} {
		if d.cm <= 0 || !finite(d.cm) {
			fs.add(prefix+d.field, words.T("The %s of %s is %g cm", d.field, t.label(), d.cm), "give centimetres above zero")
		}
	}
	if t.Displaced < 0 || !finite(t.Displaced) {
		fs.add(prefix+"displaced", words.T("%s displaces %g L", t.label(), t.Displaced), "give litres of zero or more")
	} else if t.Length > 0 && t.Width > 0 && t.Height > 0 && t.Litres() <= 0 {
		fs.add(prefix+"displaced", words.T("%s would hold no water: %g L displaced of %.1f L", t.label(), t.Displaced,
			t.Litres()+t.Displaced), "check the dimensions (cm) and the displacement (L)")
	}
}

func (t Tank) label() words.Text {
	if t.Name == "" {
		return "the tank"
	}
	return words.Text(t.Name)
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
