package setup

import (
	"context"
	"fmt"
	"strconv"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/forms"
	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// systemsView lists the systems.
type systemsView struct {
	session *session.Session
	loaded  *loaded
	list    *chooser[tanks.SystemID, tanks.System]
	content fyne.CanvasObject
}

func newSystemsView(s *session.Session) *systemsView {
	v := &systemsView{session: s, loaded: &loaded{}}
	add := v.add
	v.list = newChooser(widgets.ListModel[tanks.SystemID, tanks.System]{
		Name: "setup.systems", Key: func(s tanks.System) tanks.SystemID { return s.ID }, Columns: v.columns(),
		Open: func(systems []tanks.System) { v.edit(systems[0]) },
		Empty: func() fyne.CanvasObject {
			return widgets.NewEmpty(
				say.L("No system yet"),
				say.L(
					"A system is one connected body of water: tanks, sump and pipes. Sources such as an RO/DI store or a mixing vat are "+
						"systems too.",
				),
				widgets.Action{Text: say.L("Add a system"), Do: add},
			)
		},
	}, s.Memory)
	buttons := widgets.NewBar(
		widgets.NewPrimary(say.L("Add a system"), add).With(look.IconAdd),
		widgets.NewSecondary(say.L("Change"), v.editCurrent).With(look.IconChange),
		widgets.NewSecondary(say.L("Measure the volume"), v.measure).With(look.IconMeasure),
	).And(
		v.list.Tools()...)
	v.content = container.NewBorder(buttons, nil, nil, nil, v.list.Object())
	return v
}

func (v *systemsView) columns() []widgets.ListColumn[tanks.System] {
	type column = widgets.ListColumn[tanks.System]
	return []column{
		{ID: "system", Column: widgets.Column{Title: say.L("System"), Weight: 3}, Cell: func(s tanks.System) widgets.Cell {
			if !s.Open() {
				return widgets.Cell{Bold: s.Code, Text: say.F("%s (closed)", s.Name), Quiet: true}
			}
			return widgets.Cell{Bold: s.Code, Text: s.Name}
		}},
		{
			ID:     "water",
			Column: widgets.Column{Title: say.L("Water"), Width: 90},
			Cell:   func(s tanks.System) widgets.Cell { return widgets.Cell{Text: say.Of(s.Kind)} },
		},
		{
			ID:     "place",
			Column: widgets.Column{Title: say.L("Place"), Weight: 2, Spare: true},
			Cell:   func(s tanks.System) widgets.Cell { return widgets.Cell{Text: s.Place} },
		},
		{
			ID:     "profile",
			Column: widgets.Column{Title: say.L("Profile"), Weight: 2},
			Cell:   func(s tanks.System) widgets.Cell { return widgets.Cell{Text: v.loaded.profile(s.Profile).Name} },
		},
		{
			ID:     "volume",
			Column: widgets.Column{Title: say.L("Net volume"), Width: 110, Align: fyne.TextAlignTrailing},
			Cell: func(s tanks.System) widgets.Cell {
				known := s.NetVolume()
				if !known.Known() {
					return widgets.Cell{Text: say.L("not known"), Quiet: true}
				}
				return widgets.Cell{Text: say.L(v.session.VolumeUnit().VolumeWithin(known.Litres, known.Uncertainty)), By: known.Litres}
			},
		},
		{
			ID:     "known",
			Column: widgets.Column{Title: say.L("How it is known"), Weight: 2, Spare: true},
			Cell: func(s tanks.System) widgets.Cell {
				return widgets.Cell{Text: say.L(s.NetVolume().How), Quiet: true}
			},
		},
		{
			ID:     "walk",
			Column: widgets.Column{Title: say.L("Walk"), Width: 50, Align: fyne.TextAlignTrailing},
			Cell: func(s tanks.System) widgets.Cell {
				return widgets.Cell{Text: fmt.Sprint(s.Order), Quiet: true, By: s.Order}
			},
		},
	}
}

func (v *systemsView) object() fyne.CanvasObject { return v.content }

func (v *systemsView) focus() fyne.Focusable { return v.list.Focus() }

func (v *systemsView) show(l *loaded) {
	v.loaded = l
	v.list.show(l.systems)
}

// add asks for a new one.
func (v *systemsView) add() { v.edit(tanks.System{}) }

func (v *systemsView) editCurrent() {
	if s, ok := v.list.Current(); ok {
		v.edit(s)
	}
}

// mostTanks is how many vessels the form offers.
const mostTanks = 4

// tankColumns are the fields of a vessel, in the order of its numbers.
var tankColumns = []struct {
	field       string
	title, unit words.Text
}{
	{
		"length",
		"Length",
		"cm inside",
	}, {"width", "Width", "cm inside"}, {"height", "Water height", "cm"}, {"displaced", "Displaced", "by rock, sand"},
}

// tankSheet is the grid of a system's vessels.
type tankSheet struct {
	unit   chem.VolumeUnit // of what is displaced
	typed  [mostTanks][4]string
	faults map[string]string // by field: "0.length"
}

// Rows implements widgets.GridModel.
func (t *tankSheet) Rows() int { return mostTanks }

// Columns implements widgets.GridModel.
func (t *tankSheet) Columns() int { return len(tankColumns) }

// ColumnHead implements widgets.GridModel.
func (t *tankSheet) ColumnHead(col int) (title, subtitle string) {
	if tankColumns[col].field == "displaced" {
		return say.L(tankColumns[col].title), say.F("%s, %s", t.unit, tankColumns[col].unit)
	}
	return say.L(tankColumns[col].title), say.L(tankColumns[col].unit)
}

// RowHead implements widgets.GridModel.
func (t *tankSheet) RowHead(row int) (bold, text string) {
	return []string{say.L("Display"), say.L("Sump"), say.L("Vessel 3"), say.L("Vessel 4")}[row], ""
}

// Cell implements widgets.GridModel.
func (t *tankSheet) Cell(row, col int) widgets.GridCell {
	message := t.faults[fmt.Sprintf("%d.%s", row, tankColumns[col].field)]
	return widgets.GridCell{Text: t.typed[row][col], Due: true, Bad: message != "", Message: message}
}

// tanks returns the vessels typed, with what is wrong by field.
func (t *tankSheet) tanks(ids []tanks.TankID) []tanks.Tank {
	t.faults = map[string]string{}
	var out []tanks.Tank
	for row := range t.typed {
		if strings.Join(t.typed[row][:], "") == "" {
			continue
		}
		var numbers [4]float64
		for col, text := range t.typed[row] {
			if text == "" {
				if col < 3 {
					t.faults[fmt.Sprintf("%d.%s", row, tankColumns[col].field)] = say.F(
						"%s is missing: give centimetres.",
						tankColumns[col].title,
					)
				}
				continue
			}
			v, err := chem.ParseExact(text)
			if err != nil {
				t.faults[fmt.Sprintf("%d.%s", row, tankColumns[col].field)] = say.Of(err)
			}
			numbers[col] = v
		}
		name, _ := t.RowHead(row)
		tank := tanks.Tank{Name: name, Length: numbers[0], Width: numbers[1], Height: numbers[2], Displaced: numbers[3] * t.unit.Litres()}
		if row < len(ids) {
			tank.ID = ids[row]
		}
		one := tanks.System{Code: "x", Name: "x", Kind: tanks.Marine, Tanks: []tanks.Tank{tank}}
		for _, f := range tanks.FaultsOf(one.Validate()) {
			field := strconv.Itoa(row) + "." + strings.TrimPrefix(f.Field, "tanks.0.")
			if t.faults[field] == "" {
				t.faults[field] = say.Of(f)
			}
		}
		out = append(out, tank)
	}
	return out
}

// systemForm is the form of one system.
type systemForm struct {
	session                        *session.Session
	form                           *widgets.Form
	code, name, place, order, note *widgets.TextEntry
	kind                           *widgets.Choice[tanks.Kind]
	profile                        *widgets.Choice[tanks.ProfileID]
	stated, uncertainty            *widgets.QuantityEntry
	invertebrates, closed          *widgets.Check
	purified                       *widgets.Check
	sheet                          *tankSheet
	grid                           *widgets.Grid
	volume                         *widgets.Line
	before                         tanks.System
}

const noProfile words.Text = "none"

// profileOptions offers the profiles, and none.
func (l *loaded) profileOptions() []widgets.Option[tanks.ProfileID] {
	options := []widgets.Option[tanks.ProfileID]{{Name: say.L(noProfile)}}
	for _, p := range l.profiles {
		options = append(options, widgets.Option[tanks.ProfileID]{Value: p.ID, Name: p.Name, Detail: say.Of(p.Kind)})
	}
	return options
}

// kindOptions offers the kinds of water.
func kindOptions() []widgets.Option[tanks.Kind] {
	return widgets.OptionsOf(tanks.Kinds(), func(k tanks.Kind) string { return say.Of(k) })
}

func newSystemForm(in *session.Session, s tanks.System, l *loaded) *systemForm {
	f := &systemForm{
		before: s, code: widgets.NewTextEntry(s.Code), name: widgets.NewTextEntry(s.Name), place: widgets.NewTextEntry(s.Place), note: widgets.NewNoteEntry(s.Note, 2),
		session: in, stated: in.VolumeEntry(s.Stated, 1), uncertainty: in.VolumeEntry(s.StatedUncertainty,
			1), invertebrates: widgets.NewCheck(say.L("corals, shrimps, snails, clams ...: no copper"), nil),
		closed: widgets.NewCheck(
			say.L("not in use any more; its record stays"),
			nil,
		), sheet: &tankSheet{unit: in.VolumeUnit()}, volume: widgets.NewLine("", "", true),
	}
	order := s.Order
	if s.ID == 0 {
		order = len(l.systems) + 1
	}
	f.order = widgets.NewTextEntry(strconv.Itoa(order))
	f.kind = widgets.NewChoice(kindOptions(), s.Kind)
	f.profile = widgets.NewChoice(l.profileOptions(), s.Profile)
	f.purified = widgets.NewCheck(say.L("of reverse osmosis, resin or a still"), nil)
	f.purified.SetChecked(s.Purified)
	f.profile.OnChanged = func(id tanks.ProfileID) {
		if _, chosen := f.kind.Selected(); !chosen {
			f.kind.SetSelected(l.profile(id).Kind)
			f.purified.SetChecked(l.profile(id).Purifies())
		}
		f.showPurified()
	}
	f.kind.OnChanged = func(tanks.Kind) { f.showPurified() }
	f.invertebrates.SetChecked(s.Invertebrates)
	f.closed.SetChecked(!s.Open())
	for row, t := range s.Tanks {
		if row < mostTanks {
			for col, v := range []float64{t.Length, t.Width, t.Height, in.VolumeUnit().Of(t.Displaced)} {
				f.sheet.typed[row][col] = widgets.PlainNumber(v)
			}
		}
	}
	f.grid = widgets.NewGrid(f.sheet)
	f.grid.OnEdit = func(row, col int, text string) { f.sheet.typed[row][col] = strings.TrimSpace(text); f.compute() }
	f.stated.OnChanged = f.compute
	f.build(s)
	f.showPurified()
	f.compute()
	return f
}

func (f *systemForm) build(s tanks.System) {
	fields := []widgets.Field{
		{Name: "code", Label: say.L("Code"), Input: f.code, Help: say.L("short, such as F3; it labels the rack and the lists")},
		{Name: "name", Label: say.L("Name"), Input: f.name},
		{Name: "profile", Label: say.L("Profile"), Input: f.profile, Help: say.L("gives bands, test intervals and chores")},
		{Name: "kind", Label: say.L("Water"), Input: f.kind},
		{Name: "place", Label: say.L("Place"), Input: f.place, Help: say.L("groups the lists, such as Back room")},
		{Name: "order", Label: say.L("Walking order"), Input: f.order, Help: say.L("1 is met first on the round")},
		{
			Name:  "purified",
			Label: say.L("Purified"),
			Input: f.purified,
			Help:  say.L("what was not measured of it counts as nothing when water is made of it"),
		},
		{Name: "invertebrates", Label: say.L("Invertebrates"), Input: f.invertebrates},
		{
			Name:  "tanks",
			Label: say.L("Vessels"),
			Input: container.NewGridWrap(fyne.NewSize(570, 196), f.grid),
			Help:  say.L("length × width × water height, less what is displaced"),
		},
		{Name: "stated", Label: say.L("Or net volume"), Input: f.stated, Help: say.L("when it was measured; it wins over the vessels")},
		{Name: "stated_uncertainty", Label: say.L("Give or take"), Input: f.uncertainty, Help: say.L("standard uncertainty")},
		{Name: "volume", Label: say.L("Net volume"), Input: f.volume},
		{Name: "note", Label: say.L("Note"), Input: f.note},
	}
	if s.ID != 0 {
		fields = append(fields, widgets.Field{Name: "closed", Label: say.L("Closed"), Input: f.closed})
	}
	f.form = widgets.NewForm(fields...)
}

// showPurified asks of sources alone whether they are purified.
func (f *systemForm) showPurified() { f.form.ShowField("purified", f.kind.Value() == tanks.Source) }

// compute shows the net volume as it is typed.
func (f *systemForm) compute() {
	s := tanks.System{Tanks: f.sheet.tanks(nil)}
	if v, err := f.stated.Value(); err == nil && v > 0 {
		s.Stated = v
	}
	if v := s.NetVolume(); v.Known() && len(f.sheet.faults) == 0 {
		f.volume.SetText(say.F("%s, %s", f.session.Volume(v.Litres, 1), v.How))
		return
	}
	f.volume.SetText(say.L("not known yet"))
}

// read takes the form over, or returns what is wrong at which field.
func (f *systemForm) read(s *session.Session) (tanks.System, []widgets.Fault) {
	f.grid.Commit()
	next := f.before
	var faults []widgets.Fault
	optional := func(field string, e *widgets.QuantityEntry) float64 {
		if e.Empty() {
			return 0
		}
		v, err := e.Value()
		if err != nil {
			faults = append(faults, widgets.Fault{Field: field, Problem: say.Of(err)})
		}
		return v
	}
	next.Code, next.Name, next.Place, next.Note = strings.TrimSpace(
		f.code.Text,
	), strings.TrimSpace(
		f.name.Text,
	), strings.TrimSpace(
		f.place.Text,
	), f.note.Text
	next.Profile, next.Kind = f.profile.Value(), f.kind.Value()
	order, err := strconv.Atoi(strings.TrimSpace(f.order.Text))
	if err != nil {
		faults = append(
			faults,
			widgets.Fault{
				Field:   "order",
				Problem: say.F("%q is no whole number", f.order.Text),
				Remedy:  say.L("give the place in your walk, such as 3"),
			},
		)
	}
	next.Order, next.Invertebrates = order, f.invertebrates.Checked
	next.Purified = next.Kind == tanks.Source && f.purified.Checked
	next.Stated, next.StatedUncertainty = optional("stated", f.stated), optional("stated_uncertainty", f.uncertainty)
	var ids []tanks.TankID
	for _, t := range f.before.Tanks {
		ids = append(ids, t.ID)
	}
	next.Tanks = f.sheet.tanks(ids)
	f.grid.Reload()
	switch {
	case !f.closed.Checked:
		next.Closed = time.Time{}
	case next.Open():
		next.Closed = s.Clock()
	}
	for field, message := range f.sheet.faults {
		faults = append(faults, widgets.Fault{Field: "tanks", Problem: strings.SplitN(field, ".", 2)[1] + ": " + message})
	}
	for _, fault := range forms.Faults(next.Validate()) {
		if !strings.HasPrefix(fault.Field, "tanks.") {
			faults = append(faults, fault)
		}
	}
	return next, faults
}

// edit asks for a system; one without ID is new.
func (v *systemsView) edit(s tanks.System) {
	f := newSystemForm(v.session, s, v.loaded)
	title := say.F("Change %s", s.Code)
	if s.ID == 0 {
		title = say.L("Add a system")
	}
	var next tanks.System
	forms.Show(v.session, forms.Ask{Title: title, Form: f.form, Size: fyne.NewSize(720, 480), Read: func() (session.Deed, []widgets.Fault) {
		var faults []widgets.Fault
		next, faults = f.read(v.session)
		return func(ctx context.Context, store *storage.Store) error { return store.SaveSystem(ctx, &next) }, faults
	}, Saved: func() {
		v.list.choose(next.ID)
		saySaved(v.session, next.Label())
	}})
}
