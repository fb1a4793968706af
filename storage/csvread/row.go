package csvread

import (
	"errors"
	"strings"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// rowReader turns lines of a file into readings of this room.
type rowReader struct {
	layout
	person  string
	commas  Commas
	now     time.Time
	times   *timeReader
	systems map[string]tanks.SystemID // by code and name in lower case
	codes   []string
	methods map[chem.Analyte][]tanks.Method
	waters  waters
	// A file says the same few words again and again.
	systemsSeen  map[string]tanks.SystemID
	analytesSeen map[string]chem.Analyte
	unitsSeen    map[unitText]chem.Unit
	methodsSeen  map[methodText]tanks.MethodID
}

type unitText struct {
	analyte chem.Analyte
	text    string
}

type methodText unitText

func newRowReader(l layout, opt Options, room Room) *rowReader {
	r := &rowReader{
		layout: l, person: opt.Person, commas: opt.Map.Commas, now: opt.Now, times: newTimeReader(opt.Map.Dates,
			opt.Zone), systems: map[string]tanks.SystemID{},
		methods: map[chem.Analyte][]tanks.Method{}, waters: watersOf(room), systemsSeen: map[string]tanks.SystemID{},
		analytesSeen: map[string]chem.Analyte{}, unitsSeen: map[unitText]chem.Unit{}, methodsSeen: map[methodText]tanks.MethodID{},
	}
	for _, s := range room.Systems {
		r.systems[strings.ToLower(s.Name)] = s.ID
	}
	for _, s := range room.Systems {
		r.systems[strings.ToLower(s.Code)] = s.ID // a code goes before another system's name
		r.codes = append(r.codes, s.Code)
	}
	for _, m := range room.Methods {
		r.methods[m.Analyte] = append(r.methods[m.Analyte], m)
	}
	return r
}

// line is one line on its way to readings, with what is wrong with it.
type line struct {
	number int
	cells  []string
	faults []LineFault
}

func (l *line) fault(column string, problem, remedy words.Text) {
	l.faults = append(l.faults, LineFault{Line: l.number, Column: column, Problem: problem, Remedy: remedy})
}

// cell returns what a line says in the column of a role, trimmed.
func (rr *rowReader) cell(l *line, role Role) string {
	i, ok := rr.at[role]
	if !ok || i >= len(l.cells) {
		return ""
	}
	return Unguard(strings.TrimSpace(l.cells[i]))
}

// readings appends what a line says, or nothing when anything is wrong with it;
// then line.faults say everything that is.
func (rr *rowReader) readings(l *line, out []Reading) []Reading {
	r := tanks.Reading{Person: rr.cell(l, RolePerson), Note: rr.cell(l, RoleNote)}
	if r.Person == "" {
		r.Person = rr.person
	}
	r.At = rr.time(l)
	r.System = rr.system(l)
	if len(rr.wide) > 0 {
		return rr.wideReadings(l, r, out)
	}
	if analyte, ok := rr.analyteOf(l); ok {
		r.Analyte = analyte
		method := rr.cell(l, RoleMethod)
		if method == "" {
			method = rr.method
		}
		r.Method = rr.methodOf(l, string(RoleMethod), analyte, method)
		r.Unit = rr.unitOf(l, analyte)
	}
	rr.value(l, string(RoleValue), &r, rr.cell(l, RoleValue), rr.cell(l, RoleUncertainty))
	if len(l.faults) > 0 {
		return out
	}
	return append(out, Reading{l.number, r})
}

// wideReadings reads the columns that hold the readings of one analyte each. An
// empty cell is no reading.
func (rr *rowReader) wideReadings(l *line, common tanks.Reading, out []Reading) []Reading {
	before := len(out)
	for _, c := range rr.wide {
		if c.at >= len(l.cells) {
			continue
		}
		text := strings.TrimSpace(l.cells[c.at])
		if text == "" || strings.Trim(text, "-–—") == "" {
			continue
		}
		r := common
		r.Analyte, r.Unit = c.analyte, c.unit
		r.Method = rr.methodOf(l, c.heading, c.analyte, c.method)
		rr.value(l, c.heading, &r, text, "")
		out = append(out, Reading{l.number, r})
	}
	if len(l.faults) > 0 {
		return out[:before]
	}
	return out
}

func (rr *rowReader) time(l *line) time.Time {
	text := rr.cell(l, RoleTime)
	if clock := rr.cell(l, RoleClock); clock != "" && text != "" {
		text += " " + clock
	}
	if text == "" {
		l.fault(string(RoleTime), "The time is missing", "give day and time, such as 2026-03-10 08:00")
		return time.Time{}
	}
	t, err := rr.times.read(text)
	switch {
	case errors.Is(err, errSkippedHour):
		l.fault(
			string(RoleTime),
			words.T("The clocks in %s went forward over %s", rr.times.zone, text),
			"correct the time, or write its offset from UTC behind it",
		)
	case err != nil:
		l.fault(
			string(RoleTime),
			words.T("%q is no time that is understood", text),
			"say in which order day, month and year stand, or write it year first, as 2026-03-10 08:00",
		)
	case t.UnixMilli() <= 0:
		l.fault(string(RoleTime), words.T("%s lies before 1970", text), "check the year")
	}
	return t.UTC().Truncate(time.Millisecond)
}

func (rr *rowReader) system(l *line) tanks.SystemID {
	text := rr.layout.system
	if text == "" {
		text = rr.cell(l, RoleSystem)
	}
	if text == "" {
		l.fault(string(RoleSystem), "The system is missing", "give its code")
		return 0
	}
	id, ok := rr.systemsSeen[text]
	if ok {
		return id
	}
	if id, ok = rr.systems[strings.ToLower(text)]; !ok {
		l.fault(
			string(RoleSystem),
			words.T("No system has the code %q", text),
			words.T("use one of %s, or add the system in Setup first", few(rr.codes)),
		)
		return 0
	}
	rr.systemsSeen[strings.Clone(text)] = id
	return id
}

func (rr *rowReader) analyteOf(l *line) (chem.Analyte, bool) {
	if rr.analyte != 0 {
		return rr.analyte, true
	}
	text := rr.cell(l, RoleAnalyte)
	if a, ok := rr.analytesSeen[text]; ok {
		return a, true
	}
	if text == "" {
		l.fault(string(RoleAnalyte), "The analyte is missing", "give its name or symbol, such as calcium or Ca")
		return 0, false
	}
	a, err := chem.ParseAnalyte(text)
	if err != nil {
		l.fault(string(RoleAnalyte), words.T("No analyte is called %q", text), "use a name or symbol such as calcium or Ca")
		return 0, false
	}
	rr.analytesSeen[strings.Clone(text)] = a
	return a, true
}

// methodOf finds a method by its name, one in use before a retired one.
func (rr *rowReader) methodOf(l *line, column string, a chem.Analyte, text string) tanks.MethodID {
	if text == "" {
		return 0
	}
	if id, ok := rr.methodsSeen[methodText{a, text}]; ok {
		return id
	}
	var names []string
	var found tanks.MethodID
	for _, m := range rr.methods[a] {
		same := strings.EqualFold(m.Name, text)
		if same && (found == 0 || !m.Retired) {
			found = m.ID
		}
		if same && !m.Retired {
			break
		}
		names = append(names, m.Name)
	}
	if found == 0 {
		remedy := words.Text("leave it empty, or add the method in Setup first")
		if len(names) > 0 {
			remedy = words.T("use %s, or leave it empty", few(names))
		}
		l.fault(column, words.T("No method for %s is called %q", a, text), remedy)
		return 0
	}
	rr.methodsSeen[methodText{a, strings.Clone(text)}] = found
	return found
}

// unitOf is the unit that a line names for its value, empty where it names none:
// then one may stand behind the number.
func (rr *rowReader) unitOf(l *line, a chem.Analyte) chem.Unit {
	text := rr.cell(l, RoleUnit)
	if text == "" {
		return rr.unit
	}
	if u, ok := rr.unitsSeen[unitText{a, text}]; ok {
		return u
	}
	u, err := chem.ParseUnit(a, text)
	if err == nil {
		rr.unitsSeen[unitText{a, strings.Clone(text)}] = u
		return u
	}
	var unit *chem.UnitError
	var gravity *chem.NumberError
	switch {
	case errors.As(err, &unit):
		l.fault(string(RoleUnit), unit.Problem(), unit.Remedy())
	case errors.As(err, &gravity):
		l.fault(string(RoleUnit), gravity.Problem, gravity.Remedy)
	}
	return ""
}

// value puts a value as the file gives it into a reading, in the system's water as
// its newest readings tell it, and validates the reading.
func (rr *rowReader) value(l *line, column string, r *tanks.Reading, text, spread string) {
	if text == "" {
		l.fault(column, "The value is missing", "give a number, or take the line out")
		return
	}
	water := rr.waters.of(*r)
	text, sure := rr.number(text, *r, water)
	if !sure {
		decimal, thousands, _ := chem.TwoWays(text)
		l.fault(column, words.T("%q can be %s or %s", text, decimal, thousands),
			"write it without the comma, or say what commas mean in this file")
		return
	}
	v, err := tanks.ReadTyped(tanks.Typed{Analyte: r.Analyte, Text: text, Unit: r.Unit, Water: water, Comma: rr.commas == CommasDecimal})
	if err != nil {
		rr.valueFault(l, column, *r, err)
		return
	}
	if r.Unit != "" && v.Unit != r.Unit {
		l.fault(column, words.T("%q is in %s, its unit is said to be %s", text, v.Unit, r.Unit), "correct one of the two")
	}
	if *r = v.In(*r); spread != "" {
		rr.spread(l, r, spread, water)
	}
	if len(l.faults) == 0 {
		rr.valueFault(l, column, *r, r.Validate(rr.now))
	}
	if len(l.faults) == 0 {
		rr.waters.saw(*r)
	}
}

// valueFault says what is wrong with a reading, in the columns where it stands. Of
// the analyte, and of a unit that the line names, that is said already.
func (rr *rowReader) valueFault(l *line, column string, r tanks.Reading, err error) {
	for _, f := range tanks.FaultsOf(err) {
		field := f.Field
		switch {
		case field == "analyte" && r.Analyte == 0, field == "unit" && r.Unit == "" && rr.cell(l, RoleUnit) != "":
			continue
		case field == "unit" && r.Unit == "":
			field = string(RoleUnit)
		case field == "value" || field == "unit":
			field = column
		case field == "at":
			field = string(RoleTime)
		}
		l.fault(field, f.Problem, f.Remedy)
	}
}

// spread reads the uncertainty that came with a value, in its unit.
func (rr *rowReader) spread(l *line, r *tanks.Reading, text string, water chem.Water) {
	u, err := chem.ParseExact(text)
	var wrong *chem.NumberError
	if errors.As(err, &wrong) {
		l.fault(string(RoleUncertainty), wrong.Problem, wrong.Remedy)
		return
	}
	info, _ := chem.Lookup(r.Analyte)
	at, err := chem.Convert(r.Analyte, r.Value, info.Unit, r.Unit, water)
	if err == nil {
		r.Uncertainty, err = chem.ConvertDelta(r.Analyte, at, u, r.Unit, info.Unit, water)
	}
	if err != nil {
		l.fault(string(RoleUncertainty), words.T("An uncertainty of %s %s cannot be", text, r.Unit), "check the decimal point")
	}
}

// few lists names, the first of many.
func few(names []string) string {
	const most = 8
	if len(names) > most {
		return strings.Join(names[:most], ", ") + ", …"
	}
	return strings.Join(names, ", ")
}
