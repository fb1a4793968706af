// Package session holds what is open while the program runs: the ledger, the
// clock, the room's zone, the units shown, and the ways for a screen to do
// work, say what happened and go elsewhere. Screens get everything from here
// and nothing from globals.
package session

import (
	"context"
	"time"

	"fyne.io/fyne/v2"

	"weirkeeper/app/prefs"
	"weirkeeper/app/say"
	"weirkeeper/app/state"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/safekeeping"
	"weirkeeper/tanks"
)

// Session is one open ledger in one window. All its methods are called on the
// window's goroutine.
type Session struct {
	Store *storage.Store
	// Reads shares one read of the room among the screens.
	Reads  *state.Reads
	Clock  func() time.Time
	Room   tanks.Room
	Zone   *time.Location
	Window fyne.Window
	Runner Runner
	// Person is who works now; it goes beside every entry. It may be empty.
	Person string
	// Workstation is a name for the user's program on this machine: what is done is
	// taken back where it was done.
	Workstation string
	// Prefs are the preferences of who works now.
	Prefs prefs.Preferences
	// SetPrefs takes over changed preferences and keeps them; set by the window.
	SetPrefs func(prefs.Preferences)
	// Go opens a place; set by the window.
	Go func(Route)
	// Say shows a notice above the screen; set by the window.
	Say func(Notice)
	// Loaded is called after a screen has shown what it loaded; set by the
	// window, which then gives the keyboard to the screen.
	Loaded func()
	// Undo takes the last action of the session back; set by the window.
	Undo func()
	// Working shows long work in the bottom line; set by the window.
	Working Working
	// Memory keeps how lists are shown; set by the window.
	Memory widgets.Memory
	// Backups keeps the ledger's backups; set by the window.
	Backups Backups
	// Failed is told why a deed failed, behind whoever asked for it; set by the window.
	Failed func(error)
	// RememberPerson is called with every change of Person; set by the window.
	RememberPerson func(string)

	drafts map[string]*Draft // by name; the newest of a name

	ctx context.Context // ends with the session
	end context.CancelFunc
}

// Backups is what the window does for the ledger's backups.
type Backups interface {
	// Folder is where they go.
	Folder() string
	// SetFolder chooses another folder, empty for the one beside the ledger.
	SetFolder(string)
	// Make makes one now, in the background; done is called after it.
	Make(done func(error))
	// Restore puts a backup in the place of the open ledger and opens it.
	Restore(safekeeping.Backup)
}

// Working shows long work.
type Working interface {
	// Begin shows that work begins. The context ends when the person stops it,
	// which they can if canStop.
	Begin(doing string, canStop bool) (context.Context, Work)
}

// Work is a piece of long work that goes on.
type Work interface {
	// Set says how far it is, 0 to 1; from any goroutine.
	Set(share float64)
	// End says that it is over, however it ended.
	End()
}

// Route says where to go and what to show there. Only Place is required.
type Route struct {
	Place   Place
	Section Section // a section of the place; none: the one that was open
	System  tanks.SystemID
	Analyte chem.Analyte
	// Cells are what a round or a plan is about: the due tests for the Test
	// sheet, the decisions for Dosing.
	Cells []tanks.Cell
	// New asks for a new record of the section, such as a system.
	New bool
	// Water is new water for a water change; nil: that of a source.
	Water *tanks.NewWater
}

// Notice tells what happened, what was kept and what to do.
type Notice struct {
	Title string
	Text  string
	Bad   bool   // something went wrong
	Stays bool   // on every page, until it is closed or settled
	Do    string // label of the next step; empty: none
	Then  func() // the next step
}

// Unit returns the unit in which a is shown and typed.
func (s *Session) Unit(a chem.Analyte) chem.Unit { return s.Prefs.Unit(a) }

// VolumeUnit returns the unit in which volumes of water are shown and typed.
func (s *Session) VolumeUnit() chem.VolumeUnit { return s.Prefs.Volume }

// Language is what is written without a window, such as charts, is written in.
func (s *Session) Language() words.Language { return say.Language() }

// Value writes a canonical value of a in the unit shown, without the unit.
func (s *Session) Value(a chem.Analyte, v float64) string {
	return s.Prefs.Value(a, v)
}

// Volume writes litres in the unit that volumes are shown in, with so many
// decimals of a litre.
func (s *Session) Volume(litres float64, decimals int) string {
	return s.Prefs.Litres(litres, decimals)
}

// Now returns the clock's instant in the room's zone.
func (s *Session) Now() time.Time { return s.Clock().In(s.Zone) }

// Day writes the day of t as the screens show it: "Tue 10 Mar", with the year
// in place of the weekday when it is not this one.
func (s *Session) Day(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	t = t.In(s.Zone)
	if t.Year() != s.Now().Year() {
		return say.Day(t)
	}
	return say.F("%s %s", say.Weekday(t.Weekday(), true), say.DayOfYear(t))
}

// Minute writes t as day and time of day.
func (s *Session) Minute(t time.Time) string { return s.Day(t) + ", " + say.Clock(t.In(s.Zone)) }

// Age formats how long ago t was: "today", "3 d", "never" for the zero time.
func (s *Session) Age(t time.Time) string {
	if t.IsZero() {
		return say.L("never")
	}
	days := DaysBetween(t.In(s.Zone), s.Now())
	if days <= 0 {
		return say.L("today")
	}
	return say.F("%d d", days)
}

// DaysBetween counts the midnights from a to b in a's zone.
func DaysBetween(a, b time.Time) int {
	b = b.In(a.Location())
	midnight := func(t time.Time) time.Time {
		return time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, time.UTC)
	}
	return int(midnight(b).Sub(midnight(a)).Hours() / 24)
}

// CouldNotRead says that something could not be read, and why.
func (s *Session) CouldNotRead(reading string, err error) {
	s.Say(
		Notice{
			Title: say.F("%s: it could not be read", reading),
			Text:  say.F("%s\nNothing was changed by this. Open the page again to try once more.", reasonOf(err)),
			Bad:   true,
		},
	)
}

// NotDone says that what a person did is not done, why, and that what was typed
// is still there.
func (s *Session) NotDone(doing string, err error) {
	s.Say(
		Notice{
			Title: say.F("%s: not done", doing),
			Text:  say.F("%s\nNothing was saved by this; what you typed is still here.", reasonOf(err)),
			Bad:   true,
		},
	)
}

// reasonOf says an error; of several faults, each.
func reasonOf(err error) string {
	if fs := tanks.FaultsOf(err); fs != nil {
		return say.Of(fs)
	}
	return say.Of(err)
}
