package shell

import (
	"fmt"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/layout"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
)

// command is one thing that the menus and their keys do. Main-menu keys work
// whatever has the focus.
type command struct {
	label string
	key   fyne.KeyName
	shift bool
	do    func()
	// withLedger commands need an open ledger.
	withLedger bool
	icon       look.Icon
	confirms   bool // presses the main button of a dialog that is open
	place      bool // goes to a place of the rail
	jump       bool // opens the search
}

func (c command) shortcut() fyne.Shortcut {
	// The window hands these two on under names of their own.
	if c.key == fyne.KeyZ {
		return &fyne.ShortcutUndo{}
	}
	if c.key == fyne.KeyY {
		return &fyne.ShortcutRedo{}
	}
	modifier := fyne.KeyModifierShortcutDefault
	if c.shift {
		modifier |= fyne.KeyModifierShift
	}
	return &desktop.CustomShortcut{KeyName: c.key, Modifier: modifier}
}

// bare tells whether the key is pressed without Ctrl. Menus do not take such
// keys, so the window does.
func (c command) bare() bool { return c.key == fyne.KeyF1 }

// keys names the command's keys as the keyboard shows them.
func (c command) keys() string {
	if c.key == "" || c.bare() {
		return string(c.key)
	}
	modifier := widgets.MainModifier()
	if c.shift {
		modifier += "+Shift"
	}
	return modifier + "+" + string(c.key)
}

type commandMenu struct {
	title    string
	commands []command
}

// commands are the menus from left to right.
func (w *Window) commands() []commandMenu {
	room := commandMenu{title: say.L("Ledger"), commands: []command{
		{label: say.L("New room ..."), key: fyne.KeyN, do: w.askNewRoom, icon: look.IconAdd},
		{label: say.L("Open a file ..."), key: fyne.KeyO, do: w.askFile, icon: look.IconOpen},
		{label: say.L("Demo room"), key: fyne.KeyD, shift: true, do: w.leaveForDemo, icon: look.IconRoom},
		{label: say.L("Save what this screen holds"), key: fyne.KeyS, do: w.save, withLedger: true, confirms: true, icon: look.IconSave},
		{label: say.L("Import readings ..."), key: fyne.KeyI, do: w.goTo(session.SetupImport), withLedger: true, icon: look.IconImport},
		{label: say.L("Back up now"), key: fyne.KeyB, do: w.backUpNow, withLedger: true, icon: look.IconVerify},
		{label: say.L("Preferences ..."), key: fyne.KeyComma, do: w.goTo(session.SetupPreferences), withLedger: true, icon: look.IconSetup},
		{label: say.L("Close the ledger"), key: fyne.KeyW, do: w.leave, withLedger: true, icon: look.IconClear},
		{label: say.L("Quit"), key: fyne.KeyQ, do: w.askToClose, icon: look.IconStop},
	}}
	edit := commandMenu{title: say.L("Edit"), commands: []command{
		{label: say.L("Undo the last action"), key: fyne.KeyZ, do: w.undo, withLedger: true, icon: look.IconUndo},
		{label: say.L("Redo what was undone"), key: fyne.KeyY, do: w.redo, withLedger: true, icon: look.IconRedo},
	}}
	places := commandMenu{title: say.L("Go to"), commands: []command{
		{label: say.L("Search ..."), key: fyne.KeyK, do: w.jump, withLedger: true, icon: look.IconSearch, jump: true},
	}}
	for n, p := range railPlaces {
		places.commands = append(places.commands, command{
			label: say.Of(p), key: fyne.KeyName(fmt.Sprint(n + 1)), withLedger: true, icon: placeIcon(p), place: true,
			do: func() { w.show(session.Route{Place: p}) },
		})
	}
	help := commandMenu{title: say.L("Help"), commands: []command{
		{label: say.L("Keys"), key: fyne.KeyF1, do: w.showKeys, icon: look.IconKeys},
		{label: say.L("The rail"), key: fyne.KeyR, do: w.focusRail, withLedger: true, icon: look.IconColumns},
	}}
	return []commandMenu{room, edit, places, help}
}

