package dosing

import (
	"errors"
	"math"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// readSource reads a salinity in PSU; an empty field is water without salt.
func readSource(c *widgets.Calculator, name string, e *widgets.QuantityEntry) float64 {
	if e.Empty() {
		return 0
	}
	return c.Quantity(name, e)
}

// salinityEntry is a field for a salinity; zero leaves it empty.
func salinityEntry(s *session.Session, psu float64) *widgets.QuantityEntry {
	e := s.ValueEntry(chem.Salinity, chem.Water{})
	if psu > 0 {
		e.SetValue(psu)
	}
	return e
}

func temperatureEntry(s *session.Session, celsius float64) *widgets.QuantityEntry {
	e := s.ValueEntry(chem.Temperature, chem.Water{})
	e.SetValue(celsius)
	return e
}

// fieldOf is the field in which the quantity of a range error was typed, or
// otherwise.
func fieldOf(err error, fields map[string]string, otherwise string) string {
	var r chem.RangeError
	if errors.As(err, &r) && fields[string(r.Quantity)] != "" {
		return fields[string(r.Quantity)]
	}
	return otherwise
}

const (
	usualVat      = 200 // L
	usualMoisture = 10  // %
)

// mixSalt asks for a batch of salt water and tells salt and water.
func (v *changesView) mixSalt() {
	litres, temperature := v.session.VolumeEntry(usualVat, 0), temperatureEntry(v.session, 25)
	moisture := widgets.NewNumberEntryOf(usualMoisture)
	goal, source := salinityEntry(v.session, 35), salinityEntry(v.session, 0)
	c := widgets.NewCalculator(
		widgets.Field{Name: "litres", Label: say.L("Volume to make"), Input: litres},
		widgets.Field{Name: "goal", Label: say.L("Salinity"), Input: goal},
		widgets.Field{Name: "temperature", Label: say.L("Temperature"), Input: temperature},
		widgets.Field{Name: "source", Label: say.L("Source water"), Input: source, Help: say.L("empty: no salt in it")},
		widgets.Field{Name: "moisture", Label: say.L("Moisture of the salt"), Input: moisture,
			Help: say.L("%; a tenth or more is common practice, no source: correct it from a batch that you measured")},
	)
	compute := func() {
		l, s, t := c.Quantity("litres", litres), c.Quantity("goal", goal), c.Quantity("temperature", temperature)
		m := c.Number("moisture", moisture)
		from := readSource(c, "source", source)
		var b chem.Batch
		if c.Fine() {
			var err error
			b, err = chem.SeaSalt{Moisture: m / 100}.Batch(l, s, t, from)
			otherwise := "litres"
			if errors.Is(err, chem.ErrFreshCant) {
				otherwise = "source"
			}
			c.Wrong(fieldOf(err, map[string]string{"temperature": "temperature", "moisture of the salt": "moisture"}, otherwise), err)
		}
		c.Say(say.F("%.2f kg of salt into %s of water.", b.SaltKg, v.session.Volume(b.WaterLitres, 1)),
			say.L("Put salt into water, never water onto salt. Stir and aerate until it is clear, "+
				"then measure before it is used: the meter and the label decide, not this sum."),
			say.L("By mass, with the densities of EOS-80 and 35.165 g of salt in a kg at 35 PSU (Millero et al. 2008)."))
	}
	for _, e := range []*widgets.QuantityEntry{litres, goal, temperature, source} {
		e.OnChanged = compute
	}
	moisture.OnChanged = func(string) { compute() }
	compute()
	v.showCalculator(say.L("Mix salt water"), c, litres)
}

// correctSalinity asks for a goal and tells the ways to it for the chosen
// system.
func (v *changesView) correctSalinity() {
	system, ok := v.chosen()
	if !ok {
		return
	}
	room := v.loaded.room
	now, goal := salinityEntry(v.session, 0), salinityEntry(v.session, 0)
	if psu, known := room.Water(system.ID).Salinity(); known {
		now.SetValue(psu)
	}
	if band, ok := room.Band(tanks.Cell{System: system.ID, Analyte: chem.Salinity}); ok {
		goal = salinityEntry(v.session, band.Aim)
	}
	litres := v.session.VolumeEntry(math.Round(system.NetVolume().Litres), 0)
	fresh, temperature := salinityEntry(v.session, 0), temperatureEntry(v.session, v.temperature(system))
	c := widgets.NewCalculator(
		widgets.Field{Name: "litres", Label: say.L("Net volume"), Input: litres},
		widgets.Field{Name: "now", Label: say.L("Salinity now"), Input: now},
		widgets.Field{Name: "goal", Label: say.L("Goal"), Input: goal},
		widgets.Field{Name: "fresh", Label: say.L("Water to hand"), Input: fresh, Help: say.L("empty: RO/DI without salt")},
		widgets.Field{Name: "temperature", Label: say.L("Temperature"), Input: temperature},
	)
	compute := func() {
		l, s, g, t := c.Quantity("litres", litres), c.Quantity("now", now), c.Quantity("goal", goal), c.Quantity("temperature", temperature)
		with := readSource(c, "fresh", fresh)
		var lines []string
		if c.Fine() {
			ways, err := waysToSalinity(v.session, l, s, g, with, t)
			c.Wrong(fieldOf(err, map[string]string{"temperature": "temperature"}, "litres"), err)
			lines = ways
		}
		c.Say(append(lines, say.L("Change salinity slowly, over days where animals live, and measure in between. "+
			"Dissolve salt outside the system first."))...)
	}
	for _, e := range []*widgets.QuantityEntry{litres, now, goal, fresh, temperature} {
		e.OnChanged = compute
	}
	compute()
	v.showCalculator(say.F("Correct the salinity of %s", system.Code), c, now)
}

// temperature is the newest of a system, 25 °C where none is known.
func (v *changesView) temperature(s tanks.System) float64 {
	r, ok := v.loaded.room.Latest[tanks.Cell{System: s.ID, Analyte: chem.Temperature}]
	if !ok {
		return 25
	}
	return math.Round(r.Value*10) / 10
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
	const seaTopOff = 35
	top, err := chem.SaltTopOff(litres, s, goal, seaTopOff, tC)
	if err != nil {
		return nil, err
	}
	return append(ways, say.F("Or top off the next %s that evaporate with salt water of %s %s.",
		in.Volume(top, 1), in.Value(chem.Salinity, seaTopOff), in.Unit(chem.Salinity))), nil
}

// dechlorinate asks for tap water and tells the thiosulfate.
func (v *changesView) dechlorinate() {
	litres, chlorine := v.session.VolumeEntry(usualVat, 0), widgets.NewNumberEntry("")
	chloramine := widgets.NewCheck(say.L("the supplier uses chloramine"), nil)
	c := widgets.NewCalculator(
		widgets.Field{Name: "litres", Label: say.L("Tap water"), Input: litres},
		widgets.Field{Name: "chlorine", Label: say.L("Total chlorine"), Input: chlorine,
			Help: say.L("mg/L as Cl2, measured, or as the water supplier says")},
		widgets.Field{Name: "chloramine", Label: say.L("Chloramine"), Input: chloramine},
	)
	compute := func() {
		l := c.Quantity("litres", litres)
		if chlorine.Text == "" {
			c.Say(say.L("Type the total chlorine of the water."))
			return
		}
		mgL := c.Number("chlorine", chlorine)
		var d chem.Dechlorination
		if c.Fine() {
			var err error
			d, err = chem.Dechlorinate(l, mgL, chloramine.Checked)
			c.Wrong(fieldOf(err, map[string]string{"chlorine": "chlorine"}, "litres"), err)
		}
		lines := []string{say.F("%.2f g of sodium thiosulfate pentahydrate.", d.Grams)}
		if d.Ammonia > 0 {
			lines = append(lines, say.F("It leaves %.2f mg/L of ammonia, as NH4, in the water: measure it, "+
				"and let a filter or a binder take it before animals meet it.", d.Ammonia))
		}
		c.Say(append(lines, say.F("Two moles for each of Cl2, which does at any pH; in slow, full reaction %.2f g would do. "+
			"Measure chlorine afterwards. Where a product is labelled for this, its label goes first.", d.Least))...)
	}
	litres.OnChanged = compute
	chlorine.OnChanged = func(string) { compute() }
	chloramine.OnChanged = func(bool) { compute() }
	compute()
	v.showCalculator(say.L("Take chlorine out of tap water"), c, litres)
}

// showCalculator opens a calculator with the keyboard in one of its fields.
func (v *changesView) showCalculator(title string, c *widgets.Calculator, first *widgets.QuantityEntry) {
	widgets.ShowDialog(v.session.Window, widgets.Dialog{Title: title, Content: c.Content(), Focus: first.FocusTarget(), Width: 520})
}
