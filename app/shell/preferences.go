package shell

import (
	"context"

	"weirkeeper/app/look"
	"weirkeeper/app/prefs"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/storage"
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

// roomOffered is the title of what offerRoom says.
const roomOffered words.Text = "The room's height and constants"

// offerRoom offers a room that says no height what this computer's settings hold of
// every room: height and constants are each room's own.
func (w *Window) offerRoom() {
	room, differs := prefs.ForRoom(w.app.Preferences(), w.session.Room)
	if !differs || w.session.Store.ReadOnly() {
		w.notices.settle(say.L(roomOffered))
		return
	}
	held := say.F("This computer's settings hold the constants of %s for every room.", room.Constants)
	if metres, said := room.Height.Metres(); said {
		held = say.F("This computer's settings hold a height of %.0f m above the sea for every room, and the constants of %s.", metres,
			room.Constants)
	}
	w.session.Say(session.Notice{
		Title: say.L(roomOffered),
		Text: say.F("%s This room says no height: it counts as at the sea, by the constants of %s. Use what is held for it, or give "+
			"its own in Setup.", held, w.session.Room.Constants),
		Stays: true,
		Do:    say.L("Use them for this room"),
		Then:  w.useOffered,
	})
}

// useOffered saves the room with what is held of every room.
func (w *Window) useOffered() {
	room, _ := prefs.ForRoom(w.app.Preferences(), w.session.Room)
	save := func(ctx context.Context, store *storage.Store) error { return store.SaveRoom(ctx, room) }
	w.session.Act(say.L("Saving the room"), save, nil)
}
