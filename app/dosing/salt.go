package dosing

import (
	"errors"
	"fmt"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/session"
	"weirkeeper/app/state"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// calculator is a form whose answer is written below it as one types.
type calculator struct {
	session *session.Session
	form    *widgets.Form
	faults  []widgets.Fault
	answer  *fyne.Container
	content fyne.CanvasObject
}

func newCalculator(s *session.Session, fields ...widgets.Field) *calculator {
	c := &calculator{session: s, form: widgets.NewForm(fields...), answer: container.NewVBox()}
	scroll := container.NewVScroll(container.NewVBox(c.form, c.answer))
	scroll.SetMinSize(fyne.NewSize(520, 430))
	c.content = scroll
	return c
}

// number reads a field; what is wrong stands at it.
func (c *calculator) number(name string, e *widgets.NumberEntry) float64 {
	v, err := e.Value()
	if err != nil {
		c.faults = append(c.faults, widgets.Fault{Field: name, Problem: err.Error()})
	}
	return v
}

// salinity reads a field in the unit that salinity is shown in, as PSU.
func (c *calculator) salinity(name string, e *widgets.NumberEntry) float64 {
	v, err := e.Value()
	if err == nil {
		var l chem.Level
		if l, err = chem.NewLevel(chem.Salinity, v, c.session.Unit(chem.Salinity), chem.Water{}); err == nil {
			v, err = l.In(chem.PSU, chem.Water{})
		}
	}
	if err != nil {
		c.faults = append(c.faults, widgets.Fault{Field: name, Problem: err.Error()})
	}
	return v
}

// wrong notes an error of a computation at the field that its quantity is
// typed in.
func (c *calculator) wrong(err error, fields map[string]string, otherwise string) {
	if err == nil {
		return
	}
	field := otherwise
	var r chem.RangeError
	if errors.As(err, &r) && fields[r.Quantity] != "" {
		field = fields[r.Quantity]
	}
	c.faults = append(c.faults, widgets.Fault{Field: field, Problem: err.Error()})
}

// say shows the faults or, without any, the lines, the first of them bold.
func (c *calculator) say(lines ...string) {
	c.form.ShowFaults(c.faults)
	c.answer.Objects = nil
	if len(c.faults) == 0 {
		for i, line := range lines {
			label := widgets.NewWrapped(line)
			label.TextStyle.Bold = i == 0
			c.answer.Add(label)
		}
	}
	c.faults = nil
	c.answer.Refresh()
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

var waterFields = map[string]string{"temperature": "temperature", "moisture of the salt": "moisture"}

const usualVat = 200 // L

// mixSalt asks for a batch of salt water and tells salt and water.
func (v *changesView) mixSalt() {
	litres, temperature, moisture := widgets.NewNumberEntryOf(usualVat), widgets.NewNumberEntryOf(25), widgets.NewNumberEntryOf(10)
	goal, source := salinityEntry(v.session, 35), widgets.NewNumberEntry("")
	unit := string(v.session.Unit(chem.Salinity))
	c := newCalculator(v.session,
		widgets.Field{Name: "litres", Label: "Litres to make", Input: litres},
		widgets.Field{Name: "goal", Label: "Salinity", Input: goal, Help: unit},
		widgets.Field{Name: "temperature", Label: "Temperature", Input: temperature, Help: "°C"},
		widgets.Field{Name: "source", Label: "Source water", Input: source, Help: unit + "; empty: no salt in it"},
		widgets.Field{Name: "moisture", Label: "Moisture of the salt", Input: moisture, Help: "%; a tenth or more is common practice, no source: correct it from a batch that you measured"},
	)
	compute := func(string) {
		from := 0.0
		if source.Text != "" {
			from = c.salinity("source", source)
		}
		l, s, t, m := c.number("litres", litres), c.salinity("goal", goal), c.number("temperature", temperature), c.number("moisture", moisture)
		var b chem.Batch
		if len(c.faults) == 0 {
			var err error
			b, err = chem.SeaSalt{Moisture: m / 100}.Batch(l, s, t, from)
			field := "litres"
			if errors.Is(err, chem.ErrFreshCant) {
				field = "source"
			}
			c.wrong(err, waterFields, field)
		}
		c.say(fmt.Sprintf("%.2f kg of salt into %.1f L of water.", b.SaltKg, b.WaterLitres),
			"Put salt into water, never water onto salt. Stir and aerate until it is clear, then measure before it is used: the scale and the label decide, not this sum.",
			"By mass, with the densities of EOS-80 and 35.165 g of salt in a kg at 35 PSU (Millero et al. 2008).")
	}
	for _, e := range []*widgets.NumberEntry{litres, goal, temperature, source, moisture} {
		e.OnChanged = compute
	}
	compute("")
	widgets.ShowDialog(v.session.Window, widgets.Dialog{Title: "Mix salt water", Content: c.content, Focus: litres, Width: 520})
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
	c := newCalculator(v.session,
		widgets.Field{Name: "litres", Label: "Net volume", Input: litres, Help: "L"},
		widgets.Field{Name: "now", Label: "Salinity now", Input: now, Help: unit},
		widgets.Field{Name: "goal", Label: "Goal", Input: goal, Help: unit},
		widgets.Field{Name: "fresh", Label: "Water to hand", Input: fresh, Help: unit + "; empty: RO/DI without salt"},
		widgets.Field{Name: "temperature", Label: "Temperature", Input: temperature, Help: "°C"},
	)
	compute := func(string) {
		with := 0.0
		if fresh.Text != "" {
			with = c.salinity("fresh", fresh)
		}
		l, s, g, t := c.number("litres", litres), c.salinity("now", now), c.salinity("goal", goal), c.number("temperature", temperature)
		var lines []string
		if len(c.faults) == 0 {
			ways, err := waysToSalinity(l, s, g, with, t)
			c.wrong(err, waterFields, "litres")
			lines = ways
		}
		c.say(append(lines, "Change salinity slowly, over days where animals live, and measure in between. Dissolve salt outside the system first.")...)
	}
	for _, e := range []*widgets.NumberEntry{litres, now, goal, fresh, temperature} {
		e.OnChanged = compute
	}
	compute("")
	widgets.ShowDialog(v.session.Window, widgets.Dialog{Title: "Correct the salinity of " + system.Code, Content: c.content, Focus: now, Width: 520})
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
