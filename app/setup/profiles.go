package setup

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// profilesView is the list of profiles, and of systems for bands of their own,
// beside the grid of bands. What is typed is kept as a draft until it is saved.
type profilesView struct {
	session *session.Session
	loaded  *loaded
	list    *chooser[target, owned]
	grid    *widgets.Grid
	heading *widgets.Heading
	about   *widgets.Line
	limits  *widgets.Paragraph    // the usual limits of the row under the cursor
	at      target                // whose bands are shown
	sheet   *bandSheet            // of at
	drafts  map[target]*bandSheet // what is typed and not saved
	keep    func()                // keeps the drafts in the ledger
	saving  bool
	loader  session.Loader
	body    *fyne.Container
	filled  fyne.CanvasObject
}

// target is what has bands: a profile or a system.
type target struct {
	profile tanks.ProfileID
	system  tanks.SystemID
}

func (t target) compare(other target) int {
	return cmp.Or(cmp.Compare(t.profile, other.profile), cmp.Compare(t.system, other.system))
}

// owned is a target as the list shows it.
type owned struct {
	target
	code, name string
}

func (o owned) label() string {
	if o.code == "" {
		return o.name
	}
	return o.code + " " + o.name
}

func newProfilesView(s *session.Session, keep func()) *profilesView {
	v := &profilesView{
		session: s, loaded: &loaded{}, sheet: newBandSheet(nil, s.Unit, 0), drafts: map[target]*bandSheet{}, keep: keep,
		heading: widgets.NewHeading(say.L("Bands"), ""), about: widgets.NewLine("", "", false),
		limits: widgets.NewSmall(""), body: container.NewStack(),
	}
	v.list = newChooser(widgets.ListModel[target, owned]{
		Name: "setup.profiles", Key: func(o owned) target { return o.target },
		Columns: []widgets.ListColumn[owned]{{ID: "owner", Column: widgets.Column{Title: say.L("Bands of"), Weight: 1}, Cell: v.cell}},
		Chose:   v.chose,
	}, s.Memory)
	v.grid = widgets.NewGrid(gridOf{v})
	v.grid.OnEdit = func(row, col int, text string) { v.typeIn(widgets.Edit{Row: row, Col: col, Text: text}) }
	v.grid.OnCursor = func(int, int) { v.sayLimits() }
	v.grid.OnPaste = func(edits []widgets.Edit, outside int) {
		v.typeIn(edits...)
		if outside > 0 {
			v.about.SetText(say.N(outside, "%d pasted values found no cell"))
		}
	}
	buttons := widgets.NewBar(
		widgets.NewPrimary(
			say.L("Save the bands"),
			v.save,
		).With(
			look.IconSave,
		),
		widgets.NewSecondary(say.L("Add an analyte"), v.addAnalyte).With(look.IconAdd),
		widgets.NewSecondary(
			say.L("Take the row out"),
			v.removeRow,
		).With(
			look.IconRemove,
		),
		widgets.NewSecondary(say.L("Drop the changes"), v.askDrop).With(look.IconClear),
		widgets.NewSecondary(say.L("Rename"), v.rename).With(look.IconChange),
		v.about,
	)
	right := container.NewBorder(v.heading, container.NewVBox(v.limits, buttons), nil, nil, v.grid)
	add := widgets.NewBar(widgets.NewSecondary(say.L("Add a profile"), v.add).With(look.IconAdd),
		widgets.NewSecondary(say.L("Copy the profile"), v.duplicate).With(look.IconSamples))
	v.filled = widgets.NewSides(container.NewBorder(v.list.Tools()[0], add, nil, nil, v.list.Object()), right, 0.22)
	return v
}

// gridOf shows the view's sheet of now.
type gridOf struct{ v *profilesView }

func (g gridOf) Rows() int                                   { return g.v.sheet.Rows() }
func (g gridOf) Columns() int                                { return g.v.sheet.Columns() }
func (g gridOf) ColumnHead(col int) (title, subtitle string) { return g.v.sheet.ColumnHead(col) }
func (g gridOf) RowHead(row int) (bold, text string)         { return g.v.sheet.RowHead(row) }
func (g gridOf) Cell(row, col int) widgets.GridCell          { return g.v.sheet.Cell(row, col) }
func (v *profilesView) object() fyne.CanvasObject            { return v.body }
func (v *profilesView) focus() fyne.Focusable {
	return widgets.IfShown(v.body, v.filled, v.list.Focus())
}

// cell names a profile or a system, and says when its bands are not saved.
func (v *profilesView) cell(o owned) widgets.Cell {
	c := widgets.Cell{Bold: o.code, Text: o.name}
	if v.drafts[o.target] != nil {
		c.Side = say.L("not saved")
	}
	return c
}

