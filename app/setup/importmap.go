package setup

import (
	"context"
	"slices"
	"strings"

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
	"weirkeeper/storage/csvread"
	"weirkeeper/tanks"
)

// byHeadings is the choice of no saved map.
const byHeadings words.Text = "proposed by the headings"

// mapView is where a person says how a file is to be read.
type mapView struct {
	session *session.Session
	loaded  *loaded
	loader  session.Loader
	path    string
	file    csvread.ColumnMap // as it is now
	head    csvread.Head
	changed func()
	silent  bool                   // while the fields are filled
	saved   *widgets.Choice[int64] // by the map's ID, zero: none
	dates   *widgets.Choice[csvread.DateOrder]
	commas  *widgets.Choice[csvread.Commas]
	letters *widgets.Choice[csvread.Encoding]
	divider *widgets.Choice[string]
	system  *widgets.Choice[string] // by its code
	zone    *widgets.Choice[string] // empty: the room's
	form    *widgets.Form
	table   *widgets.Table
	columns *fyne.Container // holds the table, as high as it is
	content fyne.CanvasObject
}

// asHigh gives a table the height of all its rows.
type asHigh struct{ table *widgets.Table }

// MinSize implements fyne.Layout.
func (l *asHigh) MinSize([]fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(l.table.MinSize().Width, float32(len(l.table.Rows())+2)*look.RowHeight())
}

// Layout implements fyne.Layout.
func (l *asHigh) Layout(objects []fyne.CanvasObject, size fyne.Size) { objects[0].Resize(size) }

// What the choices say.
var (
	dateNames = map[csvread.DateOrder]words.Text{
		csvread.YearMonthDay: "year, month, day: 2026-03-04", csvread.DayMonthYear: "day, month, year: 4.3.2026",
		csvread.MonthDayYear: "month, day, year: 3/4/2026", csvread.DayNumber: "day numbers of a spreadsheet: 46085",
	}
	commaNames = map[csvread.Commas]words.Text{
		csvread.CommasNotSaid: "not said: what can be read in two ways is refused", csvread.CommasDecimal: "the decimal mark: 1,320 is 1.32",
		csvread.CommasThousands: "between thousands: 1,320 is 1320",
	}
	letterNames = map[csvread.Encoding]words.Text{
		csvread.AnyEncoding: "UTF-8, else Latin-1",
		csvread.UTF8:        "UTF-8",
		csvread.Latin1:      "Latin-1",
	}
	dividers     = []string{"", ",", ";", "\t"}
	dividerNames = map[string]words.Text{"": "as in the first line", ",": "commas", ";": "semicolons", "\t": "tabs"}
)

// noSystem is the choice of a file whose lines name their system.
const noSystem words.Text = "a column says it"

func newMapView(s *session.Session, changed func()) *mapView {
	v := &mapView{session: s, loaded: &loaded{}, changed: changed}
	v.saved = widgets.NewChoice(mapOptions(nil), 0)
	v.dates = widgets.NewChoice(
		widgets.OptionsOf(csvread.DateOrders(), func(o csvread.DateOrder) string { return say.L(dateNames[o]) }),
		csvread.YearMonthDay,
	)
	v.commas = widgets.NewChoice(
		widgets.OptionsOf(csvread.CommaMeanings(), func(c csvread.Commas) string { return say.L(commaNames[c]) }),
		csvread.CommasNotSaid,
	)
	v.letters = widgets.NewChoice(
		widgets.OptionsOf(
			[]csvread.Encoding{csvread.AnyEncoding, csvread.UTF8, csvread.Latin1},
			func(e csvread.Encoding) string { return say.L(letterNames[e]) },
		),
		csvread.AnyEncoding,
	)
	v.divider = widgets.NewChoice(widgets.OptionsOf(dividers, func(d string) string { return say.L(dividerNames[d]) }), "")
	v.system = widgets.NewChoice(systemOptions(nil), "")
	v.saved.OnChanged = v.take
	v.dates.OnChanged = func(order csvread.DateOrder) { v.file.Dates = order; v.again() }
	v.commas.OnChanged = func(meaning csvread.Commas) { v.file.Commas = meaning; v.again() }
	v.system.OnChanged = func(code string) { v.file.System = code; v.again() }
	v.letters.OnChanged = func(as csvread.Encoding) { v.file.Encoding = as; v.reread() }
	v.divider.OnChanged = func(sign string) { v.file.Separator = sign; v.reread() }
	v.zone = widgets.NewChoice(fileZones(""), "")
	v.zone.OnChanged = func(zone string) { v.file.Zone = zone; v.again() }
	v.form = widgets.NewForm(
		widgets.Field{Name: "map", Label: say.L("Column map"), Input: v.saved},
		widgets.Field{Name: "dates", Label: say.L("Dates"), Input: v.dates},
		widgets.Field{
			Name:  "zone",
			Label: say.L("Times are of"),
			Input: v.zone,
			Help:  say.L("where the file was written; type a city or a country to find it"),
		},
		widgets.Field{Name: "system", Label: say.L("System"), Input: v.system},
		widgets.Field{Name: "file", Label: say.L("Letters"), Input: v.letters},
		widgets.Field{Name: "separator", Label: say.L("Cells divided by"), Input: v.divider},
		widgets.Field{Name: "commas", Label: say.L("Commas in numbers"), Input: v.commas},
	)
	v.table = widgets.NewTable(
		[]widgets.Column{{Title: say.L("Column"), Weight: 2}, {Title: say.L("First value"), Weight: 2}, {Title: say.L("Holds"), Weight: 3}},
	)
	v.table.OnOpen = v.editColumn
	buttons := widgets.NewBar(
		widgets.NewSecondary(say.L("Change the column"), v.editCurrent).With(look.IconChange),
		widgets.NewSecondary(say.L("Save this map"), v.askSave).With(look.IconSave),
		widgets.NewSecondary(say.L("Delete the map"), v.drop).With(look.IconClear),
	)
	v.columns = container.New(&asHigh{v.table}, v.table)
	v.content = widgets.NewScrolled(container.NewVBox(v.form, v.columns, buttons))
	return v
}

