package setup

import (
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
	"weirkeeper/tanks"
)

// profilesView is the list of profiles, and of systems for bands of their own,
// beside the grid of bands.
type profilesView struct {
	session *session.Session
	loaded  *loaded
	list    *widgets.Table
	grid    *widgets.Grid
	sheet   *bandSheet
	heading *widgets.Heading
	about   *widgets.Line
	profile tanks.ProfileID // being edited; zero: see system
	system  tanks.SystemID
	rows    []target
	loader  session.Loader
	body    *fyne.Container
	filled  fyne.CanvasObject
	content fyne.CanvasObject
}

// target is one row of the list: a profile or a system.
type target struct {
	profile tanks.ProfileID
	system  tanks.SystemID
	label   string
}

func newProfilesView(s *session.Session) *profilesView {
	v := &profilesView{session: s, sheet: newBandSheet(nil, s.Unit), heading: widgets.NewHeading(say.L("Bands"), ""), about: widgets.NewLine("", "", false), body: container.NewStack()}
	v.list = widgets.NewTable([]widgets.Column{{Title: say.L("Bands of"), Weight: 1}})
	v.list.OnCurrent = func(n int) { v.choose(n) }
	v.grid = widgets.NewGrid(gridOf{v})
	v.grid.OnEdit = func(row, col int, text string) { v.sheet.typeIn(row, col, text); v.say() }
	buttons := widgets.NewBar(
		widgets.NewPrimary(say.L("Save the bands"), v.save).With(look.IconSave), widgets.NewSecondary(say.L("Add an analyte"), v.addAnalyte).With(look.IconAdd), widgets.NewSecondary(say.L("Take the row out"), v.removeRow).With(look.IconRemove),
		widgets.NewSecondary(say.L("Rename"), v.rename).With(look.IconChange), v.about)
	right := container.NewBorder(v.heading, buttons, nil, nil, v.grid)
	split := widgets.NewSides(container.NewBorder(nil, widgets.NewBar(widgets.NewSecondary(say.L("Add a profile"), func() { v.ask(tanks.Profile{}) }).With(look.IconAdd)), nil, nil, v.list), right, 0.24)
	v.filled = split
	v.content = v.body
	return v
}

// gridOf shows the view's sheet of now.
type gridOf struct{ v *profilesView }

func (g gridOf) Rows() int                                   { return g.v.sheet.Rows() }
func (g gridOf) Columns() int                                { return g.v.sheet.Columns() }
func (g gridOf) ColumnHead(col int) (title, subtitle string) { return g.v.sheet.ColumnHead(col) }
func (g gridOf) RowHead(row int) (bold, text string)         { return g.v.sheet.RowHead(row) }
func (g gridOf) Cell(row, col int) widgets.GridCell          { return g.v.sheet.Cell(row, col) }
func (v *profilesView) object() fyne.CanvasObject            { return v.content }
func (v *profilesView) focus() fyne.Focusable                { return widgets.IfShown(v.body, v.filled, v.list) }

func (v *profilesView) show(l *loaded) {
	v.loaded = l
	if len(l.profiles) == 0 && len(l.systems) == 0 {
		v.body.Objects = []fyne.CanvasObject{widgets.NewEmpty(say.L("No profile yet"), say.L("A profile is a named set of bands and test intervals for a kind of system. A new system takes its work from it from the first day."),
			widgets.Action{Text: say.L("Add a profile"), Do: func() { v.ask(tanks.Profile{}) }})}
		v.body.Refresh()
		return
	}
	v.rows = nil
	var rows []widgets.Row
	rows = append(rows, widgets.GroupRow(say.L("Profiles")))
	add := func(t target, cell widgets.Cell) {
		rows = append(rows, widgets.Row{ID: len(v.rows), Cells: []widgets.Cell{cell}})
		v.rows = append(v.rows, t)
	}
	for _, p := range l.profiles {
		add(target{profile: p.ID, label: p.Name}, widgets.Cell{Text: p.Name, Side: say.Of(p.Kind)})
	}
	rows = append(rows, widgets.GroupRow(say.L("Own bands of a system")))
	for _, s := range l.systems {
		add(target{system: s.ID, label: s.Label()}, widgets.Cell{Bold: s.Code, Text: s.Name})
	}
	v.list.SetRows(rows)
	if v.profile == 0 && v.system == 0 && len(v.rows) > 0 {
		v.profile, v.system = v.rows[0].profile, v.rows[0].system
	}
	v.list.SetCurrent(v.index())
	v.body.Objects = []fyne.CanvasObject{v.filled}
	v.body.Refresh()
	if !v.sheet.changed {
		v.load()
	}
}

func (v *profilesView) index() int {
	return max(0, slices.IndexFunc(v.rows, func(t target) bool { return t.profile == v.profile && t.system == v.system }))
}

// choose opens the bands of another row, once those being edited are saved.
func (v *profilesView) choose(n int) {
	if n < 0 || n >= len(v.rows) || (v.rows[n].profile == v.profile && v.rows[n].system == v.system) {
		return
	}
	if v.sheet.changed {
		v.grid.Commit()
		if err := v.commit(); err != nil {
			v.session.Fail(say.L("Saving the bands"), err)
			v.list.SetCurrent(v.index())
			return
		}
	}
	v.profile, v.system = v.rows[n].profile, v.rows[n].system
	v.load()
}

