package setup

import (
	"context"
	"os"
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// byHeadings is the choice of no saved map.
const byHeadings = "proposed by the headings"

// mapView is where a person says how a file is to be read.
type mapView struct {
	session *session.Session
	loaded  *loaded
	loader  session.Loader
	path    string
	file    storage.ColumnMap // as it is now
	head    storage.CSVHead
	changed func()
	silent  bool // while the fields are filled
	saved   *widgets.Choice
	dates   *widgets.Choice
	letters *widgets.Choice
	divider *widgets.Choice
	system  *widgets.Choice
	zone    *widgets.TextEntry
	form    *widgets.Form
	table   *widgets.Table
	content fyne.CanvasObject
}

// What the choices say, beside what they mean.
var (
	dateChoices = []struct {
		text  string
		order storage.DateOrder
	}{
		{"year, month, day: 2026-03-04", storage.YearMonthDay}, {"day, month, year: 4.3.2026", storage.DayMonthYear},
		{"month, day, year: 3/4/2026", storage.MonthDayYear}, {"day numbers of a spreadsheet: 46085", storage.DayNumber},
	}
	letterChoices = []struct {
		text string
		as   storage.Encoding
	}{{"UTF-8, else Latin-1", storage.AnyEncoding}, {"UTF-8", storage.UTF8}, {"Latin-1", storage.Latin1}}
	dividerChoices = []struct{ text, sign string }{{"as in the first line", ""}, {"commas", ","}, {"semicolons", ";"}, {"tabs", "\t"}}
)

// noSystem is the choice of a file whose lines name their system.
const noSystem = "a column says it"

func newMapView(s *session.Session, changed func()) *mapView {
	v := &mapView{session: s, changed: changed, zone: widgets.NewTextEntry("")}
	var dates, letters, dividers []string
	for _, c := range dateChoices {
		dates = append(dates, c.text)
	}
	for _, c := range letterChoices {
		letters = append(letters, c.text)
	}
	for _, c := range dividerChoices {
		dividers = append(dividers, c.text)
	}
	v.saved, v.dates, v.letters = widgets.NewChoice([]string{byHeadings}, byHeadings), widgets.NewChoice(dates, dates[0]), widgets.NewChoice(letters, letters[0])
	v.divider, v.system = widgets.NewChoice(dividers, dividers[0]), widgets.NewChoice([]string{noSystem}, noSystem)
	v.saved.OnChanged = v.take
	v.dates.OnChanged = func(text string) {
		v.file.Dates = dateChoices[slices.Index(v.dates.Options(), text)].order
		v.again()
	}
	v.system.OnChanged = func(text string) {
		v.file.System, _, _ = strings.Cut(text, " ")
		if text == noSystem {
			v.file.System = ""
		}
		v.again()
	}
	v.letters.OnChanged = func(text string) {
		v.file.Encoding = letterChoices[slices.Index(v.letters.Options(), text)].as
		v.reread()
	}
	v.divider.OnChanged = func(text string) {
		v.file.Separator = dividerChoices[slices.Index(v.divider.Options(), text)].sign
		v.reread()
	}
	v.zone.OnSubmitted = func(text string) { v.file.Zone = strings.TrimSpace(text); v.again() }
	v.form = widgets.NewForm(
		widgets.Field{Name: "map", Label: "Column map", Input: v.saved},
		widgets.Field{Name: "dates", Label: "Dates", Input: v.dates},
		widgets.Field{Name: "zone", Label: "Times are of", Input: v.zone, Help: "An IANA name such as Europe/Paris, then Enter; empty: the room's zone"},
		widgets.Field{Name: "system", Label: "System", Input: v.system},
		widgets.Field{Name: "file", Label: "Letters", Input: v.letters},
		widgets.Field{Name: "separator", Label: "Cells divided by", Input: v.divider},
	)
	v.table = widgets.NewTable([]widgets.Column{{Title: "Column", Weight: 2}, {Title: "First value", Weight: 2}, {Title: "Holds", Weight: 3}})
	v.table.OnOpen = v.editColumn
	buttons := container.NewHBox(widgets.NewSecondary("Change the column", v.editCurrent), widgets.NewSecondary("Save this map", v.askSave), widgets.NewSecondary("Delete the map", v.drop))
	v.content = container.NewBorder(v.form, buttons, nil, nil, v.table)
	return v
}

func (v *mapView) object() fyne.CanvasObject { return v.content }

func (v *mapView) show(l *loaded) {
	v.loaded = l
	names := []string{byHeadings}
	for _, m := range l.maps {
		names = append(names, m.Name)
	}
	systems := []string{noSystem}
	for _, s := range l.systems {
		systems = append(systems, s.Label())
	}
	v.quietly(func() {
		v.saved.SetOptions(names)
		v.system.SetOptions(systems)
		v.fill()
	})
}

// chosen returns the map as it stands.
func (v *mapView) chosen() storage.ColumnMap { return v.file }

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
	session.Load(v.session, &v.loader, func(context.Context) (storage.CSVHead, error) {
		file, err := os.Open(path)
		if err != nil {
			return storage.CSVHead{}, err
		}
		defer file.Close()
		return storage.ReadCSVHead(file, m)
	}, func(head storage.CSVHead, err error) {
		v.head = head
		if v.saved.Selected() == byHeadings || v.saved.Selected() == "" {
			v.file.Columns = storage.MapOf(head.Header).Columns
		}
		v.quietly(v.fill)
		v.showFault(err)
		v.changed()
	})
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
func (v *mapView) take(name string) {
	if v.silent {
		return
	}
	v.file = storage.ColumnMap{}
	for _, m := range v.loaded.maps {
		if m.Name == name {
			v.file = m
			v.file.Columns = slices.Clone(m.Columns)
		}
	}
	v.reread()
}

// fill shows the map in the fields.
func (v *mapView) fill() {
	for i, c := range dateChoices {
		if c.order == v.file.Dates {
			v.dates.SetSelected(v.dates.Options()[i])
		}
	}
	for i, c := range letterChoices {
		if c.as == v.file.Encoding {
			v.letters.SetSelected(v.letters.Options()[i])
		}
	}
	for i, c := range dividerChoices {
		if c.sign == v.file.Separator {
			v.divider.SetSelected(v.divider.Options()[i])
		}
	}
	v.zone.SetText(v.file.Zone)
	system := noSystem
	if v.loaded != nil {
		for _, s := range v.loaded.systems {
			if strings.EqualFold(s.Code, v.file.System) {
				system = s.Label()
			}
		}
	}
	v.system.SetSelected(system)
	var rows []widgets.Row
	for i, h := range v.head.Header {
		rows = append(rows, widgets.Row{ID: i, Cells: []widgets.Cell{{Text: h}, {Text: v.firstValue(i), Quiet: true}, v.holds(h)}})
	}
	v.table.SetRows(rows)
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
func (v *mapView) column(heading string) storage.MapColumn {
	for _, c := range v.file.Columns {
		if strings.EqualFold(strings.TrimSpace(c.Heading), strings.TrimSpace(heading)) {
			return c
		}
	}
	return storage.MapColumn{Heading: heading}
}

// roleNames say what a column holds.
var roleNames = map[storage.Role]string{
	storage.RoleNone: "nothing that is taken", storage.RoleTime: "the day, or day and time", storage.RoleClock: "the time of day", storage.RoleSystem: "the system's code or name",
	storage.RoleReading: "readings of one analyte", storage.RoleAnalyte: "the analyte of the line", storage.RoleValue: "the value of the line", storage.RoleUnit: "the unit of the line",
	storage.RoleUncertainty: "the standard uncertainty of the value", storage.RoleMethod: "the method's name", storage.RolePerson: "who measured", storage.RoleNote: "a note",
}

func (v *mapView) holds(heading string) widgets.Cell {
	c := v.column(heading)
	if c.Role != storage.RoleReading {
		return widgets.Cell{Text: roleNames[c.Role], Quiet: c.Role == storage.RoleNone}
	}
	what := c.Analyte
	if a, err := chem.ParseAnalyte(c.Analyte); err == nil {
		what = a.String()
	}
	unit := string(c.Unit)
	if unit == "" {
		unit = "unit?"
	}
	return widgets.Cell{Text: strings.Join(slices.DeleteFunc([]string{what, unit, c.Method}, func(s string) bool { return s == "" }), ", ")}
}

// showFault shows what keeps the whole file from being read, at its field.
func (v *mapView) showFault(err error) {
	faults := session.FormFaults(err)
	v.form.ShowFaults(faults)
	if err != nil && len(faults) == 0 {
		v.session.Fail("Reading the file", err)
	}
}

func (v *mapView) editCurrent() {
	if n, ok := v.table.Current(); ok {
		v.editColumn(n)
	}
}

// editColumn asks what a column holds.
func (v *mapView) editColumn(n int) {
	c := v.column(v.head.Header[n])
	var roles, analytes []string
	for _, r := range storage.Roles() {
		roles = append(roles, roleNames[r])
	}
	for _, info := range chem.Catalogue() {
		analytes = append(analytes, info.Name)
	}
	a, err := chem.ParseAnalyte(c.Analyte)
	name := ""
	if err == nil {
		name = a.String()
	}
	role, analyte := widgets.NewChoice(roles, roleNames[c.Role]), widgets.NewChoice(analytes, name)
	unit, method := widgets.NewChoice(unitNames(a), string(c.Unit)), widgets.NewChoice(v.methodNames(a), methodOrNone(c.Method))
	analyte.OnChanged = func(name string) {
		a, err := chem.ParseAnalyte(name)
		if err != nil {
			return
		}
		unit.SetOptions(unitNames(a))
		method.SetOptions(v.methodNames(a))
		method.SetSelected(notNamed)
	}
	form := widgets.NewForm(
		widgets.Field{Name: "role", Label: "Holds", Input: role},
		widgets.Field{Name: "analyte", Label: "Analyte", Input: analyte, Help: "of a column of readings"},
		widgets.Field{Name: "unit", Label: "Unit", Input: unit, Help: "it is not guessed: look it up where the file comes from"},
		widgets.Field{Name: "method", Label: "Method", Input: method},
	)
	widgets.ShowForm(v.session.Window, "The column "+c.Heading, "Take it so", form, func() bool {
		next := storage.MapColumn{Heading: c.Heading, Role: storage.Roles()[slices.Index(roles, role.Selected())]}
		if next.Role == storage.RoleReading {
			next.Unit = chem.Unit(unit.Selected())
			if a, err := chem.ParseAnalyte(analyte.Selected()); err == nil {
				info, _ := chem.Lookup(a)
				next.Analyte = info.Key
			}
			if method.Selected() != notNamed {
				next.Method = method.Selected()
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
func columnFaults(c storage.MapColumn) []widgets.Fault {
	var faults []widgets.Fault
	if c.Analyte == "" {
		faults = append(faults, widgets.Fault{Field: "analyte", Problem: "What is measured is not said", Remedy: "choose the analyte"})
	}
	if c.Unit == "" {
		faults = append(faults, widgets.Fault{Field: "unit", Problem: "The unit is not said", Remedy: "choose one"})
	}
	return faults
}

// set changes what the map says of a column.
func (v *mapView) set(c storage.MapColumn) {
	columns := slices.DeleteFunc(slices.Clone(v.file.Columns), func(old storage.MapColumn) bool {
		return strings.EqualFold(strings.TrimSpace(old.Heading), strings.TrimSpace(c.Heading))
	})
	v.file.Columns = append(columns, c)
	v.again()
}

// notNamed is the choice of no method.
const notNamed = "not named"

func methodOrNone(method string) string {
	if method == "" {
		return notNamed
	}
	return method
}

func (v *mapView) methodNames(a chem.Analyte) []string {
	names := []string{notNamed}
	for _, m := range v.loaded.methods {
		if m.Analyte == a {
			names = append(names, m.Name)
		}
	}
	return names
}

// askSave keeps the map under a name for the next file of its kind.
func (v *mapView) askSave() {
	name := widgets.NewTextEntry(v.file.Name)
	form := widgets.NewForm(widgets.Field{Name: "name", Label: "Name", Input: name, Help: "where such files come from; a map of this name is replaced"})
	widgets.ShowForm(v.session.Window, "Save this column map", "Save", form, func() bool {
		m := v.file
		m.Name = strings.TrimSpace(name.Text)
		err := m.Validate()
		if m.Name == "" {
			err = tanks.Fault{Field: "name", Problem: "The column map has no name", Remedy: "name it after where the files come from"}
		}
		if faults := session.FormFaults(err); len(faults) > 0 {
			form.ShowFaults(faults)
			return false
		}
		v.session.Act("Saving the column map", func(ctx context.Context) error { return v.session.Store.SaveColumnMap(ctx, &m) }, func() {
			v.file = m
			v.quietly(func() {
				if !slices.Contains(v.saved.Options(), m.Name) {
					v.saved.SetOptions(append(v.saved.Options(), m.Name))
				}
				v.saved.SetSelected(m.Name)
			})
			v.session.Say(session.Notice{Title: "Saved the column map " + m.Name, Text: "Choose it for the next file of this kind."})
		})
		return true
	})
}

// drop deletes the saved map that is chosen; the way the file is read stays.
func (v *mapView) drop() {
	if v.file.ID == 0 {
		v.session.Say(session.Notice{Title: "No saved map is chosen", Text: "Choose the column map that you want to delete."})
		return
	}
	id, name := v.file.ID, v.file.Name
	v.session.Act("Deleting the column map", func(ctx context.Context) error { return v.session.Store.DropColumnMap(ctx, id) }, func() {
		v.file.ID, v.file.Name = 0, ""
		v.quietly(func() { v.saved.SetSelected(byHeadings) })
		v.session.Say(session.Notice{Title: "Deleted the column map " + name, Text: "Undo brings it back."})
	})
}