func (v *profilesView) show(l *loaded) {
	v.loaded = l
	if len(l.profiles) == 0 && len(l.systems) == 0 {
		v.body.Objects = []fyne.CanvasObject{
			widgets.NewEmpty(
				say.L("No profile yet"),
				say.L(
					"A profile is a named set of bands and test intervals for a kind of system. A new system takes its work from it from "+
						"the first day.",
				),
				widgets.Action{Text: say.L("Add a profile"), Do: v.add},
			),
		}
		v.body.Refresh()
		return
	}
	before := v.at
	v.list.showGroups(v.groups())
	v.body.Objects = []fyne.CanvasObject{v.filled}
	v.body.Refresh()
	if v.at == before {
		v.load()
	}
}

func (v *profilesView) groups() []widgets.Group[owned] {
	profiles, systems := widgets.Group[owned]{Title: say.L("Profiles")}, widgets.Group[owned]{Title: say.L("Own bands of a system")}
	for _, p := range v.loaded.profiles {
		profiles.Records = append(profiles.Records, owned{target: target{profile: p.ID}, name: p.Name})
	}
	for _, s := range v.loaded.systems {
		systems.Records = append(systems.Records, owned{target: target{system: s.ID}, code: s.Code, name: s.Name})
	}
	return []widgets.Group[owned]{profiles, systems}
}

// chose opens the bands of the row under the cursor. What was typed into those
// before stays a draft.
func (v *profilesView) chose() {
	o, ok := v.list.Current()
	if !ok || o.target == v.at {
		return
	}
	v.grid.Commit()
	v.at = o.target
	v.load()
}

// load reads the bands of the chosen target.
func (v *profilesView) load() {
	at := v.at
	if at.profile != 0 {
		v.open(at, v.loaded.profile(at.profile).Bands)
		return
	}
	session.Load(
		v.session,
		&v.loader,
		say.L("Reading the system's own bands"),
		func(ctx context.Context, store *storage.Store) ([]tanks.Band, error) {
			return store.OwnBands(ctx, at.system)
		},
		func(bands []tanks.Band) {
			if at == v.at {
				v.open(at, bands)
			}
		},
	)
}

func orNone(source string) string {
	if source == "" {
		return say.L("none named")
	}
	return source
}

// open shows the bands of a target as the ledger has them, or as they were typed
// since.
func (v *profilesView) open(at target, bands []tanks.Band) {
	v.heading.SetTitle(say.F("Own bands of %s", v.labelOf(at)))
	v.heading.SetSubtitle(say.L("They replace those of its profile, analyte by analyte. Without any, the profile holds."))
	if at.profile != 0 {
		v.heading.SetTitle(say.F("Bands of %s", v.labelOf(at)))
		p := v.loaded.profile(at.profile)
		v.heading.SetSubtitle(say.F("Water: %s. Source: %s", p.Kind, orNone(p.Source)))
	}
	saved := newBandSheet(bands, v.session.Unit, v.kindOf(at))
	before := v.sheet
	v.sheet = saved
	if draft := v.drafts[at]; draft != nil {
		v.sheet = draft
	}
	if v.sheet != before {
		v.grid.ForgetEdits() // they were made in other cells
	}
	v.sheet.saved = slices.Clone(saved.rows)
	v.note()
	v.grid.Reload()
	v.sayLimits()
}

// sayLimits says the usual limits of the row under the cursor.
func (v *profilesView) sayLimits() {
	row, _ := v.grid.Cursor()
	v.limits.SetText(v.sheet.limits(row))
}

// kindOf is the kind of water of a target.
func (v *profilesView) kindOf(at target) tanks.Kind {
	for _, s := range v.loaded.systems {
		if s.ID == at.system {
			return s.Kind
		}
	}
	return v.loaded.profile(at.profile).Kind
}

// labelOf names a target.
func (v *profilesView) labelOf(at target) string {
	for _, g := range v.groups() {
		for _, o := range g.Records {
			if o.target == at {
				return o.label()
			}
		}
	}
	return ""
}

// typeIn takes over cells and keeps what is typed.
func (v *profilesView) typeIn(edits ...widgets.Edit) {
	for _, e := range edits {
		v.sheet.typeIn(e.Row, e.Col, e.Text)
	}
	v.edited()
}

// edited keeps what is typed and says that it is not saved.
func (v *profilesView) edited() {
	v.sheet.edits++
	v.note()
	v.sayLimits()
	v.keep()
}

// note writes down whether the bands shown differ from those of the ledger.
func (v *profilesView) note() {
	had := v.drafts[v.at] != nil
	if v.sheet.changed() {
		v.drafts[v.at] = v.sheet
		v.about.SetText(say.L("changed, not saved yet"))
	} else {
		delete(v.drafts, v.at)
		v.about.SetText(say.N(len(v.sheet.rows), "%d bands"))
	}
	if had != (v.drafts[v.at] != nil) {
		v.list.showGroups(v.groups())
	}
}

