package shell

import (
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
)

// surround is what stands around every screen: the line at the top with room,
// day and person, and the line at the bottom.
type surround struct {
	session  *session.Session
	room     *widgets.Line
	demo     *widgets.Line
	day      *widgets.Line
	person   *widgets.TextChoice
	search   *widgets.Button
	progress *widgets.Progress
	undo     *widgets.Button
	redo     *widgets.Button
	ledger   *widgets.Line
	backup   *widgets.Line
	keys     *widgets.Line
	page     *fyne.Container
}

func newSurround(s *session.Session, ledger string, undo, redo, jump func()) *surround {
	f := &surround{
		session:  s,
		room:     widgets.NewLine("", look.Text, true),
		demo:     widgets.NewLine("", look.Secondary, false),
		day:      widgets.NewLine("", look.Secondary, false),
		search:   widgets.NewSecondary(say.L("Go to ..."), jump).With(look.IconSearch),
		progress: widgets.NewProgress(),
		ledger:   widgets.NewLine(ledger, look.Secondary, false),
		backup:   widgets.NewLine("", look.Secondary, false),
		keys:     widgets.NewLine(say.L("F1 lists the keys"), look.Secondary, false),
		page:     container.NewStack(),
	}
	f.person = widgets.NewTextChoice(nil, s.Person)
	f.person.Empty = say.L("initials")
	f.person.OnChanged = func(name string) {
		s.Person = name
		s.RememberPerson(name)
	}
	f.undo, f.redo = widgets.NewSecondary("", undo).With(look.IconUndo), widgets.NewSecondary("", redo).With(look.IconRedo)
	f.showUndo("", "")
	f.update()
	return f
}

// longestUndo bounds the words on the button, which must not widen the window.
const longestUndo = 32

// showUndo names what can be taken back; what can be put back is what was just
// taken back. What cannot be is not shown.
func (f *surround) showUndo(undoes, redoes words.Text) {
	undo, redo := say.L(undoes), say.L(redoes)
	if words := []rune(undo); len(words) > longestUndo {
		undo = string(words[:longestUndo-1]) + "…"
	}
	f.undo.SetText(say.F("Undo %s", undo))
	f.undo.Hidden = undo == ""
	f.redo.SetText(say.L("Redo"))
	f.redo.Hidden = redo == ""
	f.undo.Refresh()
	f.redo.Refresh()
}

// update writes the room's name and the day again.
func (f *surround) update() {
	f.room.SetText(f.session.Room.Name)
	demo := ""
	if f.session.Room.Demo {
		demo = say.L("demonstration, invented data")
	}
	f.demo.SetText(demo)
	f.day.SetText(longDay(f.session.Now()))
}

// longDay writes a day with its weekday.
func longDay(t time.Time) string {
	return say.F("%s %s", say.Weekday(t.Weekday(), false), say.LongDay(t))
}

// with returns the whole window's content around the rail, with a layer over the page.
func (f *surround) with(rail, over fyne.CanvasObject) fyne.CanvasObject {
	who := container.NewHBox(widgets.NewLine(say.L("Working now"), look.Secondary, false),
		container.NewGridWrap(fyne.NewSize(look.Scaled(96), look.FieldHeight()), f.person))
	top := bar(
		container.NewBorder(
			nil,
			nil,
			nil,
			container.NewHBox(f.undo, f.redo, f.search, who),
			container.New(lineUp{12}, f.room, f.demo, f.day),
		),
	)
	bottom := bar(container.NewBorder(nil, nil, nil, container.NewHBox(f.progress, f.keys), container.New(lineUp{16}, f.ledger, f.backup)))
	middle := container.NewStack(container.NewPadded(f.page), over)
	return container.NewBorder(
		container.NewVBox(top, widgets.NewRule()), container.NewVBox(widgets.NewRule(), bottom),
		container.NewHBox(rail, widgets.NewRule()), nil,
		middle)
}

// show puts a page into the frame.
func (f *surround) show(page fyne.CanvasObject) {
	f.page.Objects = []fyne.CanvasObject{page}
	f.page.Refresh()
}

func bar(content fyne.CanvasObject) fyne.CanvasObject {
	return container.NewStack(widgets.NewPanel(look.Panel), container.New(layout.NewCustomPaddedLayout(2, 2, 14, 14), content))
}
