package shell

import (
	"context"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/forms"
	"weirkeeper/app/ledgers"
	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

const welcomeWidth = 560

// ShowWelcome shows the page that offers a new room, the demo room or a file,
// with a notice when there is one to give and those that waited for a ledger. An open
// ledger is closed first.
func (w *Window) ShowWelcome(n session.Notice) {
	if err := w.closeSession(); err != nil {
		n = session.Notice{Title: say.L("The ledger was not closed cleanly"), Text: say.Of(err), Bad: true}
	}
	w.win.SetTitle(programName)
	box := container.NewVBox(widgets.NewHeading(programName, say.L("The record and the next step for every system of a fish room.")))
	for _, n := range append(w.notices.take(), n) {
		if n.Title == "" {
			continue
		}
		var next []widgets.Action
		if n.Do != "" {
			next = append(next, widgets.Action{Text: n.Do, Do: n.Then})
		}
		box.Add(widgets.NewNotice(n.Title, n.Text, n.Bad, next...))
	}
	first := widgets.NewPrimary(say.L("New room"), w.askNewRoom).With(look.IconAdd)
	box.Add(
		offer(say.F("Start your own room. Its ledger is one file, kept in %s unless you choose another place.", ledgers.Folder()), first),
	)
	box.Add(
		offer(
			say.L(
				"Look around a fictional frag shop of 14 systems with 18 months of invented readings. You get a copy: nothing you do "+
					"there harms anything.",
			),
			widgets.NewSecondary(say.L("Demo room"), func() { w.openDemo("") }).With(look.IconRoom),
		),
	)
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

// askNewRoom asks for name, zone and file of a new room. The form stays until its
// ledger is there.
func (w *Window) askNewRoom() {
	var taken map[string]bool
	w.runner.Run(context.Background(), func(context.Context) error {
		taken = ledgers.Files()
		return nil
	}, func(error) { w.showNewRoom(taken) })
}

func (w *Window) showNewRoom(taken map[string]bool) {
	here := ledgers.LocalZone()
	name, zone, file := widgets.NewTextEntry(""), widgets.NewChoice(session.ZoneOptions(here), here), widgets.NewTextEntry("")
	suggested := ""
	name.OnChanged = func(text string) {
		if file.Text == suggested {
			suggested = ledgers.FileFor(text, taken)
			file.SetText(suggested)
		}
	}
	form := widgets.NewForm(
		widgets.Field{Name: "name", Label: say.L("Name of the room"), Input: name},
		widgets.Field{
			Name:  "zone",
			Label: say.L("Time zone"),
			Input: zone,
			Help:  say.L("Type a city or a country to find it. Days and due times follow it."),
		},
		widgets.Field{Name: "file", Label: say.L("Ledger file"), Input: file, Help: say.L("One file holds the whole room.")},
	)
	var closeForm func()
	making := false
	closeForm = widgets.ShowDialog(
		w.win,
		widgets.Dialog{
			Title:   say.L("New room"),
			Content: form,
			Confirm: say.L("Create"),
			Focus:   form.First(),
			Width:   480,
			OnConfirm: func() bool {
				room := tanks.Room{Name: strings.TrimSpace(name.Text), Zone: zone.Value()}
				path := strings.TrimSpace(file.Text)
				faults := forms.Faults(room.Validate())
				if path == "" {
					faults = append(
						faults,
						widgets.Fault{Field: "file", Problem: say.L("The ledger has no file"), Remedy: say.L("say where to keep it")},
					)
				}
				form.ShowFaults(faults)
				if len(faults) > 0 || making {
					return false
				}
				if w.session != nil && !w.commit() {
					return true // the open page has said what stands in the way
				}
				making = true
				w.createRoom(path, room, func(err error) {
					making = false
					if err != nil {
						form.ShowFaults([]widgets.Fault{{Field: "file", Problem: say.Of(err)}})
						return
					}
					closeForm()
				})
				return false
			},
		},
	)
}

// createRoom makes a new ledger and shows it on Setup, where a room begins. done is
// told before it is shown, or why it could not be made.
func (w *Window) createRoom(path string, room tanks.Room, done func(error)) {
	var store *storage.Store
	clock := w.clock
	w.runner.Run(context.Background(), func(ctx context.Context) (err error) {
		store, err = ledgers.Create(ctx, path, room, clock)
		return err
	}, func(err error) {
		done(err)
		if err == nil {
			w.opened(store, nil, true)
			w.Show(session.Route{Place: session.Setup})
		}
	})
}

// askFile lets the person choose a ledger to open.
func (w *Window) askFile() {
	widgets.AskOpen(w.win, []string{ledgers.Suffix}, ledgers.Folder(), func(path string) {
		if w.session != nil && !w.commit() {
			return
		}
		if w.session != nil {
			w.ShowWelcome(session.Notice{})
		}
		w.openFile(path)
	})
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
