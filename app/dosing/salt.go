package dosing

import (
	"errors"
	"fmt"
	"math"

	"weirkeeper/app/session"
	"weirkeeper/app/state"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// readSalinity reads a field in the unit that salinity is shown in, as PSU.
func readSalinity(s *session.Session, c *widgets.Calculator, name string, e *widgets.NumberEntry) float64 {
	v, err := e.Value()
	if err != nil {
		c.Wrong(name, err)
		return 0
	}
	l, err := chem.NewLevel(chem.Salinity, v, s.Unit(chem.Salinity), chem.Water{})
	if err != nil {
		c.Wrong(name, err)
		return 0
	}
	psu, err := l.In(chem.PSU, chem.Water{})
	c.Wrong(name, err)
	return psu
}

// readSource reads a salinity as readSalinity does; an empty field is water
// without salt.
func readSource(s *session.Session, c *widgets.Calculator, name string, e *widgets.NumberEntry) float64 {
	if e.Text == "" {
		return 0
	}
	return readSalinity(s, c, name, e)
}

// salinityEntry is a field with a salinity in the unit that it is shown in.
func salinityEntry(s *session.Session, psu float64) *widgets.NumberEntry {
	u := s.Unit(chem.Salinity)
	v, err := chem.Convert(chem.Salinity, psu, chem.PSU, u, chem.Water{})
	if err != nil {
		return widgets.NewNumberEntry("")
	}
	scale := math.Pow(10, float64(chem.Decimals(chem.Salinity, u)))
	return widgets.NewNumberEntryOf(math.Round(v*scale) / scale)
}

// fieldOf is the field in which the quantity of a range error was typed, or
// otherwise.
func fieldOf(err error, fields map[string]string, otherwise string) string {
	var r chem.RangeError
	if errors.As(err, &r) && fields[r.Quantity] != "" {
		return fields[r.Quantity]
	}
	return otherwise
}

const (
	usualVat      = 200 // L
	usualMoisture = 10  // %
)

// mixSalt asks for a batch of salt water and tells salt and water.
func (v *changesView) mixSalt() {
	litres, temperature, moisture := widgets.NewNumberEntryOf(usualVat), widgets.NewNumberEntryOf(25), widgets.NewNumberEntryOf(usualMoisture)
	goal, source := salinityEntry(v.session, 35), widgets.NewNumberEntry("")
	unit := string(v.session.Unit(chem.Salinity))
	c := widgets.NewCalculator(
		widgets.Field{Name: "litres", Label: "Litres to make", Input: litres},
		widgets.Field{Name: "goal", Label: "Salinity", Input: goal, Help: unit},
		widgets.Field{Name: "temperature", Label: "Temperature", Input: temperature, Help: "°C"},
		widgets.Field{Name: "source", Label: "Source water", Input: source, Help: unit + "; empty: no salt in it"},
		widgets.Field{Name: "moisture", Label: "Moisture of the salt", Input: moisture, Help: "%; a tenth or more is common practice, no source: correct it from a batch that you measured"},
	)
	compute := func(string) {
		l, s, t, m := c.Number("litres", litres), readSalinity(v.session, c, "goal", goal), c.Number("temperature", temperature), c.Number("moisture", moisture)
		from := readSource(v.session, c, "source", source)
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
		c.Say(fmt.Sprintf("%.2f kg of salt into %.1f L of water.", b.SaltKg, b.WaterLitres),
			"Put salt into water, never water onto salt. Stir and aerate until it is clear, then measure before it is used: the meter and the label decide, not this sum.",
			"By mass, with the densities of EOS-80 and 35.165 g of salt in a kg at 35 PSU (Millero et al. 2008).")
	}
	for _, e := range []*widgets.NumberEntry{litres, goal, temperature, source, moisture} {
		e.OnChanged = compute
	}
	compute("")
	widgets.ShowDialog(v.session.Window, widgets.Dialog{Title: "Mix salt water", Content: c.Content(), Focus: litres, Width: 520})
}

// correctSalinity asks for a goal and tells the ways to it for the chosen
// system.
func (v *changesView) correctSalinity() {
	system, ok := v.byLabel(v.system.Selected())
	if v.loaded == nil || !ok {
		return
	}
	room, unit := v.loaded.room, string(v.session.Unit(chem.Salinity))
	now, goal := widgets.NewNumberEntry(""), widgets.NewNumberEntry("")
	if s := room.Salinity(system.ID); s > 0 {
		now = salinityEntry(v.session, s)
	}
	if band, ok := room.Band(state.Key{System: system.ID, Analyte: chem.Salinity}); ok {
		goal = salinityEntry(v.session, band.Aim)
	}
	litres, fresh, temperature := widgets.NewNumberEntryOf(math.Round(system.NetVolume().Litres)), widgets.NewNumberEntry(""), widgets.NewNumberEntryOf(v.temperature(system))
	c := widgets.NewCalculator(
		widgets.Field{Name: "litres", Label: "Net volume", Input: litres, Help: "L"},
		widgets.Field{Name: "now", Label: "Salinity now", Input: now, Help: unit},
		widgets.Field{Name: "goal", Label: "Goal", Input: goal, Help: unit},
		widgets.Field{Name: "fresh", Label: "Water to hand", Input: fresh, Help: unit + "; empty: RO/DI without salt"},
		widgets.Field{Name: "temperature", Label: "Temperature", Input: temperature, Help: "°C"},
	)
	compute := func(string) {
		l, s, g, t := c.Number("litres", litres), readSalinity(v.session, c, "now", now), readSalinity(v.session, c, "goal", goal), c.Number("temperature", temperature)
		with := readSource(v.session, c, "fresh", fresh)
		var lines []string
		if c.Fine() {
			ways, err := waysToSalinity(l, s, g, with, t)
			c.Wrong(fieldOf(err, map[string]string{"temperature": "temperature"}, "litres"), err)
			lines = ways
		}
		c.Say(append(lines, "Change salinity slowly, over days where animals live, and measure in between. Dissolve salt outside the system first.")...)
	}
	for _, e := range []*widgets.NumberEntry{litres, now, goal, fresh, temperature} {
		e.OnChanged = compute
	}
	compute("")
	widgets.ShowDialog(v.session.Window, widgets.Dialog{Title: "Correct the salinity of " + system.Code, Content: c.Content(), Focus: now, Width: 520})
}

// temperature is the newest of a system, 25 °C where none is known.
func (v *changesView) temperature(s tanks.System) float64 {
	r, ok := v.loaded.room.Latest[state.Key{System: s.ID, Analyte: chem.Temperature}]
	if !ok {
		return 25
	}
	return math.Round(r.Value*10) / 10
}

// waysToSalinity lists the ways from salinity s to goal, in PSU, with water of
// salinity fresh at hand.
func waysToSalinity(litres, s, goal, fresh, tC float64) ([]string, error) {
	var ways []string
	swap, err := chem.SwapForSalinity(litres, s, goal, fresh, tC)
	switch {
	case err == nil:
		ways = append(ways, fmt.Sprintf("Swap %.1f L for the water to hand.", swap))
	case errors.Is(err, chem.ErrFreshCant):
		ways = append(ways, "The water to hand cannot lead there by a swap.")
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
		return append(ways, fmt.Sprintf("Or add %.1f L of water without salt, if there is room.", add)), nil
	}
	salt, err := chem.SeaSalt{}.SaltToRaise(litres, s, goal, tC)
	if err != nil {
		return nil, err
	}
	ways = append(ways, fmt.Sprintf("Or dissolve %.2f kg of dry salt, more by its moisture.", salt))
	const seaTopOff = 35
	top, err := chem.SaltTopOff(litres, s, goal, seaTopOff, tC)
	if err != nil {
		return nil, err
	}
	return append(ways, fmt.Sprintf("Or top off the next %.1f L that evaporate with salt water of %d PSU.", top, seaTopOff)), nil
}

// dechlorinate asks for tap water and tells the thiosulfate.
func (v *changesView) dechlorinate() {
	litres, chlorine, chloramine := widgets.NewNumberEntryOf(usualVat), widgets.NewNumberEntry(""), widgets.NewCheck("the supplier uses chloramine", nil)
	c := widgets.NewCalculator(
		widgets.Field{Name: "litres", Label: "Tap water", Input: litres, Help: "L"},
		widgets.Field{Name: "chlorine", Label: "Total chlorine", Input: chlorine, Help: "mg/L as Cl2, measured, or as the water supplier says"},
		widgets.Field{Name: "chloramine", Label: "Chloramine", Input: chloramine},
	)
	compute := func() {
		l := c.Number("litres", litres)
		if chlorine.Text == "" {
			c.Say("Type the total chlorine of the water.")
			return
		}
		mgL := c.Number("chlorine", chlorine)
		var d chem.Dechlorination
		if c.Fine() {
			var err error
			d, err = chem.Dechlorinate(l, mgL, chloramine.Checked)
			c.Wrong(fieldOf(err, map[string]string{"chlorine": "chlorine"}, "litres"), err)
		}
		lines := []string{fmt.Sprintf("%.2f g of sodium thiosulfate pentahydrate.", d.Grams)}
		if d.Ammonia > 0 {
			lines = append(lines, fmt.Sprintf("It leaves %.2f mg/L of ammonia, as NH4, in the water: measure it, and let a filter or a binder take it before animals meet it.", d.Ammonia))
		}
		c.Say(append(lines, fmt.Sprintf("Two moles for each of Cl2, which does at any pH; in slow, full reaction %.2f g would do. Measure chlorine afterwards. Where a product is labelled for this, its label goes first.", d.Least))...)
	}
	litres.OnChanged = func(string) { compute() }
	chlorine.OnChanged = litres.OnChanged
	chloramine.OnChanged = func(bool) { compute() }
	compute()
	widgets.ShowDialog(v.session.Window, widgets.Dialog{Title: "Take chlorine out of tap water", Content: c.Content(), Focus: litres, Width: 520})
}