func (v *mapView) object() fyne.CanvasObject { return v.content }

func (v *mapView) show(l *loaded) {
	v.loaded = l
	v.quietly(func() {
		v.saved.SetOptions(mapOptions(l.maps))
		v.system.SetOptions(systemOptions(l.systems))
		v.fill()
	})
}

// mapOptions offers the saved maps, and none.
func mapOptions(maps []csvread.ColumnMap) []widgets.Option[int64] {
	options := []widgets.Option[int64]{{Name: say.L(byHeadings)}}
	for _, m := range maps {
		options = append(options, widgets.Option[int64]{Value: m.ID, Name: m.Name})
	}
	return options
}

// fileZones offers the time zones, the room's first.
func fileZones(current string) []widgets.Option[string] {
	return append([]widgets.Option[string]{{Name: say.L("the room's time zone")}}, session.ZoneOptions(current)...)
}

// systemOptions offers the systems by their codes, and none.
func systemOptions(systems []tanks.System) []widgets.Option[string] {
	options := []widgets.Option[string]{{Name: say.L(noSystem)}}
	for _, s := range systems {
		options = append(options, widgets.Option[string]{Value: s.Code, Name: s.Label()})
	}
	return options
}

// chosen returns the map as it stands.
func (v *mapView) chosen() csvread.ColumnMap { return v.file }

// quietly changes fields without taking that for a person's change.
func (v *mapView) quietly(change func()) {
	v.silent = true
	change()
	v.silent = false
}

// propose reads a file's headings and proposes what they mean, or keeps the
// saved map that is chosen.
func (v *mapView) propose(path string) {
	v.path = path
	v.reread()
}

// reread looks at the headings anew, since letters or dividers changed.
func (v *mapView) reread() {
	if v.silent || v.path == "" {
		return
	}
	path, m := v.path, v.file
	type looked struct {
		head csvread.Head
		err  error
	}
	session.Load(v.session, &v.loader, say.L("Reading the headings"), func(ctx context.Context, _ *storage.Store) (l looked, _ error) {
		l.head, l.err = readHead(ctx, path, m)
		return l, nil
	}, func(l looked) {
		v.head = l.head
		if v.file.ID == 0 {
			v.file.Columns = csvread.MapOf(l.head.Header).Columns
		}
		v.quietly(v.fill)
		v.showFault(l.err)
		v.changed()
	})
}

func readHead(ctx context.Context, path string, m csvread.ColumnMap) (csvread.Head, error) {
	file, err := csvread.OpenFile(path)
	if err != nil {
		return csvread.Head{}, err
	}
	defer file.Close()
	return csvread.ReadHead(ctx, file, m)
}

// again tells that the map was changed by a person.
func (v *mapView) again() {
	if v.silent {
		return
	}
	v.quietly(v.fill)
	v.changed()
}

// take takes a saved map, or the proposal.
func (v *mapView) take(id int64) {
	if v.silent {
		return
	}
	v.file = csvread.ColumnMap{}
	for _, m := range v.loaded.maps {
		if m.ID == id {
			v.file = m
			v.file.Columns = slices.Clone(m.Columns)
		}
	}
	v.reread()
}

