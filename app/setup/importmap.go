package setup

import (
	"context"
	"os"
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
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
		text  words.Text
		order csvread.DateOrder
	}{
		{"year, month, day: 2026-03-04", csvread.YearMonthDay}, {"day, month, year: 4.3.2026", csvread.DayMonthYear},
		{"month, day, year: 3/4/2026", csvread.MonthDayYear}, {"day numbers of a spreadsheet: 46085", csvread.DayNumber},
	}
	letterChoices = []struct {
		text words.Text
		as   csvread.Encoding
	}{{"UTF-8, else Latin-1", csvread.AnyEncoding}, {"UTF-8", csvread.UTF8}, {"Latin-1", csvread.Latin1}}
	dividerChoices = []struct {
		text words.Text
		sign string
	}{{"as in the first line", ""}, {"commas", ","}, {"semicolons", ";"}, {"tabs", "\t"}}
)

// noSystem is the choice of a file whose lines name their system.
const noSystem words.Text = "a column says it"

func newMapView(s *session.Session, changed func()) *mapView {
	v := &mapView{session: s, changed: changed, zone: widgets.NewTextEntry("")}
	var dates, letters, dividers []string
	for _, c := range dateChoices {
		dates = append(dates, say.L(c.text))
	}
	for _, c := range letterChoices {
		letters = append(letters, say.L(c.text))
	}
	for _, c := range dividerChoices {
		dividers = append(dividers, say.L(c.text))
	}
	v.saved, v.dates, v.letters = widgets.NewChoice([]string{say.L(byHeadings)}, say.L(byHeadings)), widgets.NewChoice(dates, dates[0]), widgets.NewChoice(letters, letters[0])
	v.divider, v.system = widgets.NewChoice(dividers, dividers[0]), widgets.NewChoice([]string{say.L(noSystem)}, say.L(noSystem))
	v.saved.OnChanged = v.take
	v.dates.OnChanged = func(text string) {
		v.file.Dates = dateChoices[slices.Index(v.dates.Options(), text)].order
		v.again()
	}
	v.system.OnChanged = func(text string) {
		v.file.System, _, _ = strings.Cut(text, " ")
		if text == say.L(noSystem) {
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
		widgets.Field{Name: "map", Label: say.L("Column map"), Input: v.saved},
		widgets.Field{Name: "dates", Label: say.L("Dates"), Input: v.dates},
		widgets.Field{Name: "zone", Label: say.L("Times are of"), Input: v.zone, Help: say.L("An IANA name such as Europe/Paris, then Enter; empty: the room's zone")},
		widgets.Field{Name: "system", Label: say.L("System"), Input: v.system},
		widgets.Field{Name: "file", Label: say.L("Letters"), Input: v.letters},
		widgets.Field{Name: "separator", Label: say.L("Cells divided by"), Input: v.divider},
	)
	v.table = widgets.NewTable([]widgets.Column{{Title: say.L("Column"), Weight: 2}, {Title: say.L("First value"), Weight: 2}, {Title: say.L("Holds"), Weight: 3}})
	v.table.OnOpen = v.editColumn
	buttons := widgets.NewBar(widgets.NewSecondary(say.L("Change the column"), v.editCurrent).With(look.IconChange), widgets.NewSecondary(say.L("Save this map"), v.askSave).With(look.IconSave), widgets.NewSecondary(say.L("Delete the map"), v.drop).With(look.IconClear))
	v.content = container.NewBorder(v.form, buttons, nil, nil, v.table)
	return v
}

func (v *mapView) object() fyne.CanvasObject { return v.content }

func (v *mapView) show(l *loaded) {
	v.loaded = l
	names := []string{say.L(byHeadings)}
	for _, m := range l.maps {
		names = append(names, m.Name)
	}
	systems := []string{say.L(noSystem)}
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
	session.Load(v.session, &v.loader, func(context.Context) (csvread.Head, error) {
		file, err := os.Open(path)
		if err != nil {
			return csvread.Head{}, err
		}
		defer file.Close()
		return csvread.ReadHead(file, m)
	}, func(head csvread.Head, err error) {
		v.head = head
		if v.saved.Selected() == say.L(byHeadings) || v.saved.Selected() == "" {
			v.file.Columns = csvread.MapOf(head.Header).Columns
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
	v.file = csvread.ColumnMap{}
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
	system := say.L(noSystem)
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
	csvread.RoleReading: "readings of one analyte", csvread.RoleAnalyte: "the analyte of the line", csvread.RoleValue: "the value of the line", csvread.RoleUnit: "the unit of the line",
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
		unit = "unit?"
	}
	return widgets.Cell{Text: strings.Join(slices.DeleteFunc([]string{what, unit, c.Method}, func(s string) bool { return s == "" }), ", ")}
}

// showFault shows what keeps the whole file from being read, at its field.
func (v *mapView) showFault(err error) {
	faults := session.FormFaults(err)
	v.form.ShowFaults(faults)
	if err != nil && len(faults) == 0 {
		v.session.Fail(say.L("Reading the file"), err)
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
	var roles []string
	for _, r := range csvread.Roles() {
		roles = append(roles, say.L(roleNames[r]))
	}
	analytes := session.AnalyteNames(nil)
	a, err := chem.ParseAnalyte(c.Analyte)
	name := ""
	if err == nil {
		name = say.Of(a)
	}
	role, analyte := widgets.NewChoice(roles, say.L(roleNames[c.Role])), widgets.NewChoice(analytes, name)
	unit, method := widgets.NewChoice(unitNames(a), string(c.Unit)), widgets.NewChoice(v.methodNames(a), methodOrNone(c.Method))
	analyte.OnChanged = func(name string) {
		a, ok := session.AnalyteNamed(name)
		if !ok {
			return
		}
		unit.SetOptions(unitNames(a))
		method.SetOptions(v.methodNames(a))
		method.SetSelected(say.L(notNamed))
	}
	form := widgets.NewForm(
		widgets.Field{Name: "role", Label: say.L("Holds"), Input: role},
		widgets.Field{Name: "analyte", Label: say.L("Analyte"), Input: analyte, Help: say.L("of a column of readings")},
		widgets.Field{Name: "unit", Label: say.L("Unit"), Input: unit, Help: say.L("it is not guessed: look it up where the file comes from")},
		widgets.Field{Name: "method", Label: say.L("Method"), Input: method},
	)
	widgets.ShowForm(v.session.Window, say.F("The column %s", c.Heading), say.L("Take it so"), form, func() bool {
		next := csvread.MapColumn{Heading: c.Heading, Role: csvread.Roles()[slices.Index(roles, role.Selected())]}
		if next.Role == csvread.RoleReading {
			next.Unit = chem.Unit(unit.Selected())
			if a, ok := session.AnalyteNamed(analyte.Selected()); ok {
				info, _ := chem.Lookup(a)
				next.Analyte = info.Key
			}
			if method.Selected() != say.L(notNamed) {
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
func columnFaults(c csvread.MapColumn) []widgets.Fault {
	var faults []widgets.Fault
	if c.Analyte == "" {
		faults = append(faults, widgets.Fault{Field: "analyte", Problem: say.L("What is measured is not said"), Remedy: say.L("choose the analyte")})
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

func methodOrNone(method string) string {
	if method == "" {
		return say.L(notNamed)
	}
	return method
}

func (v *mapView) methodNames(a chem.Analyte) []string {
	names := []string{say.L(notNamed)}
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
	form := widgets.NewForm(widgets.Field{Name: "name", Label: say.L("Name"), Input: name, Help: say.L("where such files come from; a map of this name is replaced")})
	widgets.ShowForm(v.session.Window, say.L("Save this column map"), say.L("Save"), form, func() bool {
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
		v.session.Act(say.L("Saving the column map"), func(ctx context.Context) error { return v.session.Store.SaveColumnMap(ctx, &m) }, func() {
			v.file = m
			v.quietly(func() {
				if !slices.Contains(v.saved.Options(), m.Name) {
					v.saved.SetOptions(append(v.saved.Options(), m.Name))
				}
				v.saved.SetSelected(m.Name)
			})
			v.session.Say(session.Notice{Title: say.F("Saved the column map %s", m.Name), Text: say.L("Choose it for the next file of this kind.")})
		})
		return true
	})
}

// drop deletes the saved map that is chosen; the way the file is read stays.
func (v *mapView) drop() {
	if v.file.ID == 0 {
		v.session.Say(session.Notice{Title: say.L("No saved map is chosen"), Text: say.L("Choose the column map that you want to delete.")})
		return
	}
	id, name := v.file.ID, v.file.Name
	v.session.Act(say.L("Deleting the column map"), func(ctx context.Context) error { return v.session.Store.DropColumnMap(ctx, id) }, func() {
		v.file.ID, v.file.Name = 0, ""
		v.quietly(func() { v.saved.SetSelected(say.L(byHeadings)) })
		v.session.Say(session.Notice{Title: say.F("Deleted the column map %s", name), Text: say.L("Undo brings it back.")})
	})
}
