package shell

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/forms"
	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/tanks"
)

const welcomeWidth = 560

// ShowWelcome shows the page that offers a new room, the demo room or a file,
// with a notice when there is one to give. An open ledger is closed first.
func (w *Window) ShowWelcome(n session.Notice) {
	if err := w.closeSession(); err != nil {
		n = session.Notice{Title: say.L("The ledger was not closed cleanly"), Text: say.Of(err), Bad: true}
	}
	w.win.SetTitle(programName)
	box := container.NewVBox(widgets.NewHeading(programName, say.L("The record and the next step for every system of a fish room.")))
	if n.Title != "" {
		var next []widgets.Action
		if n.Do != "" {
			next = append(next, widgets.Action{Text: n.Do, Do: n.Then})
		}
		box.Add(widgets.NewNotice(n.Title, n.Text, n.Bad, next...))
	}
	first := widgets.NewPrimary(say.L("New room"), w.askNewRoom).With(look.IconAdd)
	box.Add(offer(say.F("Start your own room. Its ledger is one file, kept in %s unless you choose another place.", DataFolder()), first))
	box.Add(offer(say.L("Look around a fictional frag shop of 14 systems with 18 months of invented readings. You get a copy: nothing you do there harms anything."),
		widgets.NewSecondary(say.L("Demo room"), func() { w.openDemo("") }).With(look.IconRoom)))
	box.Add(offer(say.L("Open a ledger that you have already."), widgets.NewSecondary(say.L("Open a file"), w.askFile).With(look.IconOpen)))
	w.welcome(box)
	w.win.Canvas().Focus(first)
}

// welcomeBusy shows what is being waited for before a ledger is open.
func (w *Window) welcomeBusy(text string) {
	if w.session != nil {
		return
	}
	w.welcome(container.NewVBox(widgets.NewHeading(programName, text)))
}

func (w *Window) welcome(content fyne.CanvasObject) {
	column := container.New(&fixedWidth{welcomeWidth}, content)
	w.win.SetContent(container.NewStack(widgets.NewPanel(look.Background), container.NewCenter(column)))
}

func offer(text string, button fyne.CanvasObject) fyne.CanvasObject {
	return container.NewPadded(container.NewVBox(widgets.NewWrapped(text), container.NewHBox(button)))
}

// askNewRoom asks for name, zone and file of a new room.
func (w *Window) askNewRoom() {
	name, zone, file := widgets.NewTextEntry(""), widgets.NewTextEntry(localZone()), widgets.NewTextEntry("")
	suggested := ""
	name.OnChanged = func(text string) {
		if file.Text == suggested {
			suggested = ledgerPath(text)
			file.SetText(suggested)
		}
	}
	form := widgets.NewForm(
		widgets.Field{Name: "name", Label: say.L("Name of the room"), Input: name},
		widgets.Field{Name: "zone", Label: say.L("Time zone"), Input: zone, Help: say.L("An IANA name such as Europe/Paris. Days and due times follow it.")},
		widgets.Field{Name: "file", Label: say.L("Ledger file"), Input: file, Help: say.L("One file holds the whole room.")},
	)
	widgets.ShowForm(w.win, say.L("New room"), say.L("Create"), form, func() bool {
		room := newRoom(name.Text, zone.Text)
		faults := forms.Faults(room.Validate())
		if strings.TrimSpace(file.Text) == "" {
			faults = append(faults, widgets.Fault{Field: "file", Problem: say.L("The ledger has no file"), Remedy: say.L("say where to keep it")})
		}
		if len(faults) > 0 {
			form.ShowFaults(faults)
			return false
		}
		if w.session != nil && !w.commit() {
			return true // the open page has said what stands in the way
		}
		if err := w.createRoom(file.Text, room.Name, room.Zone); err != nil {
			form.ShowFaults([]widgets.Fault{{Field: "file", Problem: say.Of(err)}})
			return false
		}
		return true
	})
}

// askFile lets the person choose a ledger to open.
func (w *Window) askFile() {
	widgets.AskOpen(w.win, []string{ledgerSuffix}, DataFolder(), func(path string) {
		if w.session != nil && !w.commit() {
			return
		}
		if w.session != nil {
			w.ShowWelcome(session.Notice{})
		}
		w.openFile(path)
	})
}

func newRoom(name, zone string) tanks.Room {
	return tanks.Room{Name: strings.TrimSpace(name), Zone: strings.TrimSpace(zone)}
}

// ledgerPath suggests a file for a room that does not exist yet.
func ledgerPath(room string) string {
	clean := strings.Map(func(r rune) rune {
		if strings.ContainsRune(`/\:*?"<>|`, r) || r < ' ' {
			return '-'
		}
		return r
	}, strings.TrimSpace(room))
	if strings.Trim(clean, ". ") == "" {
		return ""
	}
	path := filepath.Join(DataFolder(), clean+ledgerSuffix)
	for n := 2; ; n++ {
		if _, err := os.Stat(path); err != nil {
			return path
		}
		path = filepath.Join(DataFolder(), fmt.Sprintf("%s %d%s", clean, n, ledgerSuffix))
	}
}

// localZone returns the IANA name of this computer's zone, "UTC" when it has
// none.
func localZone() string {
	if name := time.Local.String(); name != "Local" && name != "" {
		return name
	}
	if link, err := os.Readlink("/etc/localtime"); err == nil {
		if _, name, ok := strings.Cut(link, "zoneinfo/"); ok {
			if _, err := time.LoadLocation(name); err == nil {
				return name
			}
		}
	}
	return "UTC"
}

// fixedWidth lays its objects out at one width, as high as they need.
type fixedWidth struct{ width float32 }

// MinSize implements fyne.Layout.
func (l *fixedWidth) MinSize(objects []fyne.CanvasObject) fyne.Size {
	var height float32
	for _, o := range objects {
		height = max(height, o.MinSize().Height)
	}
	return fyne.NewSize(l.width, height)
}

// Layout implements fyne.Layout.
func (l *fixedWidth) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	for _, o := range objects {
		o.Move(fyne.NewPos(0, 0))
		o.Resize(fyne.NewSize(l.width, size.Height))
	}
}
