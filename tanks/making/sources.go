package making

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// closeShare is how near to a goal is near enough, as a share of it, and closeLeast
// where the goal is nothing, in the canonical unit.
const (
	closeShare = 0.01
	closeLeast = 0.005
)

// closeTo is how near to a goal is near enough: a share of it, and half of the last
// decimal that is written.
func (o Order) closeTo(a chem.Analyte, v float64) float64 {
	info, _ := chem.Lookup(a)
	u := o.Unit(a)
	half, err := chem.ConvertDelta(a, v, 0.5*math.Pow10(-chem.Decimals(a, u)), u, info.Unit, chem.Water{})
	if err != nil {
		half = 0
	}
	return max(closeShare*math.Abs(v), closeLeast, math.Abs(half))
}

// share returns the litres of each source in a batch of litres, one of n alike; a
// source of which none goes in has no portion.
func (o Order) share(litres float64, n int) ([]Portion, error) {
	if len(o.Sources) == 0 {
		return nil, tanks.Faults{{Field: FieldSources, Problem: "No water is chosen", Remedy: "add a source"}}
	}
	given := make([]float64, len(o.Sources))
	var autos []int
	var sum float64
	for i, s := range o.Sources {
		switch {
		case s.Auto:
			autos = append(autos, i)
		case !(s.Litres >= 0):
			return nil, tanks.Faults{{Field: fmt.Sprintf("source.%d", i), Problem: words.T("%g L cannot be", s.Litres),
				Remedy: "give zero or more, or leave it empty"}}
		default:
			given[i] = s.Litres / float64(n)
			sum += given[i]
		}
	}
	rest := litres - sum
	const rounding = 1e-6
	switch {
	case rest < -rounding*litres, len(autos) == 0 && rest > rounding*litres:
		return nil, tanks.Faults{{Field: FieldSources, Problem: words.T("The waters are %s together and the batch takes %s",
			o.litres(sum*float64(n)), o.litres(litres*float64(n))), Remedy: "change one of them, or leave one empty: it fills up"}}
	case len(autos) == 1:
		given[autos[0]] = max(0, rest)
	case len(autos) > 1 && rest > rounding*litres:
		if err := o.fill(given, autos, rest, litres); err != nil {
			return nil, err
		}
	}
	var out []Portion
	for i, l := range given {
		if l > 0 {
			out = append(out, Portion{i, l})
		}
	}
	return out, nil
}

// fill shares the rest among sources as near to the goals as they allow; where
// minerals are to be added it goes above none of them, as minerals take nothing away.
func (o Order) fill(given []float64, autos []int, rest, litres float64) error {
	var goals []chem.Goal
	for _, g := range o.Goals {
		if !o.knownToAll(g.Analyte) || g.Analyte == chem.Temperature || g.AtMost {
			continue
		}
		left := g.Value * litres
		for i, l := range given {
			left -= l * o.Sources[i].analysis()[g.Analyte]
		}
		goals = append(goals, chem.Goal{Analyte: g.Analyte, Value: max(0, left/rest), Within: o.closeTo(g.Analyte, g.Value)})
	}
	if len(goals) == 0 {
		return tanks.Faults{{Field: FieldSources, Problem: "How much of each water is not said, and no goal tells it",
			Remedy: "give the litres of all but one, or a goal that each of them was tested for"}}
	}
	sources := make([]chem.Source, len(autos))
	for k, i := range autos {
		sources[k] = chem.Source{Water: o.Sources[i].analysis(), Purified: o.Sources[i].Purified}
	}
	b, err := chem.BlendTo(rest, goals, sources...)
	if err != nil {
		return wrong(FieldSources, err)
	}
	for k, i := range autos {
		given[i] = b.Litres[k]
	}
	o.thin(given, autos, litres)
	return nil
}

func (o Order) knownToAll(a chem.Analyte) bool {
	return !slices.ContainsFunc(o.Sources, func(s Source) bool {
		_, known := s.analysis()[a]
		return !known && !s.Purified
	})
}

// capped tells what a goal lets the waters bring at most: a goal at most always,
// another one where minerals or salt are to close the rest.
func (o Order) capped(g Goal) bool {
	if g.Analyte == chem.Temperature || !o.knownToAll(g.Analyte) {
		return false
	}
	return g.AtMost || slices.ContainsFunc(o.Products, func(p tanks.Product) bool { return !TakesChlorine(p.Contents) })
}

