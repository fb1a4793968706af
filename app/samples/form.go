package samples

import (
	"context"
	"strings"
	"time"

	"weirkeeper/app/forms"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// ask asks for a sample's particulars; one without ID is new.
func (p *Page) ask(s tanks.Sample) {
	if p.loaded == nil {
		return
	}
	title := say.L("Change the sample")
	if s.ID == 0 {
		title = say.L("Draw a sample")
		s.Drawn = p.session.Clock()
	}
	f := newSampleForm(p, s)
	forms.Show(p.session, forms.Ask{Title: title, Form: f.form, Read: func() (session.Deed, []widgets.Fault) {
		next, faults := f.read(p.session.Clock())
		return saving(next), faults
	}})
}

// saving is the deed that writes a sample.
func saving(s tanks.Sample) session.Deed {
	return func(ctx context.Context, store *storage.Store) error { return store.SaveSample(ctx, &s) }
}

// sampleForm asks for the particulars of a sample.
type sampleForm struct {
	sample     tanks.Sample
	system     *widgets.Choice[tanks.SystemID]
	code, note *widgets.TextEntry
	lab        *widgets.TextChoice
	moments    []moment
	form       *widgets.Form
}

// moment is a field for one of the sample's times.
type moment struct {
	name  string
	entry *widgets.DateTimeEntry
	of    func(*tanks.Sample) *time.Time
}

func newSampleForm(p *Page, s tanks.Sample) *sampleForm {
	systems := widgets.OptionsOf(p.loaded.ids(), func(id tanks.SystemID) string {
		system, _ := p.loaded.room.System(id)
		return system.Label()
	})
	f := &sampleForm{
		sample: s, system: widgets.NewChoice(systems, s.System), code: widgets.NewTextEntry(s.Code),
		lab: widgets.NewTextChoice(p.loaded.laboratories(), s.Lab), note: widgets.NewTextEntry(s.Note),
	}
	at := func(name string, of func(*tanks.Sample) *time.Time) *widgets.DateTimeEntry {
		entry := widgets.NewDateTimeEntry(*of(&s), p.session.Zone, p.session.Clock)
		f.moments = append(f.moments, moment{name, entry, of})
		return entry
	}
	drawn := at("drawn", func(s *tanks.Sample) *time.Time { return &s.Drawn })
	sent := at("sent", func(s *tanks.Sample) *time.Time { return &s.Sent })
	expected := at("expected", func(s *tanks.Sample) *time.Time { return &s.Expected })
	received := at("received", func(s *tanks.Sample) *time.Time { return &s.Received })
	f.form = widgets.NewForm(
		widgets.Field{Name: "system", Label: say.L("System"), Input: f.system},
		widgets.Field{Name: "code", Label: say.L("Code"), Input: f.code, Help: say.L("from the sample's tube")},
		widgets.Field{
			Name: "lab", Label: say.L("Laboratory"), Input: f.lab, Help: say.L("It decides by which methods the results are recorded."),
		},
		widgets.Field{Name: "drawn", Label: say.L("Drawn"), Input: drawn},
		widgets.Field{Name: "sent", Label: say.L("Sent"), Input: sent, Help: say.L("empty: not yet")},
		widgets.Field{Name: "expected", Label: say.L("Expected back"), Input: expected},
		widgets.Field{Name: "received", Label: say.L("Back"), Input: received, Help: say.L("empty: not yet")},
		widgets.Field{Name: "note", Label: say.L("Note"), Input: f.note},
	)
	return f
}

// read returns the sample as it is on the form, or what is wrong with it.
func (f *sampleForm) read(now time.Time) (tanks.Sample, []widgets.Fault) {
	s := f.sample
	s.System, s.Code = f.system.Value(), strings.TrimSpace(f.code.Text)
	s.Lab, s.Note = strings.TrimSpace(f.lab.Shown()), strings.TrimSpace(f.note.Text)
	var faults []widgets.Fault
	for _, m := range f.moments {
		at, err := m.entry.Time()
		if err != nil {
			faults = append(faults, widgets.Fault{Field: m.name, Problem: say.Of(err)})
		}
		*m.of(&s) = at
	}
	if len(faults) > 0 {
		return s, faults
	}
	return s, forms.Faults(s.Validate(now))
}

// ids are those of the systems in use.
func (l *loaded) ids() []tanks.SystemID {
	ids := make([]tanks.SystemID, len(l.room.Systems))
	for n, s := range l.room.Systems {
		ids[n] = s.ID
	}
	return ids
}

// laboratories are those that samples went to, the newest first.
func (l *loaded) laboratories() []string {
	var names []string
	known := map[string]bool{"": true}
	for _, s := range l.samples {
		if lab := tanks.FoldLaboratory(s.Lab); !known[lab] {
			known[lab] = true
			names = append(names, s.Lab)
		}
	}
	return names
}
