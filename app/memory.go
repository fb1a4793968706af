package app

import (
	"encoding/json"

	"fyne.io/fyne/v2"

	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
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
	last := lastScreen{w.session.Store.Path(), w.route.Place, w.route.Section, w.route.System}
	if data, err := json.Marshal(last); err == nil {
		w.app.Preferences().SetString(prefScreen, string(data))
	}
}

// rememberedScreen returns the page that was open last in this ledger, Rounds
// where none is remembered.
func (w *Window) rememberedScreen(ledger string) session.Route {
	var last lastScreen
	if json.Unmarshal([]byte(w.app.Preferences().String(prefScreen)), &last) != nil || last.Ledger != ledger {
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
