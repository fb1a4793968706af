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
	loaded  *loaded
	name    *widgets.TextEntry
	zone    *widgets.TextEntry
	note    *widgets.TextEntry
	form    *widgets.Form
	content fyne.CanvasObject
}

const formWidth = 560

func newRoomView(s *session.Session) *roomView {
	v := &roomView{session: s, name: widgets.NewTextEntry(""), zone: widgets.NewTextEntry(""), note: widgets.NewNoteEntry("", 3)}
	v.form = widgets.NewForm(
		widgets.Field{Name: "name", Label: say.L("Name"), Input: v.name},
		widgets.Field{Name: "zone", Label: say.L("Time zone"), Input: v.zone, Help: say.L("An IANA name such as Europe/Paris. Days and due times follow it; instants stay as they are.")},
		widgets.Field{Name: "note", Label: say.L("Note"), Input: v.note},
	)
	column := container.NewVBox(v.form, widgets.NewBar(widgets.NewPrimary(say.L("Save the room"), v.save).With(look.IconSave)))
	v.content = container.NewHBox(container.NewGridWrap(fyne.NewSize(formWidth, 260), column))
	return v
}

func (v *roomView) object() fyne.CanvasObject { return v.content }

func (v *roomView) focus() fyne.Focusable { return v.name }

func (v *roomView) show(l *loaded) {
	v.loaded = l
	v.name.SetText(l.room.Name)
	v.zone.SetText(l.room.Zone)
	v.note.SetText(l.room.Note)
}

// save writes the room; what is refused is shown at its field, and what was typed
// stays.
func (v *roomView) save() {
	room := tanks.Room{Name: strings.TrimSpace(v.name.Text), Zone: strings.TrimSpace(v.zone.Text), Note: v.note.Text, Demo: v.loaded.room.Demo}
	faults := forms.Faults(room.Validate())
	v.form.ShowFaults(faults)
	if len(faults) > 0 {
		return
	}
	v.session.Try(func(ctx context.Context, store *storage.Store) error { return store.SaveRoom(ctx, room) }, func(err error) {
		if err == nil {
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
