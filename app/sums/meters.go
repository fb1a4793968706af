package sums

import (
	"math"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/chem/seawater"
)

// microPerMilli are µS/cm in a mS/cm.
const microPerMilli = 1000

// asMeasured is a field for a conductivity at the temperature of the sample, kept in
// µS/cm.
func asMeasured() *widgets.QuantityEntry {
	by := func(factor float64, decimals int, name chem.Unit) widgets.QuantityUnit {
		return widgets.QuantityUnit{Name: wordsOf(name), Decimals: decimals,
			Of:   func(kept float64) (float64, error) { return kept / factor, nil },
			Kept: func(v float64) (float64, error) { return v * factor, nil }}
	}
	return widgets.NewQuantityEntry(by(1, 0, chem.MicroSiemens), by(microPerMilli, 2, chem.MilliSiemens))
}

// compensated are the fields that say how a meter compensates for temperature.
type compensated struct {
	does      *widgets.Choice[bool]
	perDegree *typed
	reference *typed
}

func (b *sheet) compensated(does bool) compensated {
	b.quantities["temperature coefficient"], b.quantities["reference temperature"] = "coefficient", "reference"
	return compensated{
		does: choose(b, "compensates", say.L("The meter"), "", []widgets.Option[bool]{
			{Value: false, Name: say.L("does not compensate")}, {Value: true, Name: say.L("compensates in a straight line")},
		}, does),
		perDegree: b.number("coefficient", say.L("Its coefficient"),
			say.L("% per °C, 0 to 5, where it compensates; 2 is common practice, no source: the manual says"), "2", optional),
		reference: b.quantity("reference", say.L("Its reference"), say.L("where it compensates, 0 to 35 °C; mostly 25 °C"),
			b.value(chem.Temperature, 25), optional),
	}
}

func (c compensated) rule() seawater.Compensation {
	return seawater.Compensation{PerDegree: c.perDegree.or(0) / 100, Reference: c.reference.or(25)}
}

// conductivity asks what a meter shows and tells what the water has at 25 °C.
func conductivity(s *session.Session, g Given) {
	b := newSheet(s)
	b.otherwise = "conductivity"
	shown := b.quantity("conductivity", say.L("The meter shows"), "", asMeasured(), required)
	warmth := b.quantity("temperature", say.L("Sample"), say.L("its temperature, 0 to 35 °C"),
		b.value(chem.Temperature, g.level(chem.Temperature, math.NaN())), required)
	salt := choose(b, "water", say.L("Water"), "", []widgets.Option[bool]{
		{Value: false, Name: say.L("fresh: tap, spring, ground, tank")}, {Value: true, Name: say.L("salt or brackish")},
	}, g.level(chem.Salinity, 0) > 1)
	how := b.compensated(false)
	b.show(say.L("Conductivity of a meter"), func() (answer, error) {
		measured, undone := shown.v, ""
		if how.does.Value() {
			rule := how.rule()
			raw, err := rule.Measured(shown.v/microPerMilli, warmth.v)
			if err != nil {
				return answer{}, err
			}
			measured = raw * microPerMilli
			undone = say.F("Compensation undone: %.4g × (1 + %.4g × (%.1f − %.1f)) = %.4g µS/cm. ",
				shown.v, rule.PerDegree, warmth.v, rule.Reference, measured)
		}
		if salt.Value() {
			return b.salinityOf(measured, warmth.v, undone)
		}
		return b.naturalOf(measured, warmth.v, undone)
	})
}

func (b *sheet) naturalOf(measured, tC float64, undone string) (answer, error) {
	at25, err := chem.ConductivityAt25(measured, tC)
	if err != nil {
		return answer{}, err
	}
	factor, err := chem.ConductivityAt25(1, tC)
	return answer{
		results: []string{say.F("%s at 25 °C.", b.shown(chem.Conductivity, at25))}, value: b.shown(chem.Conductivity, at25),
		formula: undone + say.F("%.4g µS/cm × %.3f at %.1f °C = %.4g µS/cm", measured, factor, tC, at25),
		source: say.L("The non-linear table of ISO 7888:1985 for natural waters, second-hand from a maker's manual. " +
			"It is made for some 60 to 1000 µS/cm; beyond it, and in water of few salts only, it is the worse."),
	}, err
}

func (b *sheet) salinityOf(measured, tC float64, undone string) (answer, error) {
	psu, err := seawater.SalinityFromConductivity(measured/microPerMilli, tC)
	if err != nil {
		return answer{}, err
	}
	at25, err := seawater.ConductivityFromSalinity(psu, 25)
	return answer{
		results: []string{
			say.F("Salinity %s.", b.shown(chem.Salinity, psu)), say.F("%.2f mS/cm at 25 °C.", at25),
		},
		value: b.shown(chem.Salinity, psu),
		formula: undone + say.F("%.4g mS/cm ÷ 42.914 mS/cm = %.4f of standard sea water at 15 °C; at %.1f °C that is %.2f PSU",
			measured/microPerMilli, measured/microPerMilli/42.914, tC, psu),
		source: say.L("PSS-78 (UNESCO 1981; Fofonoff and Millard 1983), below 2 PSU with Hill et al. 1986. Holds from 0 to 42 PSU. " +
			"A meter that itself works by PSS-78 needs no such sum."),
	}, err
}

// solids turns conductivity into dissolved solids and back.
func solids(s *session.Session, g Given) {
	b := newSheet(s)
	b.otherwise = "value"
	b.quantities["factor of the meter"] = "factor"
	from := choose(b, "from", say.L("From"), "", []widgets.Option[chem.Analyte]{
		{Value: chem.Conductivity, Name: say.F("conductivity, %s", string(s.Unit(chem.Conductivity)))},
		{Value: chem.TDS, Name: say.F("dissolved solids, %s", string(s.Unit(chem.TDS)))},
	}, chem.Conductivity)
	value, entry := b.level("value", say.L("Value"), say.L("at 25 °C"), from, required)
	if v, ok := g.Levels[chem.Conductivity]; ok {
		entry.SetText(s.Value(chem.Conductivity, v))
	}
	factor := b.number("factor", say.L("Factor of the meter"),
		say.L("0.3 to 1: 0.5 on a sodium chloride scale, 0.64 and 0.7 for natural waters (common practice, no source)"), "0.5", required)
	b.show(say.L("Dissolved solids of a meter"), func() (answer, error) {
		a := answer{source: say.L("A meter measures conductivity and multiplies it by its factor: two meters of two factors " +
			"differ in one water, and neither weighs what is dissolved.")}
		if from.Value() == chem.TDS {
			c, err := chem.ConductivityOf(value.v, factor.v)
			a.results = []string{say.F("Conductivity %s at 25 °C.", b.shown(chem.Conductivity, c))}
			a.formula = say.F("%.4g mg/L ÷ %.4g = %.4g µS/cm", value.v, factor.v, c)
			return a, err
		}
		mg, err := chem.SolidsOf(value.v, factor.v)
		a.results = []string{say.F("The meter shows %s of dissolved solids.", b.shown(chem.TDS, mg))}
		a.formula = say.F("%.4g µS/cm × %.4g = %.4g mg/L", value.v, factor.v, mg)
		return a, err
	})
}
