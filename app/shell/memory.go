package shell

import (
	"encoding/json"

	"fyne.io/fyne/v2"

	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/tanks"
)

// memory keeps small settings of the window in Fyne's preferences, which may be
// lost: nothing that matters is here.
type memory struct{ fyne.Preferences }

var _ widgets.Memory = memory{}

// Recall implements widgets.Memory.
func (m memory) Recall(key string) string { return m.String(key) }

// Remember implements widgets.Memory.
func (m memory) Remember(key, value string) { m.SetString(key, value) }

// lastScreen is what is remembered of the open page.
type lastScreen struct {
	Ledger  string
	Place   session.Place
	Section session.Section
	System  tanks.SystemID
}

// rememberScreen keeps which page of the ledger is open.
func (w *Window) rememberScreen() {
	if w.session == nil || w.session.Room.Demo {
		return
	}
	w.app.Preferences().SetString(prefScreen, string(w.screenNow()))
}

// screenNow is the open screen in the way in which it is remembered.
func (w *Window) screenNow() []byte {
	last := lastScreen{w.session.Store.Path(), w.route.Place, w.route.Section, w.route.System}
	data, err := json.Marshal(last)
	if err != nil {
		return nil // no screen is remembered
	}
	return data
}

// firstScreen is the screen on which a ledger opens: the one that was open when the
// program met a fault, else the one of last time.
func (w *Window) firstScreen(ledger string) session.Route {
	if w.resume != nil && w.resume.Ledger == ledger && len(w.resume.Screen) > 0 {
		return screenIn(string(w.resume.Screen), ledger)
	}
	return w.rememberedScreen(ledger)
}

// rememberedScreen returns the page that was open last in this ledger, Rounds
// where none is remembered.
func (w *Window) rememberedScreen(ledger string) session.Route {
	return screenIn(w.app.Preferences().String(prefScreen), ledger)
}

// screenIn reads a remembered screen of a ledger, Rounds where it is none.
func screenIn(remembered, ledger string) session.Route {
	var last lastScreen
	if json.Unmarshal([]byte(remembered), &last) != nil || last.Ledger != ledger {
		return session.Route{Place: session.Rounds}
	}
	if last.Place < session.Rounds || last.Place > session.System || (last.Place == session.System && last.System == 0) {
		return session.Route{Place: session.Rounds}
	}
	if at, ok := last.Section.Place(); !ok || at != last.Place {
		last.Section = session.NoSection
	}
	return session.Route{Place: last.Place, Section: last.Section, System: last.System}
}
