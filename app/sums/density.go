package sums

import (
	"math"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/chem/seawater"
)

// wordsOf is a unit's sign, the same in every language.
func wordsOf(u chem.Unit) words.Text { return words.Text(u) }

var marks = []seawater.RefTemp{seawater.Ref25C, seawater.Ref20C, seawater.Ref60F}

// mark asks for the temperature that a hydrometer is marked for.
func (b *sheet) mark() *widgets.Choice[seawater.RefTemp] {
	selected := seawater.Ref25C
	switch b.in.Unit(chem.Salinity) {
	case chem.SG20:
		selected = seawater.Ref20C
	case chem.SG60F:
		selected = seawater.Ref60F
	}
	return choose(b, "mark", say.L("Marked for"), say.L("it stands on the instrument or in its papers"),
		widgets.OptionsOf(marks, seawater.RefTemp.String), selected)
}

func sourceOfDensity() string {
	return say.L("Densities of EOS-80 (UNESCO 1981), 0 to 42 PSU, −2 to 40 °C. Glass widens by 25·10⁻⁶ per °C (ISO 1768:1975, " +
		"the conventional value of hydrometers). A plastic one with a swinging arm is a guide only.")
}

// hydrometer tells the salinity in which a hydrometer, or another instrument for
// density, shows a reading.
func hydrometer(s *session.Session, g Given) {
	b := newSheet(s)
	b.otherwise = "reading"
	reading := b.number("reading", say.L("Reading"), say.L("such as 1.0245"), "", required)
	warmth := b.quantity("temperature", say.L("Sample"), say.L("its temperature as it is read, −2 to 40 °C"),
		b.value(chem.Temperature, g.level(chem.Temperature, math.NaN())), required)
	mark := b.mark()
	glass := choose(b, "instrument", say.L("Instrument"), "", []widgets.Option[bool]{
		{Value: true, Name: say.L("glass hydrometer")}, {Value: false, Name: say.L("relative density, as of a density meter")},
	}, true)
	b.show(say.L("Salinity by hydrometer"), func() (answer, error) {
		find, show := seawater.SalinityFromRelativeDensity, seawater.RelativeDensity
		if glass.Value() {
			find, show = seawater.SalinityFromHydrometer, seawater.HydrometerReading
		}
		psu, err := find(reading.v, warmth.v, mark.Value())
		if err != nil {
			return answer{}, err
		}
		back, err := show(psu, warmth.v, mark.Value())
		if err != nil {
			return answer{}, err
		}
		formula, err := densityFormula(psu, warmth.v, mark.Value(), back)
		a := answer{
			results: []string{say.F("Salinity %s.", b.shown(chem.Salinity, psu))}, value: b.shown(chem.Salinity,
				psu), formula: formula, source: sourceOfDensity(),
		}
		if atMark, err := seawater.SalinityFromGravity(reading.v, mark.Value()); err == nil && math.Abs(atMark-psu) >= 0.05 {
			a.results = append(a.results, say.F("Read without regard to temperature it would be %s.", b.shown(chem.Salinity, atMark)))
		}
		return a, err
	})
}

// densityFormula writes how a reading follows from densities, and from the glass where
// it has a part in it.
func densityFormula(psu, tC float64, mark seawater.RefTemp, reading float64) (string, error) {
	rho, err := seawater.Density(psu, tC)
	if err != nil {
		return "", err
	}
	pure, err := seawater.Density(0, mark.Celsius())
	if err != nil {
		return "", err
	}
	text := say.F("%.2f kg/m³ of %.2f PSU at %.1f °C ÷ %.2f kg/m³ of pure water at %.1f °C", rho, psu, tC, pure, mark.Celsius())
	if glass := reading * pure / rho; math.Abs(glass-1) > 1e-9 {
		text += say.F(" × %.6f for the glass", glass)
	}
	return text + say.F(" = %.4f", reading), nil
}

// scale is what a refractometer's scale is made for.
type scale int

const (
	seaScale     scale = iota // sea water, PSU
	gravityScale              // sea water, specific gravity
	saltScale                 // sodium chloride, g/kg
)

