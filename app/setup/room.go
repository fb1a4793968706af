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
	"weirkeeper/assets/words"
	"weirkeeper/chem/seawater"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// roomView is the room's own particulars.
type roomView struct {
	session   *session.Session
	room      tanks.Room // as the ledger has it
	name      *widgets.TextEntry
	zone      *widgets.Choice[string]
	height    *widgets.QuantityEntry
	constants *widgets.Choice[seawater.Set]
	note      *widgets.TextEntry
	form      *widgets.Form
	keep      func()    // keeps what is typed in the ledger
	before    roomDraft // what the form was filled with
	filling   bool      // by the program, not by a person
	saving    bool
	content   fyne.CanvasObject
}

const formWidth = 560

func newRoomView(s *session.Session, keep func()) *roomView {
	v := &roomView{
		session:   s,
		name:      widgets.NewTextEntry(""),
		zone:      widgets.NewChoice(session.ZoneOptions(""), ""),
		height:    heightEntry(),
		constants: widgets.NewChoice(widgets.OptionsOf(seawater.Sets(), func(s seawater.Set) string { return say.Of(s) }), 0),
		note:      widgets.NewNoteEntry("", 3),
		keep:      keep,
	}
	v.name.OnChanged = func(string) { v.typed() }
	v.note.OnChanged = func(string) { v.typed() }
	v.zone.OnChanged = func(string) { v.typed() }
	v.height.OnChanged = v.typed
	v.constants.OnChanged = func(seawater.Set) { v.typed() }
	v.form = widgets.NewForm(
		widgets.Field{Name: "name", Label: say.L("Name"), Input: v.name},
		widgets.Field{
			Name:  "zone",
			Label: say.L("Time zone"),
			Input: v.zone,
			Help:  say.L("Type a city or a country to find it. Days and due times follow it; what is recorded stays as it is."),
		},
		widgets.Field{
			Name:  "height",
			Label: say.L("Height above the sea"),
			Input: v.height,
			Help:  say.L("Air is thinner higher up: oxygen and carbon dioxide follow it. Empty counts as at the sea."),
		},
		widgets.Field{
			Name:  "constants",
			Label: say.L("Constants of carbon dioxide"),
			Input: v.constants,
			Help:  say.L("Which published constants and borate the sea's chemistry goes by; results name them."),
		},
		widgets.Field{Name: "note", Label: say.L("Note"), Input: v.note},
	)
	column := container.NewVBox(v.form, widgets.NewBar(widgets.NewPrimary(say.L("Save the room"), v.save).With(look.IconSave)))
	v.content = widgets.NewScrolled(container.NewHBox(container.New(&atWidth{look.Scaled(formWidth)}, column)))
	return v
}

// heightEntry is a field for a height that is kept in m.
func heightEntry() *widgets.QuantityEntry {
	const foot = 0.3048 // m, the international foot of 1959
	unit := func(name words.Text, metres float64) widgets.QuantityUnit {
		return widgets.QuantityUnit{
			Name: name, Of: func(m float64) (float64, error) { return m / metres, nil },
			Kept: func(v float64) (float64, error) { return v * metres, nil },
		}
	}
	return widgets.NewQuantityEntry(unit("m", 1), unit("ft", foot))
}

func (v *roomView) object() fyne.CanvasObject { return v.content }

func (v *roomView) focus() fyne.Focusable { return v.name }

// draftOf is a room as the form shows it.
func draftOf(room tanks.Room) roomDraft {
	d := roomDraft{Name: room.Name, Zone: room.Zone, Note: room.Note, Constants: room.Constants}
	if m, said := room.Height.Metres(); said {
		d.Height = widgets.PlainNumber(m)
	}
	return d
}

// show fills the form, unless something was typed into it that is not saved.
func (v *roomView) show(l *loaded) {
	changed := v.changed()
	v.room, v.before = l.room, draftOf(l.room)
	if !changed {
		v.fill(v.before)
	}
}

func (v *roomView) fill(d roomDraft) {
	v.filling = true
	v.name.SetText(d.Name)
	v.zone.SetOptions(session.ZoneOptions(d.Zone))
	v.zone.Clear()
	v.zone.SetSelected(d.Zone)
	v.height.SetText(d.Height)
	v.constants.SetSelected(d.Constants)
	v.note.SetText(d.Note)
	v.filling = false
}

// typed keeps what a person types.
func (v *roomView) typed() {
	if !v.filling {
		v.keep()
	}
}

// shown is what stands in the form.
func (v *roomView) shown() roomDraft {
	return roomDraft{
		Name: strings.TrimSpace(v.name.Text), Zone: v.zone.Value(), Note: v.note.Text, Height: strings.TrimSpace(v.height.Text()),
		Constants: v.constants.Value(),
	}
}

// asked is the room as the form has it, with what cannot be read of it.
func (v *roomView) asked() (tanks.Room, []widgets.Fault) {
	room, typed := v.room, v.shown()
	room.Name, room.Zone, room.Note, room.Constants, room.Height = typed.Name, typed.Zone, typed.Note, typed.Constants, tanks.Height{}
	var faults []widgets.Fault
	if !v.height.Empty() {
		m, err := v.height.Value()
		if err != nil {
			faults = []widgets.Fault{{Field: "height", Problem: say.Of(err)}}
		}
		room.Height = tanks.HeightOf(m)
	}
	return room, append(faults, forms.Faults(room.Validate())...)
}

func (v *roomView) changed() bool { return v.shown() != v.before }

// draft returns what is typed and not saved, nil for nothing.
func (v *roomView) draft() *roomDraft {
	if !v.changed() {
		return nil
	}
	typed := v.shown()
	return &typed
}

// takeUp puts what was kept back in its place, unless something else is typed.
func (v *roomView) takeUp(d *roomDraft) {
	if d != nil && !v.changed() {
		v.fill(*d)
	}
}

// waiting says what leaving the section does not save.
func (v *roomView) waiting() (session.Notice, bool) {
	return session.Notice{
		Title: say.L("The room is not saved yet"),
		Text:  say.L("Its particulars are kept here as you typed them, and hold when you save them."),
	}, v.changed()
}

// save writes the room; what is refused is shown at its field, and what was typed
// stays.
func (v *roomView) save() {
	room, faults := v.asked()
	v.form.ShowFaults(faults)
	if len(faults) > 0 || v.saving || !v.changed() {
		return
	}
	v.saving = true
	v.session.Try(func(ctx context.Context, store *storage.Store) error { return store.SaveRoom(ctx, room) }, func(err error) {
		v.saving = false
		if err == nil {
			v.room, v.before = room, v.shown()
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