// fill shows the map in the fields.
func (v *mapView) fill() {
	v.saved.SetSelected(v.file.ID)
	v.dates.SetSelected(v.file.Dates)
	v.commas.SetSelected(v.file.Commas)
	v.letters.SetSelected(v.file.Encoding)
	v.divider.SetSelected(v.file.Separator)
	v.zone.SetOptions(fileZones(v.file.Zone))
	v.zone.SetSelected(v.file.Zone)
	system := ""
	for _, s := range v.loaded.systems {
		if strings.EqualFold(s.Code, v.file.System) {
			system = s.Code
		}
	}
	v.system.SetSelected(system)
	var rows []widgets.Row
	for i, h := range v.head.Header {
		rows = append(rows, widgets.Row{ID: i, Cells: []widgets.Cell{{Text: h}, {Text: v.firstValue(i), Quiet: true}, v.holds(h)}})
	}
	v.table.SetRows(rows)
	v.columns.Refresh()
	v.content.Refresh()
}

func (v *mapView) firstValue(column int) string {
	for _, line := range v.head.Lines {
		if column < len(line) && line[column] != "" {
			return line[column]
		}
	}
	return ""
}

// column returns what the map says of a heading.
func (v *mapView) column(heading string) csvread.MapColumn {
	for _, c := range v.file.Columns {
		if strings.EqualFold(strings.TrimSpace(c.Heading), strings.TrimSpace(heading)) {
			return c
		}
	}
	return csvread.MapColumn{Heading: heading}
}

// roleNames say what a column holds.
var roleNames = map[csvread.Role]words.Text{
	csvread.RoleNone: "nothing that is taken", csvread.RoleTime: "the day, or day and time", csvread.RoleClock: "the time of day", csvread.RoleSystem: "the system's code or name",
	csvread.RoleReading: "readings of one analyte", csvread.RoleAnalyte: "the analyte of the line", csvread.RoleValue: "the value of the " +
		"line", csvread.RoleUnit: "the unit of the line",
	csvread.RoleUncertainty: "the standard uncertainty of the value", csvread.RoleMethod: "the method's name", csvread.RolePerson: "who measured", csvread.RoleNote: "a note",
}

func (v *mapView) holds(heading string) widgets.Cell {
	c := v.column(heading)
	if c.Role != csvread.RoleReading {
		return widgets.Cell{Text: say.L(roleNames[c.Role]), Quiet: c.Role == csvread.RoleNone}
	}
	what := c.Analyte
	if a, err := chem.ParseAnalyte(c.Analyte); err == nil {
		what = say.Of(a)
	}
	unit := string(c.Unit)
	if unit == "" {
		unit = say.L("unit?")
	}
	return widgets.Cell{Text: strings.Join(slices.DeleteFunc([]string{what, unit, c.Method}, func(s string) bool { return s == "" }), ", ")}
}

// showFault shows what keeps the whole file from being read, at its field.
func (v *mapView) showFault(err error) {
	faults := forms.Faults(err)
	v.form.ShowFaults(faults)
	if err != nil && len(faults) == 0 {
		v.session.CouldNotRead(say.L("Reading the file"), err)
	}
}

func (v *mapView) editCurrent() {
	if n, ok := v.table.Current(); ok {
		v.editColumn(n)
	}
}

// editColumn asks what a column holds.
func (v *mapView) editColumn(n int) {
	if n >= len(v.head.Header) {
		return
	}
	c := v.column(v.head.Header[n])
	a, err := chem.ParseAnalyte(c.Analyte)
	if err != nil {
		a = 0
	}
	role := widgets.NewChoice(widgets.OptionsOf(csvread.Roles(), func(r csvread.Role) string { return say.L(roleNames[r]) }), c.Role)
	analyte := widgets.NewChoice(session.AnalyteOptions(nil), a)
	unit, method := widgets.NewChoice(unitOptions(a), c.Unit), widgets.NewChoice(v.methodOptions(a), c.Method)
	analyte.OnChanged = func(a chem.Analyte) {
		unit.SetOptions(unitOptions(a))
		method.SetOptions(v.methodOptions(a))
		if _, chosen := method.Selected(); !chosen {
			method.SetSelected("")
		}
	}
	form := widgets.NewForm(
		widgets.Field{Name: "role", Label: say.L("Holds"), Input: role},
		widgets.Field{Name: "analyte", Label: say.L("Analyte"), Input: analyte, Help: say.L("of a column of readings")},
		widgets.Field{
			Name:  "unit",
			Label: say.L("Unit"),
			Input: unit,
			Help:  say.L("it is not guessed: look it up where the file comes from"),
		},
		widgets.Field{Name: "method", Label: say.L("Method"), Input: method},
	)
	widgets.ShowForm(v.session.Window, say.F("The column %s", c.Heading), say.L("Take it so"), form, func() bool {
		next := csvread.MapColumn{Heading: c.Heading, Role: role.Value()}
		if next.Role == csvread.RoleReading {
			next.Unit, next.Method = unit.Value(), method.Value()
			if a, ok := analyte.Selected(); ok {
				info, _ := chem.Lookup(a)
				next.Analyte = info.Key
			}
			if faults := columnFaults(next); len(faults) > 0 {
				form.ShowFaults(faults)
				return false
			}
		}
		v.set(next)
		return true
	})
}