// waiting keeps the cell being typed, and says what leaving the section does not
// save.
func (v *profilesView) waiting() (session.Notice, bool) {
	v.grid.Commit()
	var names []string
	for _, g := range v.groups() {
		for _, o := range g.Records {
			if v.drafts[o.target] != nil {
				names = append(names, o.label())
			}
		}
	}
	text := say.F("Those of %s are kept here as you typed them, and hold when you save them.", strings.Join(names, ", "))
	return session.Notice{Title: say.L("Bands not saved yet"), Text: text}, len(names) > 0
}

// save writes the bands and says so, or says what is wrong with which cell.
func (v *profilesView) save() {
	v.grid.Commit()
	if v.saving || v.drafts[v.at] == nil {
		return
	}
	sheet, at, edits, name := v.sheet, v.at, v.sheet.edits, v.labelOf(v.at)
	bands, err := sheet.bands()
	v.grid.Reload()
	if err != nil {
		if row, col, ok := sheet.firstFault(); ok {
			v.grid.MoveTo(row, col)
		}
		v.session.NotDone(say.L("Saving the bands"), err)
		return
	}
	profile := v.loaded.profile(at.profile)
	profile.Bands = bands
	v.saving = true
	v.session.Try(func(ctx context.Context, store *storage.Store) error {
		if at.system != 0 {
			return store.SaveOwnBands(ctx, at.system, bands)
		}
		return store.SaveProfile(ctx, &profile)
	}, func(err error) {
		v.saving = false
		if err != nil {
			v.session.NotDone(say.L("Saving the bands"), err)
			return
		}
		v.wasSaved(at, sheet, edits)
		v.session.Say(
			session.Notice{
				Title: say.L("Saved"),
				Text:  say.F("The bands of %s are in the ledger. Undo takes them back.", name),
				Do:    say.L("Undo"),
				Then:  v.session.Undo,
			},
		)
	})
}

// wasSaved drops the draft of what was saved, unless more was typed meanwhile.
func (v *profilesView) wasSaved(at target, sheet *bandSheet, edits int) {
	if sheet.edits != edits {
		return
	}
	delete(v.drafts, at)
	sheet.saved = slices.Clone(sheet.rows)
	v.grid.ForgetEdits() // what was saved is taken back as a whole
	v.list.showGroups(v.groups())
	if at == v.at {
		v.note()
	}
	v.keep()
}

// askDrop puts the bands of the ledger back in the place of what was typed.
func (v *profilesView) askDrop() {
	v.grid.Commit()
	if v.drafts[v.at] == nil {
		v.session.Say(session.Notice{Title: say.L("Nothing is changed here"), Text: say.L("The bands are as they are in the ledger.")})
		return
	}
	at := v.at
	widgets.ShowQuestion(
		v.session.Window,
		say.L("Drop the changes?"),
		say.F("The bands of %s go back to those of the ledger.", v.labelOf(at)),
		say.L("Drop them"),
		func() {
			delete(v.drafts, at)
			v.list.showGroups(v.groups())
			v.load()
			v.keep()
		},
	)
}

// addAnalyte asks for an analyte to add a band for.
func (v *profilesView) addAnalyte() {
	if v.at == (target{}) {
		return
	}
	v.grid.Commit()
	choice := widgets.NewChoice(session.AnalyteOptions(func(a chem.Analyte) bool {
		return !slices.ContainsFunc(v.sheet.rows, func(r bandRow) bool { return r.analyte == a })
	}), 0)
	form := widgets.NewForm(widgets.Field{Name: "analyte", Label: say.L("Analyte"), Input: choice})
	widgets.ShowForm(v.session.Window, say.L("Add an analyte"), say.L("Add"), form, func() bool {
		a, ok := choice.Selected()
		if !ok {
			form.ShowFaults([]widgets.Fault{{Field: "analyte", Problem: say.L("None is chosen"), Remedy: say.L("choose one of the list")}})
			return false
		}
		v.sheet.rows = append(v.sheet.rows, v.firstRow(a))
		v.grid.Reload()
		v.grid.MoveTo(len(v.sheet.rows)-1, 0)
		v.edited()
		return true
	})
}

// firstRow is what a new band of an analyte starts from: of a system the band of its
// profile, else the usual limits of its change.
func (v *profilesView) firstRow(a chem.Analyte) bandRow {
	unit := v.session.Unit(a)
	for _, s := range v.loaded.systems {
		if s.ID != v.at.system {
			continue
		}
		for _, b := range v.loaded.profile(s.Profile).Bands {
			if b.Analyte == a {
				return rowOf(b, unit, v.sheet.salinity, v.sheet.water())
			}
		}
	}
	return v.sheet.newRow(a, unit)
}

func (v *profilesView) removeRow() {
	v.grid.Commit()
	row, _ := v.grid.Cursor()
	if row < 0 || row >= len(v.sheet.rows) {
		return
	}
	v.sheet.rows = slices.Delete(v.sheet.rows, row, row+1)
	v.grid.ForgetEdits()
	v.grid.Reload()
	v.edited()
}
