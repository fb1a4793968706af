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
	"weirkeeper/app/sums"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// changesView plans and records a water change of one system.
type changesView struct {
	session *session.Session
	loaded  *loaded
	system  *widgets.Choice[tanks.SystemID]
	litres  *widgets.QuantityEntry
	from    *widgets.Choice[tanks.SystemID]
	at      *widgets.DateTimeEntry
	note    *widgets.TextEntry
	form    *widgets.Form
	table   *widgets.Table
	heading *widgets.Heading
	want    session.Route
	saving  bool // a save is under way: another one would write twice
	list    *fyne.Container
	filled  fyne.CanvasObject
	content fyne.CanvasObject
}

func newChangesView(s *session.Session) *changesView {
	v := &changesView{session: s, litres: s.VolumeEntry(0, 0), note: widgets.NewTextEntry(""), list: container.NewStack()}
	v.heading = widgets.NewHeading(say.L("What it does"), "")
	v.system, v.from = widgets.NewChoice[tanks.SystemID](nil, 0), widgets.NewChoice[tanks.SystemID](nil, noSource)
	v.at = widgets.NewDateTimeEntry(time.Time{}, s.Zone, s.Clock)
	v.system.OnChanged = func(tanks.SystemID) { v.systemChosen() }
	v.from.OnChanged = func(tanks.SystemID) { v.compute() }
	v.litres.OnChanged = v.compute
	v.form = widgets.NewForm(
		widgets.Field{Name: "system", Label: say.L("System"), Input: v.system},
		widgets.Field{Name: "litres", Label: say.L("Volume"), Input: v.litres, Help: say.L("taken out and replaced")},
		widgets.Field{Name: "from", Label: say.L("New water"), Input: v.from, Help: say.L("its newest readings are taken")},
		widgets.Field{Name: "at", Label: say.L("When"), Input: v.at, Help: say.L("empty: now")},
		widgets.Field{Name: "note", Label: say.L("Note"), Input: v.note},
	)
	number := fyne.TextAlignTrailing
	v.table = widgets.NewTable([]widgets.Column{
		{Title: say.L("Analyte"), Weight: 2, Max: 200}, {Title: say.L("Unit"), Width: 50}, {Title: say.L("Now"), Width: 56, Align: number},
		{Title: say.L("New"), Width: 60, Align: number, Spare: true}, {Title: say.L("After"), Width: 56, Align: number},
		{Title: say.L("In the band"), Weight: 2, Spare: true}, {Title: say.L("Volume to the aim"), Width: 124, Align: number},
	})
	caution := widgets.NewWrapped(say.L("Match temperature and salinity first. Switch off heaters and pumps that fall dry. " +
		"Do not pour treated or medicated water where local rules forbid it."))
	left := container.NewVBox(v.form, widgets.NewBar(widgets.NewPrimary(say.L("Record the change"), v.save).With(look.IconSave)), caution,
		widgets.NewBar(widgets.NewSecondary(say.L("Mix salt water"), v.sum(sums.MixSalt)).With(look.IconSamples),
			widgets.NewSecondary(say.L("Correct salinity"), v.sum(sums.CorrectSalinity)).With(look.IconWave),
			widgets.NewSecondary(say.L("Take out chlorine"), v.sum(sums.TakeOutChlorine)).With(look.IconWave),
			widgets.NewSecondary(say.L("Sums"), func() { sums.ShowList(v.session, v.given()) }).With(look.IconMeasure)))
	split := widgets.NewSides(widgets.NewScrolled(left), container.NewBorder(v.heading, nil, nil, nil, v.table), 0.36)
	v.filled = split
	v.content = v.list
	return v
}

func (v *changesView) object() fyne.CanvasObject { return v.content }

func (v *changesView) focus() fyne.Focusable { return widgets.IfShown(v.list, v.filled, v.system) }

// ask opens the section for a route's system.
func (v *changesView) ask(r session.Route) { v.want = r }

// noSource is chosen when the new water is none of the sources.
const noSource tanks.SystemID = 0

func (v *changesView) show(l *loaded) {
	v.loaded = l
	var systems []widgets.Option[tanks.SystemID]
	sources := []widgets.Option[tanks.SystemID]{{Value: noSource}}
	for _, s := range l.room.Systems {
		option := widgets.Option[tanks.SystemID]{Value: s.ID, Name: s.Label()}
		if s.Kind == tanks.Source {
			sources = append(sources, option)
		} else {
			systems = append(systems, option)
		}
	}
	if len(systems) == 0 {
		text := say.L("A water change belongs to a system, and new water to a source such as a mixing vat. Add both in Setup.")
		v.list.Objects = []fyne.CanvasObject{widgets.NewEmpty(say.L("No system yet"), text, addSystem(v.session))}
		v.list.Refresh()
		return
	}
	v.system.SetOptions(systems)
	v.from.SetOptions(sources)
	if _, chosen := v.system.Selected(); !chosen {
		v.system.SetSelected(systems[0].Value)
	}
	v.system.SetSelected(v.want.System)
	v.want = session.Route{}
	v.list.Objects = []fyne.CanvasObject{v.filled}
	v.list.Refresh()
	v.compute()
}