// columnFaults says what a column of readings lacks.
func columnFaults(c csvread.MapColumn) []widgets.Fault {
	var faults []widgets.Fault
	if c.Analyte == "" {
		faults = append(
			faults,
			widgets.Fault{Field: "analyte", Problem: say.L("What is measured is not said"), Remedy: say.L("choose the analyte")},
		)
	}
	if c.Unit == "" {
		faults = append(faults, widgets.Fault{Field: "unit", Problem: say.L("The unit is not said"), Remedy: say.L("choose one")})
	}
	return faults
}

// set changes what the map says of a column.
func (v *mapView) set(c csvread.MapColumn) {
	columns := slices.DeleteFunc(slices.Clone(v.file.Columns), func(old csvread.MapColumn) bool {
		return strings.EqualFold(strings.TrimSpace(old.Heading), strings.TrimSpace(c.Heading))
	})
	v.file.Columns = append(columns, c)
	v.again()
}

// notNamed is the choice of no method.
const notNamed words.Text = "not named"

// methodOptions offers the methods of an analyte by the names that files call
// them by, and none.
func (v *mapView) methodOptions(a chem.Analyte) []widgets.Option[string] {
	options := []widgets.Option[string]{{Name: say.L(notNamed)}}
	for _, m := range v.loaded.methods {
		if m.Analyte == a {
			options = append(options, widgets.Option[string]{Value: m.Name, Name: m.Name})
		}
	}
	return options
}

// askSave keeps the map under a name for the next file of its kind.
func (v *mapView) askSave() {
	name := widgets.NewTextEntry(v.file.Name)
	form := widgets.NewForm(
		widgets.Field{
			Name:  "name",
			Label: say.L("Name"),
			Input: name,
			Help:  say.L("where such files come from; a map of this name is replaced"),
		},
	)
	m := v.file
	forms.Show(v.session, forms.Ask{Title: say.L("Save this column map"), Form: form, Read: func() (session.Deed, []widgets.Fault) {
		m.Name = strings.TrimSpace(name.Text)
		err := m.Validate()
		if m.Name == "" {
			err = tanks.Fault{Field: "name", Problem: "The column map has no name", Remedy: "name it after where the files come from"}
		}
		return func(ctx context.Context, store *storage.Store) error { return store.SaveColumnMap(ctx, &m) }, forms.Faults(err)
	}, Saved: func() {
		v.keepMap(m)
		v.session.Say(
			session.Notice{Title: say.F("Saved the column map %s", m.Name), Text: say.L("Choose it for the next file of this kind.")},
		)
	}})
}

// keepMap offers a map that was saved, and shows it as chosen.
func (v *mapView) keepMap(m csvread.ColumnMap) {
	v.file.ID, v.file.Name = m.ID, m.Name
	maps := slices.DeleteFunc(slices.Clone(v.loaded.maps), func(other csvread.ColumnMap) bool { return other.ID == m.ID })
	v.quietly(func() {
		v.saved.SetOptions(mapOptions(append(maps, m)))
		v.saved.SetSelected(m.ID)
	})
}

// drop deletes the saved map that is chosen; the way the file is read stays.
func (v *mapView) drop() {
	if v.file.ID == 0 {
		v.session.Say(session.Notice{Title: say.L("No saved map is chosen"), Text: say.L("Choose the column map that you want to delete.")})
		return
	}
	id, name := v.file.ID, v.file.Name
	v.session.Act(
		say.L("Deleting the column map"),
		func(ctx context.Context, store *storage.Store) error { return store.DropColumnMap(ctx, id) },
		func() {
			if v.file.ID == id {
				v.file.ID, v.file.Name = 0, ""
				v.quietly(func() { v.saved.SetSelected(0) })
			}
			v.session.Say(
				session.Notice{
					Title: say.F("Deleted the column map %s", name),
					Text:  say.L("Undo brings it back."),
					Do:    say.L("Undo"),
					Then:  v.session.Undo,
				},
			)
		},
	)
}
