package tanks

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
)

// Profile is a named set of bands and test intervals for a kind of system.
type Profile struct {
	ID     ProfileID
	Name   string
	Kind   Kind
	Source string // where the bands come from: a publication, or "common practice, no source"
	Bands  []Band
}

// Purifies tells whether the profile is for water of reverse osmosis, resin or a still:
// a source whose conductivity or dissolved solids are to stay lower than those of any
// tap (50 µS/cm, 25 mg/L: common practice, no source).
func (p Profile) Purifies() bool {
	most := map[chem.Analyte]float64{chem.Conductivity: 50, chem.TDS: 25}
	return p.Kind == Source && slices.ContainsFunc(p.Bands, func(b Band) bool {
		limit, ok := most[b.Analyte]
		return ok && b.HasEdges() && b.High <= limit
	})
}

// Band is low, aim and high of an analyte, all in its canonical unit, with the
// largest safe change a day and in one step, and how often to test. A band with
// neither edge only asks for tests.
type Band struct {
	Analyte chem.Analyte
	Low     float64
	Aim     float64
	High    float64
	// MaxRise is the largest safe change a day in the canonical unit; zero:
	// none known.
	MaxRise float64
	// MaxStep is the largest change of a single dose or water change in the
	// canonical unit; zero: none known.
	MaxStep float64
	// TestEvery is the test interval; zero: not tested by schedule.
	TestEvery time.Duration
	// AtSalinity is the practical salinity the edges hold at, for major ions;
	// zero: the value is judged as it is.
	AtSalinity float64
}

// HasEdges tells whether there is a band to judge by.
func (b Band) HasEdges() bool { return b.High > b.Low }

// freshBelow is the practical salinity below which water is fresh, by the Venice
// system of 1958 for the classification of marine waters by salinity: its ions
// are no diluted sea.
const freshBelow = 0.5

// scale is the ratio of the water's salinity to the one that the band holds at;
// 1 for a band of any salinity, for fresh water and for one that is not known.
func (b Band) scale(w chem.Water) float64 {
	psu, known := w.Salinity()
	if b.AtSalinity <= 0 || !known || psu < freshBelow {
		return 1
	}
	return psu / b.AtSalinity
}

// In returns the band as it holds in a water: edges and aim scaled by the ratio
// of the water's practical salinity to AtSalinity, since sea and brackish waters
// hold the major ions in one proportion. Fresh water, one of unknown salinity
// and a band without AtSalinity leave it as it is.
func (b Band) In(w chem.Water) Band {
	scale := b.scale(w)
	if scale == 1 {
		return b
	}
	b.Low, b.Aim, b.High = b.Low*scale, b.Aim*scale, b.High*scale
	b.AtSalinity, _ = w.Salinity()
	return b
}

// fromNothing tells whether the band begins at the least that its analyte can be,
// so that no value lies below it.
func (b Band) fromNothing() bool {
	info, ok := chem.Lookup(b.Analyte)
	return ok && b.Low <= info.Low
}

// Step returns the largest change of a single dose or water change in a kind of water,
// and where it comes from: the band's own, else the usual one, which is no more than
// the band's change a day. Zero: none is known.
func (b Band) Step(k Kind) (step float64, source words.Text) {
	if b.MaxStep > 0 {
		return b.MaxStep, "the band"
	}
	limits, known := DefaultLimits(k, b.Analyte)
	if !known {
		return 0, ""
	}
	if b.MaxRise > 0 && b.MaxRise < limits.Step {
		return b.MaxRise, "the band"
	}
	return limits.Step, limits.Source
}

// Width returns High − Low.
func (b Band) Width() float64 { return b.High - b.Low }

// Validate returns Faults of "analyte", "low", "aim", "high", "max_rise",
// "max_step", "at_salinity", "test_every", nil when b can be saved.
func (b Band) Validate() error {
	var fs Faults
	info, ok := chem.Lookup(b.Analyte)
	if !ok {
		fs.add("analyte", "The analyte is not in the catalogue", "choose one from the list")
		return fs.Err()
	}
	edges := []struct {
		field string
		v     float64
	}{{"low", b.Low}, {"aim", b.Aim}, {"high", b.High}}
	for _, e := range edges {
		if !finite(e.v) || (e.v != 0 && (e.v < info.Low || e.v > info.High)) {
			fs.add(e.field, words.T("%s of %s is %g %s, outside what can be (%g to %g)", e.field, info.Name, e.v, info.Unit, info.Low,
				info.High), "check the number and its unit")
		}
	}
	if b.Low > b.High {
		fs.add("low", words.T("Low %g is above high %g", b.Low, b.High), "swap them or correct one")
	}
	if b.Low == b.High && b.Low != 0 {
		fs.add("high", words.T("Low and high are both %g", b.Low), "leave room between them, or clear both to only ask for tests")
	}
	if b.Low <= b.High && (b.Aim < b.Low || b.Aim > b.High) {
		fs.add("aim", words.T("Aim %g lies outside low %g to high %g", b.Aim, b.Low, b.High), "choose an aim within the band")
	}
	if b.MaxRise < 0 || !finite(b.MaxRise) {
		fs.add("max_rise", "The largest safe change a day is negative", "give zero (none known) or more")
	}
	switch {
	case b.MaxStep < 0 || !finite(b.MaxStep):
		fs.add("max_step", "The largest single step is negative", "give more than zero, or leave it empty if none is known")
	case b.MaxRise > 0 && b.MaxStep > b.MaxRise:
		fs.add("max_step", "The largest single step is above the safe change a day", "give at most the change of a day")
	}
	if b.AtSalinity < 0 || !finite(b.AtSalinity) {
		fs.add("at_salinity", "The salinity that the band holds at is negative",
			"give a practical salinity, or leave it empty to judge values as they are")
	}
	if b.TestEvery < 0 {
		fs.add("test_every", "The test interval is negative", "give days above zero, or leave it empty")
	}
	return fs.Err()
}

// Validate returns the profile's Faults: "name", "kind", and those of its
// bands with the field prefixed by "bands.N.".
func (p Profile) Validate() error {
	var fs Faults
	if strings.TrimSpace(p.Name) == "" {
		fs.add("name", "The profile has no name", "name it after the systems it is for")
	}
	if p.Kind < Marine || p.Kind > Source {
		fs.add("kind", "The kind of water is not chosen", "choose marine, brackish, freshwater or source")
	}
	seen := map[chem.Analyte]bool{}
	for i, b := range p.Bands {
		for _, f := range FaultsOf(b.Validate()) {
			f.Field = fmt.Sprintf("bands.%d.%s", i, f.Field)
			fs = append(fs, f)
		}
		if seen[b.Analyte] {
			fs.add(fmt.Sprintf("bands.%d.analyte", i), words.T("%s has two bands", b.Analyte), "keep one of them")
		}
		seen[b.Analyte] = true
	}
	return fs.Err()
}

// MergeBands returns the bands that hold for a system: the profile's, each
// replaced by the system's own for the same analyte, in the profile's order,
// then the system's further ones.
func MergeBands(profile, own []Band) []Band {
	override := make(map[chem.Analyte]Band, len(own))
	for _, b := range own {
		override[b.Analyte] = b
	}
	out := make([]Band, 0, len(profile)+len(own))
	done := make(map[chem.Analyte]bool, len(profile))
	for _, b := range profile {
		if o, ok := override[b.Analyte]; ok {
			b = o
		}
		done[b.Analyte] = true
		out = append(out, b)
	}
	for _, b := range own {
		if !done[b.Analyte] {
			out = append(out, b)
		}
	}
	return out
}