func (w *Window) menu() *fyne.MainMenu {
	menu := fyne.NewMainMenu()
	for _, m := range w.commands() {
		column := keysColumn(m.commands)
		items := make([]*fyne.MenuItem, 0, len(m.commands))
		for _, c := range m.commands {
			item := fyne.NewMenuItem(c.label, func() { w.run(c) })
			if c.key != "" && !c.bare() {
				item.Shortcut = c.shortcut()
			}
			if !nativeMenus {
				item.Shortcut = silent(item.Shortcut)
				item.Label = withKeys(c.label, c.keys(), column)
			}
			item.Icon = c.icon.Resource()
			items = append(items, item)
		}
		menu.Items = append(menu.Items, fyne.NewMenu(m.title, items...))
	}
	return menu
}

// run carries out a command unless a dialog is open, which only takes being
// confirmed, or it needs a ledger that is not there.
func (w *Window) run(c command) {
	if c.confirms && widgets.ConfirmDialog(w.win) {
		return
	}
	if w.win.Canvas().Overlays().Top() != nil || (c.withLedger && w.session == nil) {
		return
	}
	c.do()
}

// goTo returns what opens a section of Setup.
func (w *Window) goTo(section session.Section) func() {
	return func() { w.show(session.Route{Place: session.Setup, Section: section}) }
}

func (w *Window) backUpNow() {
	keeping{w}.Make(func(err error) {
		switch {
		case w.session == nil:
		case err != nil:
			w.session.NotDone(say.L("Backing up"), err)
		default:
			w.session.Say(session.Notice{Title: say.L("Backed up"), Text: say.L("The ledger and a verified copy of it are safe.")})
		}
	})
}

func (w *Window) leave() {
	if w.commit() {
		w.ShowWelcome(session.Notice{})
	}
}

func (w *Window) leaveForDemo() {
	if w.session != nil {
		if !w.commit() {
			return
		}
		w.ShowWelcome(session.Notice{})
	}
	w.openDemo("")
}

// focusRail puts the keyboard on the open place of the rail.
func (w *Window) focusRail() {
	for _, item := range w.rail.items {
		if item.chosen {
			w.win.Canvas().Focus(item)
		}
	}
}

// screenKeys are the keys that screens and lists understand.
var screenKeys = [][2]words.Text{
	{"Tab, Shift+Tab", "next and previous field"},
	{"F6", "on to the next field, out of a grid as well"},
	{"Space, Enter", "press the button that has the focus"},
	{"Arrows, Page Up, Page Down", "move in a list, a grid or a calendar"},
	{"Letters in a list", "show only rows that hold them; Esc shows all"},
	{"Space, Shift+arrows in a list", "tick the row, or the rows passed"},
	{"Enter in a list", "open the row"},
	{"Digits in a grid", "type a new value over the old one"},
	{"Enter, Tab in a grid", "keep the value and go down, or right, to the next due cell"},
	{"F3 in a grid", "stop at every cell, or only at due ones again"},
	{"F2, Delete in a grid", "change the value in its cell, or clear it"},
	{"Ctrl+C, Ctrl+V in a grid", "copy and paste a block of a spreadsheet"},
	{"Ctrl+Enter in a note", "confirm the dialog; Enter alone begins a line"},
	{"Up, Down, F4 in a date", "a day later, a day earlier, the calendar"},
	{"Left, Right, +, -, 0 in a chart", "from point to point, zoom in, zoom out, show all"},
	{"Esc", "drop the edit, close the dialog or the notice"},
}

// showKeys lists all keys.
func (w *Window) showKeys() {
	left, right := container.New(layout.NewFormLayout()), container.New(layout.NewFormLayout())
	add := func(to *fyne.Container, keys, what string) {
		to.Add(widgets.NewLine(keys, look.Text, true))
		to.Add(widgets.NewLine(what, look.Text, false))
	}
	for _, m := range w.commands() {
		for _, c := range m.commands {
			add(left, c.keys(), strings.TrimSuffix(c.label, " ..."))
		}
	}
	for _, k := range screenKeys {
		add(right, say.L(k[0]), say.L(k[1]))
	}
	both := container.NewScroll(container.NewHBox(container.NewVBox(left), widgets.NewRule(), container.NewVBox(right)))
	size := w.win.Canvas().Size()
	least := both.Content.MinSize()
	both.SetMinSize(fyne.NewSize(min(least.Width+12, size.Width-80), min(least.Height+12, size.Height-160)))
	widgets.ShowMessage(w.win, say.L("Keys"), both)
}
