package shell

import (
	"weirkeeper/app/look"
	"weirkeeper/app/prefs"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
)

// usePrefs takes preferences over for the whole program, but for the theme.
func (w *Window) usePrefs(p prefs.Preferences) {
	w.prefs = p
	say.Use(p.Style())
	widgets.BeginWeeksOn(p.FirstDay())
}

// useTheme shows the theme that is preferred.
func (w *Window) useTheme() {
	w.app.Settings().SetTheme(look.Of(w.prefs.Theme, w.prefs.Density))
}

// SetPrefs keeps changed preferences and shows everything anew with them.
func (w *Window) SetPrefs(p prefs.Preferences) {
	if w.session != nil && !w.commit() {
		return
	}
	p.Save(w.app.Preferences())
	w.usePrefs(p)
	w.useTheme()
	w.win.SetMainMenu(w.menu())
	if w.session == nil {
		w.ShowWelcome(session.Notice{})
		return
	}
	w.session.Prefs = p
	w.build()
	w.open(w.route)
	w.session.Say(
		session.Notice{
			Title: say.L("Preferences are in use"),
			Text:  say.L("Every screen, chart and export follows them. The ledger is as it was."),
		},
	)
}
