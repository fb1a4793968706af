package sums

import (
	"math"
	"strings"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
)

// blends tells whether waters mix by the analyte's levels.
func blends(a chem.Analyte) bool {
	return a.Additive() || a == chem.Salinity || a == chem.Conductivity || a == chem.Temperature
}

// twoWaters tells how much of each of two waters makes a goal.
func twoWaters(s *session.Session, g Given) {
	b := newSheet(s)
	b.otherwise = "goal"
	analyte := b.analytes(blends, chem.Hardness)
	first, firstEntry := b.level("first", say.L("First water"), say.L("its level"), analyte, required)
	second, secondEntry := b.level("second", say.L("Second water"), say.L("its level; RO/DI is near nothing"), analyte, required)
	goal, goalEntry := b.level("goal", say.L("Goal"), say.L("between the two"), analyte, required)
	litres := b.quantity("litres", say.L("Volume to make"), "", s.VolumeEntry(UsualVat, 0), required)
	fill := func(a chem.Analyte) {
		b.fillIn(a, g.Levels, firstEntry)
		b.fillIn(a, g.Source, secondEntry)
		b.fillIn(a, g.Aims, goalEntry)
		b.run()
	}
	fill(analyte.Value())
	analyte.OnChanged = fill
	b.show(say.L("Two waters for a goal"), func() (answer, error) {
		a := analyte.Value()
		one, other := with(g.Levels, a, first.v), with(g.Source, a, second.v)
		share, err := chem.BlendFor(one, other, a, goal.v)
		if err != nil {
			return answer{}, err
		}
		if litres.v <= 0 {
			return answer{}, at("litres", chem.ErrVolume)
		}
		blend, err := chem.Blend(one, other, share)
		return answer{
			results: append([]string{say.F("%s of the first and %s of the second (%.1f %%).", s.Volume(litres.v*(1-share), 1),
				s.Volume(litres.v*share, 1), 100*share)}, b.others(blend, a)...),
			formula: say.F("(%.4g − %.4g) ÷ (%.4g − %.4g) = %.3f of the second water", b.inShown(a, first.v), b.inShown(a, goal.v),
				b.inShown(a, first.v), b.inShown(a, second.v), share),
			source: say.L("Solutes mix by volume at 25 °C, salinity by the mass of water and salt. pH does not mix so: measure it."),
		}, err
	})
}

// fillIn puts what is known of an analyte into a field.
func (b *sheet) fillIn(a chem.Analyte, known chem.Analysis, e *widgets.NumberEntry) {
	text := ""
	if v, ok := known[a]; ok {
		text = b.in.Value(a, v)
	}
	e.SetText(text)
}

// with is what is known of a water with one level in place of its own.
func with(known chem.Analysis, a chem.Analyte, v float64) chem.Analysis {
	out := chem.Analysis{}
	for k, level := range known {
		out[k] = level
	}
	out[a] = v
	return out
}

// inShown is a value of an analyte in the unit shown.
func (b *sheet) inShown(a chem.Analyte, canonical float64) float64 {
	info, _ := chem.Lookup(a)
	v, err := chem.Convert(a, canonical, info.Unit, b.in.Unit(a), chem.Water{})
	if err != nil {
		return math.NaN()
	}
	return v
}

// others writes what a blend holds besides an analyte.
func (b *sheet) others(blend chem.Analysis, but chem.Analyte) []string {
	var all []string
	for _, info := range chem.Catalogue() {
		if v, ok := blend[info.Analyte]; ok && info.Analyte != but {
			all = append(all, say.F("%s %s", say.Of(info.Analyte), b.shown(info.Analyte, v)))
		}
	}
	if all == nil {
		return nil
	}
	return []string{say.F("It then holds: %s.", strings.Join(all, ", "))}
}

const week = 7 // days

// toppingOff tells what the water that replaces evaporation leaves behind.
func toppingOff(s *session.Session, g Given) {
	b := newSheet(s)
	b.otherwise = "litres"
	b.quantities["top-off a day"], b.quantities["share of the water changed a day"] = "daily", "changed"
	litres := b.quantity("litres", say.L("Net volume"), "", s.VolumeEntry(math.Round(g.Litres), 0), required)
	daily := b.quantity("daily", say.L("Evaporation a day"), say.L("what is topped off"), s.VolumeEntry(0, 1), required)
	analyte := b.analytes(func(a chem.Analyte) bool { return a.Additive() || a == chem.Conductivity }, chem.Conductivity)
	source, _ := b.level("source", say.L("Top-off water"), say.L("its level"), analyte, required)
	changed := b.number("changed", say.L("Changed a week"), say.L("% of the water; 0: none is changed"), "0", required)
	fresh, _ := b.level("fresh", say.L("Water of the changes"), say.L("its level, where water is changed"), analyte, optional)
	b.show(say.L("What topping off brings"), func() (answer, error) {
		a := analyte.Value()
		t := chem.TopOff{Litres: litres.v, Daily: daily.v, DailyChange: changed.v / 100 / week, Source: chem.Analysis{a: source.v}}
		if fresh.given {
			t.Change = chem.Analysis{a: fresh.v}
		}
		carried, err := t.CarryOver()
		if err != nil {
			return answer{}, err
		}
		ends, err := t.Settles()
		out := answer{
			results: []string{say.F("%s a day, %s in 30 days, %s in a year, as long as no water is changed.", b.change(a, carried[a]),
				b.change(a, 30*carried[a]), b.change(a, 365*carried[a]))},
			formula: say.F("%.4g × %.4g L ÷ %.4g L = %.3g %s a day", b.inShown(a, source.v), daily.v, litres.v, b.inUnit(a, carried[a]),
				string(s.Unit(a))),
			source: say.L("Vapour takes no solutes along: what the source holds stays. Plants, animals and rock that use some are not " +
				"counted."),
		}
		out.results = append(out.results, b.ending(a, ends, t)...)
		return out, err
	})
}

// ending writes where a level comes to rest with changes.
func (b *sheet) ending(a chem.Analyte, ends chem.Analysis, t chem.TopOff) []string {
	level, known := ends[a]
	switch {
	case t.DailyChange == 0:
		return []string{say.L("Without changes it rises for ever.")}
	case !known:
		return []string{say.L("Give the level of the water of the changes to see where it comes to rest.")}
	}
	return []string{say.F("With the changes it comes to rest at %s.", b.shown(a, level))}
}
