package setup

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/look"
	"weirkeeper/app/prefs"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
)

// preferencesView is how a person wants values, dates and the window shown.
type preferencesView struct {
	session *session.Session
	fields  []preference
	filled  bool
	shown   prefs.Preferences // that the fields were filled with
	form    *widgets.Form
	content fyne.CanvasObject
}

// preference is one choice: what can be chosen, and how it is read and put.
type preference struct {
	choice  *widgets.Choice[int] // of the places of options
	options []string
	get     func(prefs.Preferences) int
	put     func(*prefs.Preferences, int)
}

func newPreferencesView(s *session.Session) *preferencesView {
	v := &preferencesView{session: s}
	field := func(name string, label words.Text, help words.Text, p preference) widgets.Field {
		options := make([]widgets.Option[int], len(p.options))
		for n, name := range p.options {
			options[n] = widgets.Option[int]{Value: n, Name: name}
		}
		p.choice = widgets.NewChoice(options, -1)
		v.fields = append(v.fields, p)
		return widgets.Field{Name: name, Label: say.L(label), Input: p.choice, Help: say.L(help)}
	}
	v.form = widgets.NewForm(
		field("volume", "Volumes", "", volumeChoice()),
		field(
			"temperature",
			"Temperature",
			"",
			unitChoice(prefs.Temperatures, func(p *prefs.Preferences) *chem.Unit { return &p.Temperature }),
		),
		field(
			"alkalinity",
			"Alkalinity",
			"",
			unitChoice(prefs.Alkalinities, func(p *prefs.Preferences) *chem.Unit { return &p.Alkalinity }),
		),
		field(
			"salinity",
			"Salinity",
			"SG says the temperatures of sample and reference that the hydrometer is marked with",
			unitChoice(prefs.Salinities, func(p *prefs.Preferences) *chem.Unit { return &p.Salinity }),
		),
		field(
			"nutrients",
			"Nutrients",
			"nitrate, nitrite, ammonia, phosphate, silicate",
			wordChoice(
				[]words.Text{"as the ion, such as NO3", "as the element, such as NO3-N"},
				func(p *prefs.Preferences) *prefs.Nutrients { return &p.Nutrients },
			),
		),
		field(
			"decimal",
			"Decimal sign",
			"either one can be typed",
			wordChoice(
				[]words.Text{"as the desktop has it", "point: 8.3", "comma: 8,3"},
				func(p *prefs.Preferences) *prefs.Choice { return &p.Decimal },
			),
		),
		field(
			"dates",
			"Dates",
			"",
			wordChoice(
				[]words.Text{"as the desktop has it", "day first: 10 Mar 2026", "month first: Mar 10, 2026", "year first: 2026-03-10"},
				func(p *prefs.Preferences) *prefs.Choice { return &p.Dates },
			),
		),
		field("week", "First day of the week", "", weekChoice()),
		field(
			"theme",
			"Theme",
			"",
			wordChoice(
				[]words.Text{"as the desktop has it", "light", "dark"},
				func(p *prefs.Preferences) *look.Variant { return &p.Theme },
			),
		),
		field(
			"density",
			"Spacing",
			"",
			wordChoice([]words.Text{"compact", "comfortable"}, func(p *prefs.Preferences) *look.Density { return &p.Density }),
		),
	)
	note := widgets.NewWrapped(
		say.L("They are yours, on this computer. The ledger keeps values in units of its own, so that nothing in it changes."),
	)
	column := container.NewVBox(v.form, widgets.NewBar(widgets.NewPrimary(say.L("Use these"), v.use).With(look.IconDone)), note)
	v.content = widgets.NewScrolled(container.NewHBox(container.New(&atWidth{look.Scaled(formWidth)}, column)))
	return v
}

// wordChoice is a choice among words, each standing for its place.
func wordChoice[T ~int](options []words.Text, field func(*prefs.Preferences) *T) preference {
	p := preference{
		get: func(p prefs.Preferences) int { return int(*field(&p)) },
		put: func(p *prefs.Preferences, n int) { *field(p) = T(n) },
	}
	for _, o := range options {
		p.options = append(p.options, say.L(o))
	}
	return p
}

func volumeChoice() preference {
	return wordChoice(
		[]words.Text{"litres", "US gallons", "imperial gallons"},
		func(p *prefs.Preferences) *chem.VolumeUnit { return &p.Volume },
	)
}

func weekChoice() preference {
	p := wordChoice([]words.Text{"as the desktop has it"}, func(p *prefs.Preferences) *prefs.Choice { return &p.Week })
	for _, day := range prefs.Weeks {
		p.options = append(p.options, say.Weekday(day, false))
	}
	return p
}

// unitChoice is a choice among units; the first one is the usual.
func unitChoice(units []chem.Unit, field func(*prefs.Preferences) *chem.Unit) preference {
	var p preference
	for _, u := range units {
		p.options = append(p.options, string(u))
	}
	p.get = func(p prefs.Preferences) int {
		for n, u := range units {
			if u == *field(&p) {
				return n
			}
		}
		return 0
	}
	p.put = func(p *prefs.Preferences, n int) { *field(p) = units[n] }
	return p
}

func (v *preferencesView) object() fyne.CanvasObject { return v.content }

func (v *preferencesView) focus() fyne.Focusable { return v.form.First() }

// show fills the fields, unless something else was chosen that is not in use yet.
func (v *preferencesView) show(*loaded) {
	if v.changed() {
		return
	}
	v.filled, v.shown = true, v.session.Prefs
	for _, f := range v.fields {
		f.choice.SetSelected(f.get(v.shown))
	}
}

// changed tells whether something is chosen that is not in use.
func (v *preferencesView) changed() bool {
	return v.filled && slices.ContainsFunc(v.fields, func(f preference) bool { return f.choice.Value() != f.get(v.shown) })
}

// chosen are the preferences as the fields have them.
func (v *preferencesView) chosen() prefs.Preferences {
	next := v.shown
	for _, f := range v.fields {
		if n := f.choice.Value(); n != f.get(v.shown) {
			f.put(&next, n)
		}
	}
	return next
}

// waiting says what leaving the section does not put in use.
func (v *preferencesView) waiting() (session.Notice, bool) {
	return session.Notice{
		Title: say.L("Preferences not in use yet"),
		Text:  say.L("What you chose waits there until you press Use these."),
	}, v.changed()
}

// save is use, for Ctrl+S.
func (v *preferencesView) save() { v.use() }

// use takes the choices over; the window then shows everything anew, with this
// section open.
func (v *preferencesView) use() {
	v.shown = v.chosen()
	v.session.Go(session.Route{Place: session.Setup, Section: session.SetupPreferences})
	v.session.SetPrefs(v.shown)
}

// atWidth lays its object out at one width, as high as it needs.
type atWidth struct{ width float32 }

// MinSize implements fyne.Layout.
func (l *atWidth) MinSize(objects []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(l.width, objects[0].MinSize().Height)
}

// Layout implements fyne.Layout.
func (l *atWidth) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	objects[0].Resize(fyne.NewSize(l.width, size.Height))
}