// refractometer tells the salinity that a refractometer means.
func refractometer(s *session.Session, g Given) {
	b := newSheet(s)
	b.otherwise = "reading"
	b.quantities["temperature"] = "temperature"
	made := choose(b, "scale", say.L("Scale"), say.L("of the instrument, as its papers say"), []widgets.Option[scale]{
		{Value: seaScale, Name: say.L("sea water, PSU or ‰")}, {Value: gravityScale, Name: say.L("sea water, specific gravity 20/20 °C")},
		{Value: saltScale, Name: say.L("plain salt (NaCl), g/kg or ‰")},
	}, seaScale)
	reading := b.number("reading", say.L("Reading"), say.L("0 to 42, of specific gravity 1 to 1.032"), "", required)
	corrects := choose(b, "corrects", say.L("Temperature"), "", []widgets.Option[bool]{
		{Value: true, Name: say.L("the instrument corrects for it, or it is at its own")}, {Value: false,
			Name: say.L("it does not correct")},
	}, true)
	warmth := b.quantity("temperature", say.L("Sample and prism"), say.L("where it does not correct: 0 to 30 °C"),
		b.value(chem.Temperature, math.NaN()), optional)
	own := b.quantity("own", say.L("Made for"), say.L("where it does not correct; mostly 20 °C"), b.value(chem.Temperature, 20), optional)
	b.show(say.L("Salinity by refractometer"), func() (answer, error) {
		onScale, formula, err := scaled(made.Value(), reading.v)
		if err != nil {
			return answer{}, err
		}
		psu := onScale
		if !corrects.Value() {
			if !warmth.given {
				return answer{}, at("temperature", widgets.ErrNoNumber)
			}
			if psu, err = seawater.SalinityFromRefractometer(onScale, warmth.v, own.or(20)); err != nil {
				return answer{}, err
			}
			formula = say.F("%s At %.1f °C on a scale for %.1f °C: %.1f becomes %.1f PSU.", formula, warmth.v, own.or(20), onScale, psu)
		}
		return answer{
			results: []string{say.F("Salinity %s.", b.shown(chem.Salinity, psu))}, value: b.shown(chem.Salinity,
				psu), formula: formula, source: sourceOfRefraction(),
			notes: []string{say.L("Set it to a standard near the salinity that is measured, not to pure water alone, and wait until drop " +
				"and " +
				"prism have one temperature.")},
		}, nil
	})
}

func sourceOfRefraction() string {
	return say.L("Refractive index by Quan and Fry 1995, 0 to 42 PSU, 0 to 30 °C; plain salt by 1.3330 to 1.3418 " +
		"at 50 g/kg and 20 °C (CRC Handbook, concentrative properties of aqueous solutions). Good to some 0.5 PSU, as such instruments are.")
}

// scaled returns the salinity in PSU at which a scale shows a reading, and how it
// follows.
func scaled(made scale, reading float64) (psu float64, formula string, err error) {
	switch made {
	case saltScale:
		psu, err = chem.SalinityFromSaltScale(reading)
		return psu, say.F("The index of %.1f g/kg of salt at 20 °C, 1.3330 + %.1f × 0.000176, is that of sea water of %.1f PSU.", reading,
			reading, psu), at("reading", err)
	case gravityScale:
		psu, err = seawater.SalinityFromGravity(reading, seawater.Ref20C)
		return psu, say.F("Specific gravity %.4f at 20 °C is %.1f PSU (EOS-80).", reading, psu), at("reading", err)
	}
	if !(reading >= 0 && reading <= seawater.MaxSalinity) {
		err = chem.RangeError{Quantity: "reading of the refractometer", Value: reading, High: seawater.MaxSalinity, Unit: "PSU"}
	}
	return reading, say.F("The scale shows %.1f PSU.", reading), at("reading", err)
}

// instruments tells what instruments show in a water of known salinity.
func instruments(s *session.Session, g Given) {
	b := newSheet(s)
	b.otherwise = "salinity"
	psu := b.quantity("salinity", say.L("Salinity"), b.span(chem.Salinity, 0, seawater.MaxSalinity),
		b.value(chem.Salinity, g.level(chem.Salinity, sea)), required)
	warmth := b.quantity("temperature", say.L("Sample"), say.L("its temperature, 0 to 30 °C"),
		b.value(chem.Temperature, g.level(chem.Temperature, usualWarmth)), required)
	mark := b.mark()
	own := b.quantity("own", say.L("Refractometer made for"), say.L("mostly 20 °C"), b.value(chem.Temperature, 20), required)
	how := b.compensated(true)
	b.show(say.L("What instruments show"), func() (answer, error) {
		shows, err := seawater.HydrometerReading(psu.v, warmth.v, mark.Value())
		if err != nil {
			return answer{}, err
		}
		d, err := seawater.RelativeDensity(psu.v, warmth.v, mark.Value())
		if err != nil {
			return answer{}, err
		}
		refracts, err := seawater.RefractometerReading(psu.v, warmth.v, own.v)
		if err != nil {
			return answer{}, err
		}
		raw, err := seawater.ConductivityFromSalinity(psu.v, warmth.v)
		if err != nil {
			return answer{}, err
		}
		a := answer{
			results: []string{
				say.F("Hydrometer for %s: %.4f.", mark.Value().String(), shows), say.F("Relative density, without glass: %.5f.", d),
				say.F("Refractometer for sea water that does not correct: %.1f PSU; one that does, %.1f PSU.", refracts, psu.v),
				say.F("Conductivity as it is: %.2f mS/cm.", raw),
			},
			source: sourceOfDensity() + " " + sourceOfRefraction() + " " + say.L("Conductivity by PSS-78."),
		}
		if how.does.Value() {
			rule := how.rule()
			shown, err := rule.Compensated(raw, warmth.v)
			if err != nil {
				return answer{}, err
			}
			a.results = append(a.results, say.F("A meter that compensates in a straight line shows %.2f mS/cm.", shown))
			a.formula = say.F("%.2f mS/cm ÷ (1 + %.4g × (%.1f − %.1f)) = %.2f mS/cm", raw, rule.PerDegree, warmth.v, rule.Reference, shown)
		}
		return a, nil
	})
}
