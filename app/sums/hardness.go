package sums

import (
	"math"
	"strings"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/chem"
)

// hardness adds calcium and magnesium up.
func hardness(s *session.Session, g Given) {
	b := newSheet(s)
	b.otherwise = "calcium"
	known := func(a chem.Analyte) float64 { return g.level(a, math.NaN()) }
	calcium := b.quantity("calcium", say.L("Calcium"), say.L("as Ca; mg/L CaCO3 can be typed too"),
		b.value(chem.Calcium, known(chem.Calcium)), required)
	magnesium := b.quantity("magnesium", say.L("Magnesium"), say.L("as Mg; mg/L CaCO3 can be typed too"),
		b.value(chem.Magnesium, known(chem.Magnesium)), required)
	alkalinity := b.quantity("alkalinity", say.L("Alkalinity (KH)"), say.L("may be empty"),
		b.value(chem.Alkalinity, known(chem.Alkalinity)), optional)
	b.show(say.L("Hardness from calcium and magnesium"), func() (answer, error) {
		mmol, err := chem.HardnessOf(calcium.v, magnesium.v)
		if err != nil {
			return answer{}, err
		}
		water := chem.Analysis{chem.Calcium: calcium.v, chem.Magnesium: magnesium.v}
		if alkalinity.given {
			water[chem.Alkalinity] = alkalinity.v
		}
		view, err := water.Hardness()
		a := answer{
			results: []string{say.F("General hardness %s.", b.shown(chem.Hardness, mmol)),
				b.everyUnitOf(chem.Hardness, mmol, chem.Water{})},
			value:   b.shown(chem.Hardness, mmol),
			formula: say.F("%.4g mg/L ÷ 40.078 + %.4g mg/L ÷ 24.305 = %.4g mmol/L", calcium.v, magnesium.v, mmol),
			source: say.L("Calcium and magnesium alone are counted; a test of a sea water finds 0.2 % more, its strontium. A degree of " +
				"German hardness is 10 mg/L CaO, a French one 10 mg/L CaCO3."),
		}
		if !math.IsNaN(view.CalciumToMagnesium) {
			a.results = append(a.results, say.F("Ca:Mg is %.2f by mass.", view.CalciumToMagnesium))
		}
		if alkalinity.given {
			a.results = append(a.results, say.F("With alkalinity goes %s of it; %s is permanent.", b.shown(chem.Hardness, view.Carbonate),
				b.shown(chem.Hardness, view.Permanent)))
		}
		return a, err
	})
}

// everyUnitOf writes a value in each unit of its analyte; units that cannot show it
// are left out.
func (b *sheet) everyUnitOf(a chem.Analyte, canonical float64, w chem.Water) string {
	info, _ := chem.Lookup(a)
	var all []string
	for _, u := range info.Units {
		if v, err := chem.Convert(a, canonical, info.Unit, u, w); err == nil {
			all = append(all, say.F("%s %s", chem.Decimal(v, chem.Decimals(a, u)), string(u)))
		}
	}
	return strings.Join(all, " = ")
}

// everyUnit writes one value in all units.
func everyUnit(s *session.Session, g Given) {
	b := newSheet(s)
	b.otherwise = "value"
	a := b.analytes(func(a chem.Analyte) bool { info, _ := chem.Lookup(a); return len(info.Units) > 1 }, chem.Hardness)
	value, _ := b.level("value", say.L("Value"), "", a, required)
	psu := b.quantity("salinity", say.L("Salinity of the water"), say.L("for units by mass, such as mg/kg; empty: fresh water"),
		b.value(chem.Salinity, g.level(chem.Salinity, math.NaN())), optional)
	b.show(say.L("A value in every unit"), func() (answer, error) {
		return answer{
			results: []string{say.F("%s %s", say.Of(a.Value()), b.shown(a.Value(), value.v)),
				b.everyUnitOf(a.Value(), value.v, chem.WaterOf(psu.or(0)))},
			value:  b.shown(a.Value(), value.v),
			source: say.L("Molar masses by the standard atomic weights (CIAAW 2021), density by EOS-80 at 25 °C, salinity by PSS-78."),
		}, nil
	})
}
