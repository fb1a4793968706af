package sums

import (
	"errors"
	"math"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/chem/seawater"
)

// What a batch of new water begins with (common practice, no source).
const (
	UsualVat      = 200 // L
	UsualMoisture = 10  // % of the salt
)

const (
	sea         = 35 // PSU
	usualWarmth = 25 // °C
)

func sourceOfMasses() string {
	return say.L("By mass, with the densities of EOS-80 and 35.165 g of salt in a kg at 35 PSU (Millero et al. 2008). Holds from 0 to 42 " +
		"PSU.")
}

// mixSalt asks for a batch of salt water and tells salt and water.
func mixSalt(s *session.Session, g Given) {
	b := newSheet(s)
	b.otherwise, b.quantities["moisture of the salt"] = "litres", "moisture"
	litres := b.quantity("litres", say.L("Volume to make"), "", s.VolumeEntry(UsualVat, 0), required)
	aim := float64(sea)
	if v, ok := g.Aims[chem.Salinity]; ok {
		aim = v
	}
	goal := b.quantity("goal", say.L("Salinity"), b.span(chem.Salinity, 0, seawater.MaxSalinity), b.value(chem.Salinity, aim), required)
	warmth := b.quantity("temperature", say.L("Temperature"), "", b.value(chem.Temperature, usualWarmth), required)
	source := b.quantity("source", say.L("Source water"), say.L("empty: no salt in it"), b.value(chem.Salinity, math.NaN()), optional)
	moisture := b.number("moisture", say.L("Moisture of the salt"),
		say.L("%; a tenth or more is common practice, no source: correct it from a batch that you measured"), widgets.PlainNumber(UsualMoisture), required)
	b.show(say.L("Mix salt water"), func() (answer, error) {
		from := source.or(0)
		made, err := chem.SeaSalt{Moisture: moisture.v / 100}.Batch(litres.v, goal.v, warmth.v, from)
		if errors.Is(err, chem.ErrFreshCant) {
			return answer{}, at("source", err)
		}
		if err != nil {
			return answer{}, err
		}
		formula, err := batchFormula(litres.v, goal.v, warmth.v, from, moisture.v/100, made.SaltKg)
		return answer{
			results: []string{say.F("%.2f kg of salt into %s of water.", made.SaltKg, s.Volume(made.WaterLitres, 1))},
			notes: []string{say.L("Put salt into water, never water onto salt. Stir and aerate until it is clear, " +
				"then measure before it is used: the meter and the label decide, not this sum.")},
			formula: formula, source: sourceOfMasses(),
		}, err
	})
}

// batchFormula writes how the salt of a batch follows: density and salt by mass.
func batchFormula(litres, psu, tC, source, moisture, kg float64) (string, error) {
	rho, err := seawater.Density(psu, tC)
	if err != nil {
		return "", err
	}
	in, err := seawater.ReferenceSalinity(psu)
	if err != nil {
		return "", err
	}
	from, err := seawater.ReferenceSalinity(source)
	return say.F("%.4f kg/L × %.4g L × (%.3f − %.3f) g/kg ÷ (1000 × (1 − %.2f) − %.3f) = %.2f kg",
		rho/1000, litres, in, from, moisture, from, kg), err
}

// correctSalinity asks for a goal and tells the ways to it.
func correctSalinity(s *session.Session, g Given) {
	b := newSheet(s)
	b.otherwise = "litres"
	litres := b.quantity("litres", say.L("Net volume"), "", s.VolumeEntry(math.Round(g.Litres), 0), required)
	now := b.quantity("now", say.L("Salinity now"), "", b.value(chem.Salinity, g.level(chem.Salinity, math.NaN())), required)
	aim, known := g.Aims[chem.Salinity]
	if !known {
		aim = math.NaN()
	}
	goal := b.quantity("goal", say.L("Goal"), b.span(chem.Salinity, 0, seawater.MaxSalinity), b.value(chem.Salinity, aim), required)
	fresh := b.quantity("fresh", say.L("Water to hand"), say.L("empty: RO/DI without salt"), b.value(chem.Salinity, math.NaN()), optional)
	warm := math.Round(g.level(chem.Temperature, usualWarmth)*10) / 10
	warmth := b.quantity("temperature", say.L("Temperature"), "", b.value(chem.Temperature, warm), required)
	title := say.L("Correct salinity")
	if g.Name != "" {
		title = say.F("Correct the salinity of %s", g.Name)
	}
	b.show(title, func() (answer, error) {
		ways, err := waysToSalinity(s, litres.v, now.v, goal.v, fresh.or(0), warmth.v)
		if err != nil {
			return answer{}, err
		}
		formula, err := correctionFormula(litres.v, now.v, goal.v, fresh.or(0), warmth.v)
		return answer{results: ways, formula: formula, source: sourceOfMasses(), notes: []string{
			say.L("Change salinity slowly, over days where animals live, and measure in between. Dissolve salt outside the system first."),
		}}, err
	})
}