// chosen returns the system whose water is changed.
func (v *changesView) chosen() (tanks.System, bool) {
	if v.loaded == nil {
		return tanks.System{}, false
	}
	return v.loaded.room.System(v.system.Value())
}

// given is the chosen system, for a sum.
func (v *changesView) given() sums.Given {
	system, ok := v.chosen()
	if !ok {
		return sums.Given{}
	}
	return givenOf(v.loaded.room, system, v.from.Value())
}

// sum opens a sum about the chosen system.
func (v *changesView) sum(id sums.ID) func() {
	return func() { sums.Open(v.session, id, v.given()) }
}

// systemChosen proposes the usual new water and a tenth of the volume.
func (v *changesView) systemChosen() {
	s, ok := v.chosen()
	if !ok {
		return
	}
	source, _ := sourceFor(v.loaded.room, s)
	v.from.SetSelected(source.ID)
	if volume := s.NetVolume(); volume.Known() {
		v.litres.SetValue(math.Round(volume.Litres / 10))
	}
	v.compute()
}

// share returns the replaced part of the system's water, zero when it cannot
// be told.
func (v *changesView) share(s tanks.System) float64 {
	litres, err := v.litres.Value()
	volume := s.NetVolume()
	if err != nil || litres <= 0 || !volume.Known() || litres > volume.Litres {
		return 0
	}
	return litres / volume.Litres
}

// fresh is the composition of the chosen new water.
func (v *changesView) fresh() map[chem.Analyte]float64 {
	return waterOf(v.loaded.room, v.from.Value())
}

// compute shows what the change does to every analyte known on both sides.
func (v *changesView) compute() {
	s, ok := v.chosen()
	if !ok {
		return
	}
	share, fresh := v.share(s), v.fresh()
	v.heading.SetSubtitle(say.F("%.0f %% of %s", share*100, s.Code))
	var rows []widgets.Row
	for _, info := range chem.Catalogue() {
		k := tanks.Cell{System: s.ID, Analyte: info.Analyte}
		e, known := v.loaded.room.Estimate(k)
		n, here := fresh[info.Analyte]
		if !known || !here {
			continue
		}
		rows = append(rows, widgets.Row{ID: len(rows), Cells: v.cells(s, k, e, n, share)})
	}
	v.table.SetRows(rows)
}

func (v *changesView) cells(s tanks.System, k tanks.Cell, e tanks.Estimate, fresh, share float64) []widgets.Cell {
	a := k.Analyte
	after, err := chem.DilutedBy(e.Value, share, fresh)
	cells := []widgets.Cell{
		{Text: say.Of(a)}, {Text: string(v.session.Unit(a)), Quiet: true},
		{Text: v.session.Value(a, e.Value)}, {Text: v.session.Value(a, fresh), Quiet: true},
		{Bold: v.session.Value(a, after)}, {}, {Text: "-", Quiet: true},
	}
	if err != nil {
		cells[4] = widgets.Cell{Text: "?", Quiet: true}
		return cells
	}
	band, ok := v.loaded.room.BandHere(k)
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
func (v *changesView) toAim(value, aim, fresh, litres float64) string {
	need, err := chem.ShareFor(value, aim, fresh)
	if err != nil {
		return "-"
	}
	text := v.session.Volume(need*litres, 0)
	if turnover, err := chem.TurnoverFor(value, aim, fresh); err == nil {
		text = say.F("%s, drip %s", text, v.session.Volume(turnover*litres, 0))
	}
	return text
}

// save records the change.
func (v *changesView) save() {
	s, ok := v.chosen()
	if !ok || v.saving {
		return
	}
	w := tanks.WaterChange{System: s.ID, From: v.from.Value(), At: v.session.Clock(), Person: v.session.Person}
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
	fresh := v.fresh()
	for _, info := range chem.Catalogue() {
		if value, ok := fresh[info.Analyte]; ok {
			w.Water = append(w.Water, tanks.Level{Analyte: info.Analyte, Value: value})
		}
	}
	if len(faults) == 0 {
		faults = forms.Faults(w.Validate(v.session.Clock()))
	}
	v.form.ShowFaults(faults)
	if len(faults) > 0 {
		return
	}
	v.saving = true
	v.session.Try(func(ctx context.Context, store *storage.Store) error { return store.SaveWaterChange(ctx, &w) }, func(err error) {
		v.saving = false
		if err != nil {
			v.session.NotDone(say.L("Recording the water change"), err)
			return
		}
		v.litres.SetText("") // so that a second press records nothing
		v.note.SetText("")
		v.at.SetTime(time.Time{})
		v.session.Say(session.Notice{Title: say.L("Saved"), Text: say.F("%s of %s changed.", v.session.Volume(w.Litres, 0), s.Code)})
	})
}
