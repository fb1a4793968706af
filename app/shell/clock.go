package shell

import (
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/storage"
)

// clockDoubted asks whether the computer's clock is right that does not go with what
// the ledger holds. Until the person says so nothing is saved by it; the notice stays
// and leads back to the question.
func (w *Window) clockDoubted(clock *storage.ClockError) {
	title := say.L("Is this computer's clock right?")
	if w.session == nil || w.notices.hold(title) {
		return
	}
	ask := func() { w.askClock(title, clock) }
	w.session.Say(session.Notice{Title: title, Text: say.Of(clock), Bad: true, Stays: true, Do: say.L("Answer"), Then: ask})
	if !w.doubted {
		w.doubted = true
		ask()
	}
}

func (w *Window) askClock(title string, clock *storage.ClockError) {
	s := w.session
	text := say.F(
		"%s\nWhat is due, and the day of what you save, follow the clock. If it is wrong, close the program, set the clock and start "+
			"again; nothing is saved until then.",
		say.Of(clock),
	)
	widgets.ShowUnasked(w.win, title, text, say.L("The clock is right"), func() {
		if w.session != s {
			return
		}
		s.Store.TrustClock()
		w.doubted = false
		w.notices.settle(title)
		if page, ok := w.pages[w.now]; ok {
			page.Reload()
		}
	})
}
