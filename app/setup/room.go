package setup

import (
	"context"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/forms"
	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// roomView is the room's own particulars.
type roomView struct {
	session *session.Session
	room    tanks.Room // as the ledger has it
	name    *widgets.TextEntry
	zone    *widgets.Choice[string]
	note    *widgets.TextEntry
	form    *widgets.Form
	keep    func() // keeps what is typed in the ledger
	filling bool   // by the program, not by a person
	saving  bool
	content fyne.CanvasObject
}

const formWidth = 560

func newRoomView(s *session.Session, keep func()) *roomView {
	v := &roomView{
		session: s,
		name:    widgets.NewTextEntry(""),
		zone:    widgets.NewChoice(session.ZoneOptions(""), ""),
		note:    widgets.NewNoteEntry("", 3),
		keep:    keep,
	}
	v.name.OnChanged = func(string) { v.typed() }
	v.note.OnChanged = func(string) { v.typed() }
	v.zone.OnChanged = func(string) { v.typed() }
	v.form = widgets.NewForm(
		widgets.Field{Name: "name", Label: say.L("Name"), Input: v.name},
		widgets.Field{
			Name:  "zone",
			Label: say.L("Time zone"),
			Input: v.zone,
			Help:  say.L("Type a city or a country to find it. Days and due times follow it; what is recorded stays as it is."),
		},
		widgets.Field{Name: "note", Label: say.L("Note"), Input: v.note},
	)
	column := container.NewVBox(v.form, widgets.NewBar(widgets.NewPrimary(say.L("Save the room"), v.save).With(look.IconSave)))
	v.content = widgets.NewScrolled(container.NewHBox(container.New(&atWidth{look.Scaled(formWidth)}, column)))
	return v
}

func (v *roomView) object() fyne.CanvasObject { return v.content }

func (v *roomView) focus() fyne.Focusable { return v.name }

// show fills the form, unless something was typed into it that is not saved.
func (v *roomView) show(l *loaded) {
	changed := v.changed()
	v.room = l.room
	if !changed {
		v.fill(l.room.Name, l.room.Zone, l.room.Note)
	}
}

func (v *roomView) fill(name, zone, note string) {
	v.filling = true
	v.name.SetText(name)
	v.zone.SetOptions(session.ZoneOptions(zone))
	v.zone.Clear()
	v.zone.SetSelected(zone)
	v.note.SetText(note)
	v.filling = false
}

// typed keeps what a person types.
func (v *roomView) typed() {
	if !v.filling {
		v.keep()
	}
}

// asked is the room as the form has it.
func (v *roomView) asked() tanks.Room {
	room := v.room
	room.Name, room.Zone, room.Note = strings.TrimSpace(v.name.Text), v.zone.Value(), v.note.Text
	return room
}

func (v *roomView) changed() bool { return v.asked() != v.room }

// draft returns what is typed and not saved, nil for nothing.
func (v *roomView) draft() *roomDraft {
	if !v.changed() {
		return nil
	}
	typed := v.asked()
	return &roomDraft{typed.Name, typed.Zone, typed.Note}
}

// takeUp puts what was kept back in its place, unless something else is typed.
func (v *roomView) takeUp(d *roomDraft) {
	if d != nil && !v.changed() {
		v.fill(d.Name, d.Zone, d.Note)
	}
}

// waiting says what leaving the section does not save.
func (v *roomView) waiting() (session.Notice, bool) {
	return session.Notice{
		Title: say.L("The room is not saved yet"),
		Text:  say.L("Its name, time zone and note are kept here as you typed them, and hold when you save them."),
	}, v.changed()
}

// save writes the room; what is refused is shown at its field, and what was typed
// stays.
func (v *roomView) save() {
	room := v.asked()
	faults := forms.Faults(room.Validate())
	v.form.ShowFaults(faults)
	if len(faults) > 0 || v.saving || !v.changed() {
		return
	}
	v.saving = true
	v.session.Try(func(ctx context.Context, store *storage.Store) error { return store.SaveRoom(ctx, room) }, func(err error) {
		v.saving = false
		if err == nil {
			v.room = room
			v.keep()
			saySaved(v.session, room.Name)
			return
		}
		if faults := forms.Faults(err); len(faults) > 0 {
			v.form.ShowFaults(faults)
			return
		}
		v.session.NotDone(say.L("Saving the room"), err)
	})
}
