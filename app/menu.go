package app

import (
	"fmt"
	"runtime"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/layout"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/words"
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

// keys names the command's keys as the keyboard shows them.
func (c command) keys() string {
	modifier := say.L("Ctrl")
	if runtime.GOOS == "darwin" {
		modifier = say.L("Cmd")
	}
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
		{label: say.L("New room ..."), key: fyne.KeyN, do: w.askNewRoom},
		{label: say.L("Open a file ..."), key: fyne.KeyO, do: w.askFile},
		{label: say.L("Demo room"), key: fyne.KeyD, shift: true, do: w.leaveForDemo},
		{label: say.L("Save what this screen holds"), key: fyne.KeyS, do: w.save, withLedger: true},
		{label: say.L("Import readings ..."), key: fyne.KeyI, do: w.goImport, withLedger: true},
		{label: say.L("Close the ledger"), key: fyne.KeyW, do: w.leave, withLedger: true},
	}}
	edit := commandMenu{title: say.L("Edit"), commands: []command{
		{label: say.L("Undo the last action"), key: fyne.KeyZ, do: w.undo, withLedger: true},
		{label: say.L("Redo what was undone"), key: fyne.KeyY, do: w.redo, withLedger: true},
	}}
	places := commandMenu{title: say.L("Go to")}
	for n, p := range railPlaces {
		places.commands = append(places.commands, command{
			label: say.Of(p), key: fyne.KeyName(fmt.Sprint(n + 1)), withLedger: true,
			do: func() { w.show(session.Route{Place: p}) },
		})
	}
	help := commandMenu{title: say.L("Help"), commands: []command{
		{label: say.L("Keys"), key: fyne.KeyL, do: w.showKeys},
		{label: say.L("The rail"), key: fyne.KeyR, do: w.focusRail, withLedger: true},
	}}
	return []commandMenu{room, edit, places, help}
}

func (w *Window) menu() *fyne.MainMenu {
	menu := fyne.NewMainMenu()
	for _, m := range w.commands() {
		items := make([]*fyne.MenuItem, 0, len(m.commands))
		for _, c := range m.commands {
			item := fyne.NewMenuItem(c.label, func() { w.run(c) })
			item.Shortcut = c.shortcut()
			items = append(items, item)
		}
		menu.Items = append(menu.Items, fyne.NewMenu(m.title, items...))
	}
	return menu
}

// run carries out a command unless a dialog is open or it needs a ledger that
// is not there.
func (w *Window) run(c command) {
	if w.win.Canvas().Overlays().Top() != nil || (c.withLedger && w.session == nil) {
		return
	}
	c.do()
}

func (w *Window) goImport() { w.show(session.Route{Place: session.Setup, Section: "Import"}) }

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
	{"Space, Enter", "press the button that has the focus"},
	{"Arrows, Page Up, Page Down", "move in a list or a grid"},
	{"Space in a list", "choose the row, or take the choice back"},
	{"Enter in a list", "open the row"},
	{"Letter or digit in a grid", "type a new value over the old one"},
	{"Enter, Tab in a grid", "keep the value and move down, or right"},
	{"F2 in a grid", "change the value in its cell"},
	{"Esc", "drop the edit, close the dialog"},
	{"Ctrl+C, Ctrl+V in a grid", "copy and paste a block of a spreadsheet"},
}

// showKeys lists all keys.
func (w *Window) showKeys() {
	grid := container.New(layout.NewFormLayout())
	add := func(keys, what string) {
		grid.Add(widgets.NewLine(keys, look.Text, true))
		grid.Add(widgets.NewLine(what, look.Text, false))
	}
	for _, m := range w.commands() {
		for _, c := range m.commands {
			add(c.keys(), strings.TrimSuffix(c.label, " ..."))
		}
	}
	for _, k := range screenKeys {
		add(say.L(k[0]), say.L(k[1]))
	}
	widgets.ShowMessage(w.win, say.L("Keys"), grid)
}