// load reads the chosen bands.
func (v *profilesView) load() {
	t := v.rows[v.index()]
	if t.profile != 0 {
		p := v.loaded.profile(t.profile)
		v.open(t, say.F("Bands of %s", p.Name), say.F("Source: %s", orNone(p.Source)), p.Bands)
		return
	}
	session.Load(v.session, &v.loader, func(ctx context.Context) ([]tanks.Band, error) {
		return v.session.Store.OwnBands(ctx, t.system)
	}, func(bands []tanks.Band, err error) {
		if err != nil {
			v.session.Fail(say.L("Reading the system's own bands"), err)
			return
		}
		v.open(t, say.F("Own bands of %s", t.label), say.L("They replace those of its profile, analyte by analyte. Without any, the profile holds."), bands)
	})
}

func orNone(source string) string {
	if source == "" {
		return say.L("none named")
	}
	return source
}

func (v *profilesView) open(t target, title, subtitle string, bands []tanks.Band) {
	v.heading.SetTitle(title)
	v.heading.SetSubtitle(subtitle)
	v.sheet = newBandSheet(bands, v.session.Unit)
	v.grid.Reload()
	v.say()
}

func (v *profilesView) say() {
	if v.sheet.changed {
		v.about.SetText(say.L("changed, not saved yet"))
		return
	}
	v.about.SetText(say.N(len(v.sheet.rows), "%d bands"))
}

// save writes the bands and says so, or says what is wrong.
func (v *profilesView) save() {
	if !v.sheet.changed {
		return
	}
	if err := v.commit(); err != nil {
		v.session.Fail(say.L("Saving the bands"), err)
	}
}

// commit writes the bands if they were changed.
func (v *profilesView) commit() error {
	v.grid.Commit()
	if !v.sheet.changed {
		return nil
	}
	bands, err := v.sheet.bands()
	v.grid.Reload()
	if err != nil {
		return err
	}
	sheet, t := v.sheet, v.rows[v.index()]
	v.session.Act(say.L("Saving the bands"), func(ctx context.Context) error {
		if t.system != 0 {
			return v.session.Store.SaveOwnBands(ctx, t.system, bands)
		}
		p := v.loaded.profile(t.profile)
		p.Bands = bands
		return v.session.Store.SaveProfile(ctx, &p)
	}, func() {
		sheet.changed = false
		v.say()
		v.session.Say(session.Notice{Title: say.L("Saved"), Text: say.F("The bands of %s are in the ledger.", t.label)})
	})
	return nil
}

// addAnalyte asks for an analyte to add a band for.
func (v *profilesView) addAnalyte() {
	if v.loaded == nil || len(v.rows) == 0 {
		return
	}
	names := session.AnalyteNames(func(a chem.Analyte) bool {
		return !slices.ContainsFunc(v.sheet.rows, func(r bandRow) bool { return r.analyte == a })
	})
	choice := widgets.NewChoice(names, "")
	form := widgets.NewForm(widgets.Field{Name: "analyte", Label: say.L("Analyte"), Input: choice})
	widgets.ShowForm(v.session.Window, say.L("Add an analyte"), say.L("Add"), form, func() bool {
		a, ok := session.AnalyteNamed(choice.Selected())
		if !ok {
			form.ShowFaults([]widgets.Fault{{Field: "analyte", Problem: say.L("None is chosen"), Remedy: say.L("choose one of the list")}})
			return false
		}
		v.sheet.rows = append(v.sheet.rows, bandRow{analyte: a, unit: v.session.Unit(a), psu: v.session.Unit(chem.Salinity)})
		v.sheet.changed = true
		v.grid.Reload()
		v.grid.MoveTo(len(v.sheet.rows)-1, 0)
		v.say()
		return true
	})
}

func (v *profilesView) removeRow() {
	row, _ := v.grid.Cursor()
	if row < 0 || row >= len(v.sheet.rows) {
		return
	}
	v.sheet.rows = slices.Delete(v.sheet.rows, row, row+1)
	v.sheet.changed = true
	v.grid.Reload()
	v.say()
}

// rename changes a profile's name, water and source.
func (v *profilesView) rename() {
	if v.loaded == nil || v.profile == 0 {
		v.session.Say(session.Notice{Title: say.L("Choose a profile first"), Text: say.L("Systems are renamed under Systems.")})
		return
	}
	v.ask(v.loaded.profile(v.profile))
}

// ask asks for a profile's particulars; one without ID is new.
func (v *profilesView) ask(p tanks.Profile) {
	var kinds []string
	for _, k := range tanks.Kinds() {
		kinds = append(kinds, say.Of(k))
	}
	kind := ""
	if p.Kind != 0 {
		kind = say.Of(p.Kind)
	}
	name, water, source := widgets.NewTextEntry(p.Name), widgets.NewChoice(kinds, kind), widgets.NewTextEntry(p.Source)
	form := widgets.NewForm(
		widgets.Field{Name: "name", Label: say.L("Name"), Input: name}, widgets.Field{Name: "kind", Label: say.L("Water"), Input: water},
		widgets.Field{Name: "source", Label: say.L("Source"), Input: source, Help: say.L("where its bands come from, or: common practice, no source")},
	)
	title := say.L("Rename the profile")
	if p.ID == 0 {
		title = say.L("Add a profile")
	}
	showSaving(v.session, title, form, fyne.NewSize(480, 200), func() (func(context.Context) error, []widgets.Fault) {
		next := p
		next.Name, next.Source = strings.TrimSpace(name.Text), strings.TrimSpace(source.Text)
		for _, k := range tanks.Kinds() {
			if say.Of(k) == water.Selected() {
				next.Kind = k
			}
		}
		return func(ctx context.Context) error {
			if err := v.session.Store.SaveProfile(ctx, &next); err != nil {
				return err
			}
			return nil
		}, session.FormFaults(next.Validate())
	})
}
