package dosing

import (
	"context"
	"math"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/forms"
	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// onceView is one water change: its volume, what it does, and its record.
type onceView struct {
	changes  *changesView
	litres   *widgets.QuantityEntry
	at       *widgets.DateTimeEntry
	note     *widgets.TextEntry
	form     *widgets.Form
	heading  *widgets.Heading
	cautions *fyne.Container // of chlorine and temperature
	table    *widgets.Table
	saving   bool // a save is under way: another one would write twice
	fields   fyne.CanvasObject
	does     fyne.CanvasObject
}

func newOnceView(changes *changesView) *onceView {
	s := changes.session
	v := &onceView{changes: changes, litres: s.VolumeEntry(0, 0), note: widgets.NewTextEntry(""),
		at: widgets.NewDateTimeEntry(time.Time{}, s.Zone, s.Clock), heading: widgets.NewHeading(say.L("What it does"),
			""), cautions: container.NewVBox()}
	v.litres.OnChanged = changes.compute
	v.form = widgets.NewForm(
		widgets.Field{Name: "litres", Label: say.L("Volume"), Input: v.litres, Help: say.L("taken out and replaced")},
		widgets.Field{Name: "at", Label: say.L("When"), Input: v.at, Help: say.L("empty: now")},
		widgets.Field{Name: "note", Label: say.L("Note"), Input: v.note},
	)
	number := fyne.TextAlignTrailing
	v.table = widgets.NewTable([]widgets.Column{
		{Title: say.L("Analyte"), Weight: 2, Max: 200}, {Title: say.L("Unit"), Width: 50}, {Title: say.L("Now"), Width: 56, Align: number},
		{Title: say.L("New"), Width: 60, Align: number, Spare: true}, {Title: say.L("After"), Width: 56, Align: number},
		{Title: say.L("In the band"), Weight: 2, Spare: true}, {Title: say.L("Volume to the aim"), Width: 124, Align: number},
	})
	v.fields = container.NewVBox(v.form, widgets.NewBar(widgets.NewPrimary(say.L("Record the change"), v.save).With(look.IconSave),
		widgets.NewSecondary(say.L("Plan a course"), func() { changes.way.SetSelected(manyChanges) }).With(look.IconCalendar)))
	v.does = container.NewBorder(container.NewVBox(v.heading, v.cautions), nil, nil, nil, v.table)
	return v
}

// propose fills in a tenth of the volume.
func (v *onceView) propose(s tanks.System) {
	if volume := s.NetVolume(); volume.Known() {
		v.litres.SetValue(math.Round(volume.Litres / 10))
	}
}

// take fills in how much was made, and of which recipe.
func (v *onceView) take(made tanks.NewWater) {
	v.litres.SetValue(made.Litres)
	if made.Name != "" {
		v.note.SetText(made.Name)
	}
}

// share returns the replaced part of the system's water, zero when it cannot
// be told.
func (v *onceView) share(s tanks.System) float64 {
	litres, err := v.litres.Value()
	volume := s.NetVolume()
	if err != nil || litres <= 0 || !volume.Known() || litres > volume.Litres {
		return 0
	}
	return litres / volume.Litres
}

// compute shows what the change does to every analyte known on both sides.
func (v *onceView) compute(s tanks.System) {
	share, fresh := v.share(s), v.changes.water.levels()
	v.heading.SetSubtitle(say.F("%.0f %% of %s", share*100, s.Code))
	v.cautions.Objects = nil
	for _, text := range v.changes.water.cautions(s, share) {
		v.cautions.Add(widgets.NewNotice(say.L("Before it goes in"), text, false))
	}
	v.cautions.Refresh()
	var rows []widgets.Row
	for _, info := range chem.Catalogue() {
		k := tanks.Cell{System: s.ID, Analyte: info.Analyte}
		e, known := v.changes.loaded.room.Estimate(k)
		n, here := fresh[info.Analyte]
		if !known || !here {
			continue
		}
		rows = append(rows, widgets.Row{ID: len(rows), Cells: v.cells(s, k, e, n, share)})
	}
	v.table.SetRows(rows)
}

func (v *onceView) cells(s tanks.System, k tanks.Cell, e tanks.Estimate, fresh, share float64) []widgets.Cell {
	a, in := k.Analyte, v.changes.session
	after, err := chem.DilutedBy(e.Value, share, fresh)
	cells := []widgets.Cell{
		{Text: say.Of(a)}, {Text: string(in.Unit(a)), Quiet: true},
		{Text: in.Value(a, e.Value)}, {Text: in.Value(a, fresh), Quiet: true},
		{Bold: in.Value(a, after)}, {}, {Text: "-", Quiet: true},
	}
	if err != nil {
		cells[4] = widgets.Cell{Text: "?", Quiet: true}
		return cells
	}
	band, ok := v.changes.loaded.room.BandHere(k)
	if !ok || !band.HasEdges() {
		return cells
	}
	cells[5].Gauge = &widgets.GaugeValue{Low: band.Low, Aim: band.Aim, High: band.High, Value: after, U: e.Uncertainty * (1 - share)}
	if s.NetVolume().Known() {
		cells[6].Text = v.toAim(e.Value, band.Aim, fresh, s.NetVolume().Litres)
	}
	return cells
}

// toAim writes the volume of new water that leads to the aim: in one change, and
// run in steadily while as much runs out.
func (v *onceView) toAim(value, aim, fresh, litres float64) string {
	in := v.changes.session
	need, err := chem.ShareFor(value, aim, fresh)
	if err != nil {
		return "-"
	}
	text := in.Volume(need*litres, 0)
	if turnover, err := chem.TurnoverFor(value, aim, fresh); err == nil {
		text = say.F("%s, drip %s", text, in.Volume(turnover*litres, 0))
	}
	return text
}

// save records the change.
func (v *onceView) save() {
	in := v.changes.session
	s, ok := v.changes.chosen()
	if !ok || v.saving {
		return
	}
	w := tanks.WaterChange{System: s.ID, From: v.changes.water.source(), At: in.Clock(), Person: in.Person}
	w.Note = strings.TrimSpace(v.note.Text)
	var faults []widgets.Fault
	litres, err := v.litres.Value()
	if err != nil {
		faults = append(faults, widgets.Fault{Field: "litres", Problem: say.Of(err)})
	}
	at, err := v.at.Time()
	if err != nil {
		faults = append(faults, widgets.Fault{Field: "at", Problem: say.Of(err)})
	} else if !at.IsZero() {
		w.At = at
	}
	w.Litres, w.Share = litres, v.share(s)
	fresh := v.changes.water.levels()
	for _, info := range chem.Catalogue() {
		if value, ok := fresh[info.Analyte]; ok {
			w.Water = append(w.Water, tanks.Level{Analyte: info.Analyte, Value: value})
		}
	}
	if len(faults) == 0 {
		faults = forms.Faults(w.Validate(in.Clock()))
	}
	v.form.ShowFaults(faults)
	if len(faults) > 0 {
		return
	}
	v.saving = true
	in.Try(func(ctx context.Context, store *storage.Store) error { return store.SaveWaterChange(ctx, &w) }, func(err error) {
		v.saving = false
		if err != nil {
			in.NotDone(say.L("Recording the water change"), err)
			return
		}
		v.litres.SetText("") // so that a second press records nothing
		v.note.SetText("")
		v.at.SetTime(time.Time{})
		v.form.Mark(nil)
		in.Say(session.Notice{Title: say.L("Saved"), Text: say.F("%s of %s changed.", in.Volume(w.Litres, 0), s.Code)})
	})
}