// correctionFormula writes how the swap follows, or the salt where it has to rise.
func correctionFormula(litres, s, goal, fresh, tC float64) (string, error) {
	var rho, salt [3]float64
	for i, psu := range []float64{s, goal, fresh} {
		var err error
		if rho[i], err = seawater.Density(psu, tC); err != nil {
			return "", err
		}
		if salt[i], err = seawater.ReferenceSalinity(psu); err != nil {
			return "", err
		}
	}
	now, in := rho[0]/1000, rho[2]/1000
	if swap, err := chem.SwapForSalinity(litres, s, goal, fresh, tC); err == nil {
		return say.F("%.4g L × %.4f × (%.2f − %.2f) ÷ (%.4f × (%.2f − %.2f) + %.4f × (%.2f − %.2f)) = %.1f L", litres, now, salt[0],
			salt[1],
			now, salt[0], salt[1], in, salt[1], salt[2], swap), nil
	}
	if goal < s {
		return "", nil
	}
	kg, err := chem.SeaSalt{}.SaltToRaise(litres, s, goal, tC)
	return say.F("%.4f kg/L × %.4g L × (%.2f − %.2f) g/kg ÷ (1000 − %.2f) = %.2f kg", now, litres, salt[1], salt[0], salt[1], kg), err
}

// waysToSalinity lists the ways from salinity s to goal, in PSU, with water of
// salinity fresh at hand.
func waysToSalinity(in *session.Session, litres, s, goal, fresh, tC float64) ([]string, error) {
	var ways []string
	swap, err := chem.SwapForSalinity(litres, s, goal, fresh, tC)
	switch {
	case err == nil:
		ways = append(ways, say.F("Swap %s for the water to hand.", in.Volume(swap, 1)))
	case errors.Is(err, chem.ErrFreshCant):
		ways = append(ways, say.L("The water to hand cannot lead there by a swap."))
	default:
		return nil, err
	}
	if goal < s {
		add, err := chem.FreshToLower(litres, s, goal, tC)
		if errors.Is(err, chem.ErrFreshCant) {
			return ways, nil
		}
		if err != nil {
			return nil, err
		}
		return append(ways, say.F("Or add %s of water without salt, if there is room.", in.Volume(add, 1))), nil
	}
	salt, err := chem.SeaSalt{}.SaltToRaise(litres, s, goal, tC)
	if err != nil {
		return nil, err
	}
	ways = append(ways, say.F("Or dissolve %.2f kg of dry salt, more by its moisture.", salt))
	top, err := chem.SaltTopOff(litres, s, goal, sea, tC)
	if err != nil {
		return nil, err
	}
	return append(ways, say.F("Or top off the next %s that evaporate with salt water of %s %s.",
		in.Volume(top, 1), in.Value(chem.Salinity, sea), in.Unit(chem.Salinity))), nil
}

// dechlorinate asks for tap water and tells the thiosulfate.
func dechlorinate(s *session.Session, _ Given) {
	b := newSheet(s)
	b.otherwise = "litres"
	litres := b.quantity("litres", say.L("Tap water"), "", s.VolumeEntry(UsualVat, 0), required)
	chlorine := b.number("chlorine", say.L("Total chlorine"),
		say.L("mg/L as Cl2, 0 to 20, measured, or as the water supplier says"), "", required)
	chloramine := widgets.NewCheck(say.L("the supplier uses chloramine"), func(bool) { b.run() })
	b.add(widgets.Field{Name: "chloramine", Label: say.L("Chloramine"), Input: chloramine}, chloramine)
	b.show(say.L("Take chlorine out of tap water"), func() (answer, error) {
		d, err := chem.Dechlorinate(litres.v, chlorine.v, chloramine.Checked)
		if err != nil {
			return answer{}, err
		}
		a := answer{
			results: []string{say.F("%.2f g of sodium thiosulfate pentahydrate.", d.Grams)},
			formula: say.F("2 × %.4g mg/L × %.4g L ÷ 1000 × 248.18 ÷ 70.90 = %.2f g", chlorine.v, litres.v, d.Grams),
			source: say.F("Two moles for each of Cl2, which does at any pH; in slow, full reaction %.2f g would do. "+
				"Measure chlorine afterwards. Where a product is labelled for this, its label goes first.", d.Least),
		}
		if d.Ammonia > 0 {
			a.results = append(a.results, say.F("It leaves %.2f mg/L of ammonia, as NH4, in the water: measure it, "+
				"and let a filter or a binder take it before animals meet it.", d.Ammonia))
		}
		return a, nil
	})
}