// caps are the goals, and calcium and magnesium as their ratio shares the hardness
// that is asked for.
func (o Order) caps() []Goal {
	hardness, asked := o.goal(chem.Hardness)
	if !asked || o.CalciumToMagnesium <= 0 {
		return o.Goals
	}
	calcium, _ := chem.AtomicWeight("Ca")
	magnesium, _ := chem.AtomicWeight("Mg")
	mg := hardness.Value / (o.CalciumToMagnesium/calcium + 1/magnesium)
	out := slices.Clone(o.Goals)
	for _, g := range []Goal{{Analyte: chem.Calcium, Value: o.CalciumToMagnesium * mg}, {Analyte: chem.Magnesium, Value: mg}} {
		if _, given := o.goal(g.Analyte); !given {
			out = append(out, g)
		}
	}
	return out
}

// thin takes purified water in place of the others until no cap is broken.
func (o Order) thin(given []float64, autos []int, litres float64) {
	pure := slices.IndexFunc(autos, func(i int) bool { return o.Sources[i].Purified })
	if pure < 0 {
		return
	}
	keep := 1.0 // share of the other waters that stays
	for _, g := range o.caps() {
		if !o.capped(g) {
			continue
		}
		var fixed, moving, moved float64
		for i, l := range given {
			c := o.Sources[i].analysis()[g.Analyte]
			if slices.Contains(autos, i) && !o.Sources[i].Purified {
				moving += l * c
				moved += l
			} else {
				fixed += l * c
			}
		}
		gain := moving - moved*o.Sources[autos[pure]].analysis()[g.Analyte]
		over := fixed + moving - g.Value*litres
		if over > 0 && gain > 0 {
			keep = min(keep, max(0, 1-over/gain))
		}
	}
	for _, i := range autos {
		if !o.Sources[i].Purified {
			given[autos[pure]] += given[i] * (1 - keep)
			given[i] *= keep
		}
	}
}

// countAsNone counts what is asked for as nothing where all of the water is purified
// and nobody measured it.
func (o Order) countAsNone(m *Made) {
	if slices.ContainsFunc(m.Portions, func(p Portion) bool { return !o.Sources[p.Source].Purified }) {
		return
	}
	for _, g := range o.Goals {
		if _, known := m.Blend.Water[g.Analyte]; !known && g.Analyte.Additive() && g.Analyte != chem.Salinity {
			m.Blend.Water[g.Analyte] = 0
			m.Unmeasured = append(m.Unmeasured, g.Analyte)
		}
	}
}

// Ceiling is how much of a source may go into a batch before it breaks a goal, the
// other waters making room in their proportion.
type Ceiling struct {
	Source  int
	Litres  float64
	Analyte chem.Analyte // that stops it
	// Next is what would stop it then, at NextLitres; zero: nothing would.
	Next       chem.Analyte
	NextLitres float64
}

// ceilings are those of the sources that are in the batch beside another one.
func (o Order) ceilings(in []Portion, litres float64) []Ceiling {
	if len(in) < 2 {
		return nil
	}
	var out []Ceiling
	for _, p := range in {
		if o.Sources[p.Source].Purified {
			continue
		}
		stops := o.stops(p, in, litres)
		if len(stops) == 0 {
			continue
		}
		c := stops[0]
		if len(stops) > 1 {
			c.Next, c.NextLitres = stops[1].Analyte, stops[1].Litres
		}
		out = append(out, c)
	}
	return out
}

// stops are the goals that stop a source below all the batch, the first first.
func (o Order) stops(p Portion, in []Portion, litres float64) []Ceiling {
	var stops []Ceiling
	for _, g := range o.caps() {
		if g.Analyte == chem.Temperature || !o.knownToAll(g.Analyte) {
			continue
		}
		own := o.Sources[p.Source].analysis()[g.Analyte]
		var others, sum float64
		for _, q := range in {
			if q.Source != p.Source {
				others += q.Litres * o.Sources[q.Source].analysis()[g.Analyte]
				sum += q.Litres
			}
		}
		rest := others / sum
		if own <= g.Value || rest >= own {
			continue
		}
		stops = append(stops, Ceiling{Source: p.Source, Litres: litres * min(1, max(0, (g.Value-rest)/(own-rest))), Analyte: g.Analyte})
	}
	sort.SliceStable(stops, func(i, j int) bool { return stops[i].Litres < stops[j].Litres })
	return stops
}
