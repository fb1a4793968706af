package system

import (
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks/derive"
)

// carbonForm tells carbon dioxide by pH and alkalinity, the pH that a controller would
// be set to, and the pH at another temperature.
type carbonForm struct {
	session *session.Session
	in      *loaded
	wanted  *widgets.QuantityEntry
	warmth  *widgets.QuantityEntry
	calc    *widgets.Calculator
}

// usualCO2 is what planted systems are often led to, in mg/L (common practice, no
// source).
const usualCO2 = 20

// askCarbon opens the sum.
func (p *Page) askCarbon() {
	f := newCarbonForm(p.session, p.loaded)
	widgets.ShowDialog(p.session.Window, widgets.Dialog{
		Title: say.F("Carbon dioxide and pH: %s",
			p.loaded.system.Code), Content: f.calc.Content(), Focus: f.wanted.FocusTarget(), Width: sumWidth,
	})
}

func newCarbonForm(s *session.Session, l *loaded) *carbonForm {
	f := &carbonForm{
		session: s, in: l, wanted: s.ValueEntry(chem.CarbonDi, l.room.Water(l.system.ID)), warmth: s.ValueEntry(chem.Temperature,
			chem.Water{}),
	}
	f.wanted.SetValue(usualCO2)
	f.calc = widgets.NewCalculator(
		widgets.Field{Name: "wanted", Label: say.L("Carbon dioxide wanted"), Input: f.wanted,
			Help: say.L("planted systems are often led to 15 to 30 mg/L: common practice, no source; watch the fish")},
		widgets.Field{Name: "warmth", Label: say.L("Another temperature"), Input: f.warmth,
			Help: say.L("for the pH of the same water there; may stay empty")},
	)
	f.wanted.OnChanged, f.warmth.OnChanged = f.compute, f.compute
	f.compute()
	return f
}

func (f *carbonForm) compute() {
	in := f.in.known()
	a, assumed := in.Analysis()
	lines := f.now(in, a)
	if !f.wanted.Empty() {
		lines = append(f.led(in, a), lines...)
	}
	if !f.warmth.Empty() {
		lines = append(lines, f.at(in, a)...)
	}
	if assumed {
		lines = append(lines, say.L("The water is taken as without salt: measure conductivity."))
	}
	f.calc.Say(lines...)
}

// led says the pH of the carbon dioxide that is wanted.
func (f *carbonForm) led(in derive.Input, a chem.Analysis) []string {
	mgL := f.calc.Quantity("wanted", f.wanted)
	then, gas, err := a.WithCO2(mgL, in.By)
	if err != nil {
		f.calc.Wrong("wanted", err)
		return nil
	}
	lines := []string{say.F("%.4g mg/L of carbon dioxide are pH %.2f on the %s: what a controller would be set to.", mgL, then.PH,
		in.By.Scale)}
	litres := f.in.system.NetVolume().Litres
	switch {
	case gas > 0 && litres > 0:
		lines = append(lines, say.F("From what is in it that takes %.1f mg/L, %.1f g in all, beside what leaves to the air.", gas,
			gas*litres/1000))
	case gas > 0:
		lines = append(lines, say.F("From what is in it that takes %.1f mg/L, beside what leaves to the air.", gas))
	default:
		lines = append(lines, say.F("It holds more: %.1f mg/L must leave, by air or by plants.", -gas))
	}
	return append(lines,
		say.L("More than some 30 mg/L can stun fish, sooner where oxygen is low: raise it over days, by day alone, and watch them "+
			"breathe (common practice, no source). A drop of alkalinity lets the same pH mean less gas."))
}

// now says what pH and alkalinity tell of the carbon dioxide, with its doubt, and when
// they tell little; light stands beside it.
func (f *carbonForm) now(in derive.Input, a chem.Analysis) []string {
	by, err := a.CO2ByPH(in.Estimates[chem.PH].Uncertainty, in.Estimates[chem.Alkalinity].Uncertainty, in.By)
	if err != nil {
		f.calc.Wrong("wanted", err)
		return nil
	}
	lines := []string{say.F("Now %.1f ± %.1f mg/L, by pH %.2f ± %.2f and alkalinity %.2f ± %.2f meq/L (± is about 95 %%).", by.CO2, 2*by.U,
		a[chem.PH],
		2*in.Estimates[chem.PH].Uncertainty, a[chem.Alkalinity], 2*in.Estimates[chem.Alkalinity].Uncertainty)}
	for _, why := range by.Invalid {
		lines = append(lines, say.L(why))
	}
	if light, known := in.Estimates[chem.Light]; known {
		unit := f.session.Unit(chem.Light)
		lines = append(lines, say.F("Light: %s %s, %s. The more light, the more carbon dioxide and nutrients plants use.",
			f.session.Value(chem.Light, light.Value), unit, f.session.Age(light.At)))
	}
	return lines
}

// at says the pH at another temperature.
func (f *carbonForm) at(in derive.Input, a chem.Analysis) []string {
	tC := f.calc.Quantity("warmth", f.warmth)
	ph, err := a.PHAt(tC, in.By)
	if err != nil {
		f.calc.Wrong("warmth", err)
		return nil
	}
	shown := func(v float64) words.Text {
		return words.T("%s %s", f.session.Value(chem.Temperature, v), f.session.Unit(chem.Temperature))
	}
	return []string{say.F("The same water is at pH %.2f at %s; it was measured at %s. Nothing goes in or out.", ph, shown(tC),
		shown(a[chem.Temperature]))}
}
