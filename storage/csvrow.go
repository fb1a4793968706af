package storage

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// rowReader turns lines of a file into readings of this room.
type rowReader struct {
	opt      CSVOptions
	now      time.Time
	systems  map[string]tanks.System // by code and name in lower case
	codes    []string
	methods  map[chem.Analyte][]tanks.Method
	salinity map[tanks.SystemID]float64 // PSU, the newest
}

func newRowReader(opt CSVOptions, now time.Time, systems []tanks.System, methods []tanks.Method, latest []tanks.Reading) *rowReader {
	if opt.Zone == nil {
		opt.Zone = time.UTC
	}
	r := &rowReader{opt: opt, now: now, systems: map[string]tanks.System{}, methods: map[chem.Analyte][]tanks.Method{}, salinity: map[tanks.SystemID]float64{}}
	for _, s := range systems {
		r.systems[strings.ToLower(s.Name)] = s
	}
	for _, s := range systems {
		r.systems[strings.ToLower(s.Code)] = s // a code goes before another system's name
		r.codes = append(r.codes, s.Code)
	}
	for _, m := range methods {
		r.methods[m.Analyte] = append(r.methods[m.Analyte], m)
	}
	for _, l := range latest {
		if l.Analyte == chem.Salinity && l.Limit == tanks.Exact {
			r.salinity[l.System] = l.Value
		}
	}
	return r
}

// row is one line on its way to a reading, with what is wrong with it.
type row struct {
	record
	faults []LineFault
}

func (r *row) fault(column, problem, remedy string) {
	r.faults = append(r.faults, LineFault{Line: r.line, Column: column, Problem: problem, Remedy: remedy})
}

// reading returns what a line says, or everything that is wrong with it.
func (rr *rowReader) reading(rec record) (tanks.Reading, []LineFault) {
	line := &row{record: rec}
	out := tanks.Reading{Typed: rec.cells[columnValue], Person: rec.cells[columnPerson], Note: rec.cells[columnNote]}
	if out.Person == "" {
		out.Person = rr.opt.Person
	}
	out.At = rr.time(line)
	out.System = rr.system(line)
	quantity := number(line)
	if analyte, ok := rr.analyte(line); ok {
		out.Analyte = analyte
		out.Method = rr.method(line, analyte)
		out.Unit = unit(line, analyte)
	}
	if len(line.faults) > 0 {
		return tanks.Reading{}, line.faults
	}
	out.Limit = limitOf(quantity)
	out.Value = rr.canonical(line, out, quantity.Value)
	if len(line.faults) == 0 {
		for _, f := range tanks.FaultsOf(out.Validate(rr.now)) {
			line.fault(columnOf(f.Field), f.Problem, f.Remedy)
		}
	}
	return out, line.faults
}

// columnOf is the column that a field of a reading comes from.
func columnOf(field string) string {
	if field == "at" {
		return columnTime
	}
	return field
}

func limitOf(q chem.Quantity) tanks.Limit {
	switch q.Limit {
	case "<":
		return tanks.Below
	case ">":
		return tanks.Above
	}
	return tanks.Exact
}

// withOffset and withoutOffset are the ISO 8601 spellings that are read, the
// T replaced by a space.
var (
	withOffset    = []string{"2006-01-02 15:04:05Z07:00", "2006-01-02 15:04Z07:00", "2006-01-02 15:04:05Z0700", "2006-01-02 15:04Z0700"}
	withoutOffset = []string{"2006-01-02 15:04", "2006-01-02 15:04:05", "2006-01-02"}
	offsetSpace   = strings.NewReplacer(" +", "+", " -", "-", " Z", "Z")
)

// readTime reads an ISO 8601 time; one without an offset is local to zone, a
// day alone its first instant.
func readTime(text string, zone *time.Location) (time.Time, error) {
	plain := strings.Replace(strings.ToUpper(strings.Join(strings.Fields(text), " ")), "T", " ", 1)
	for _, layout := range withOffset {
		if t, err := time.Parse(layout, offsetSpace.Replace(plain)); err == nil {
			return t, nil
		}
	}
	for _, layout := range withoutOffset {
		t, err := time.ParseInLocation(layout, plain, zone)
		if err != nil {
			continue
		}
		wall, _ := time.Parse(layout, plain)
		if len(layout) > len(time.DateOnly) && (t.Hour() != wall.Hour() || t.Minute() != wall.Minute()) {
			return t, errSkippedHour
		}
		return t, nil
	}
	return time.Time{}, errNoTime
}

var (
	errNoTime      = errors.New("no time")
	errSkippedHour = errors.New("skipped by the clocks")
)

func (rr *rowReader) time(line *row) time.Time {
	text := line.cells[columnTime]
	t, err := readTime(text, rr.opt.Zone)
	switch {
	case text == "":
		line.fault(columnTime, "The time is missing", "give day and time, such as 2026-03-10 08:00")
	case errors.Is(err, errSkippedHour):
		line.fault(columnTime, fmt.Sprintf("The clocks in %s went forward over %s", rr.opt.Zone, text), "correct the time, or write its offset from UTC behind it")
	case err != nil:
		line.fault(columnTime, fmt.Sprintf("%q is no time that is understood", text), "write it as 2026-03-10 08:00, year first, or as 2026-03-10T08:00+01:00")
	case t.UnixMilli() <= 0:
		line.fault(columnTime, fmt.Sprintf("%s lies before 1970", text), "check the year")
	}
	return t.UTC().Truncate(time.Millisecond)
}

func (rr *rowReader) system(line *row) tanks.SystemID {
	text := line.cells[columnSystem]
	if text == "" {
		line.fault(columnSystem, "The system is missing", "give its code")
		return 0
	}
	s, ok := rr.systems[strings.ToLower(text)]
	if !ok {
		line.fault(columnSystem, fmt.Sprintf("No system has the code %q", text), "use one of "+few(rr.codes)+", or add the system in Setup first")
	}
	return s.ID
}

func (rr *rowReader) analyte(line *row) (chem.Analyte, bool) {
	text := line.cells[columnAnalyte]
	if text == "" {
		line.fault(columnAnalyte, "The analyte is missing", "give its name or symbol, such as calcium or Ca")
		return 0, false
	}
	a, err := chem.ParseAnalyte(text)
	if err != nil {
		line.fault(columnAnalyte, fmt.Sprintf("No analyte is called %q", text), "use a name or symbol such as calcium or Ca")
		return 0, false
	}
	return a, true
}

// method finds a method by its name, one in use before a retired one.
func (rr *rowReader) method(line *row, a chem.Analyte) tanks.MethodID {
	text := line.cells[columnMethod]
	if text == "" {
		return 0
	}
	var names []string
	var retired tanks.MethodID
	for _, m := range rr.methods[a] {
		same := strings.EqualFold(m.Name, text)
		if same && !m.Retired {
			return m.ID
		}
		if same {
			retired = m.ID
		}
		names = append(names, m.Name)
	}
	if retired == 0 {
		remedy := "leave it empty, or add the method in Setup first"
		if len(names) > 0 {
			remedy = "use " + few(names) + ", or leave it empty"
		}
		line.fault(columnMethod, fmt.Sprintf("No method for %s is called %q", a, text), remedy)
	}
	return retired
}

func unit(line *row, a chem.Analyte) chem.Unit {
	text := line.cells[columnUnit]
	u, err := chem.ParseUnit(a, text)
	if err == nil {
		return u
	}
	info, _ := chem.Lookup(a)
	accepted := make([]string, len(info.Units))
	for i, one := range info.Units {
		accepted[i] = string(one)
	}
	problem := fmt.Sprintf("%s is not given in %q", info.Name, text)
	if text == "" {
		problem = "The unit is missing"
	}
	line.fault(columnUnit, problem, "use "+strings.Join(accepted, ", "))
	return ""
}

func number(line *row) chem.Quantity {
	q, err := chem.ParseNumber(line.cells[columnValue])
	if err == nil {
		return q
	}
	if line.cells[columnValue] == "" {
		line.fault(columnValue, "The value is missing", "give a number, or take the line out")
		return q
	}
	problem, remedy, _ := strings.Cut(err.Error(), ": ")
	line.fault(columnValue, problem, remedy)
	return q
}

// canonical converts a value to the unit that the ledger keeps, in water of
// the system's newest salinity.
func (rr *rowReader) canonical(line *row, r tanks.Reading, v float64) float64 {
	info, _ := chem.Lookup(r.Analyte)
	out, err := chem.Convert(r.Analyte, v, r.Unit, info.Unit, chem.Water{Salinity: rr.salinity[r.System]})
	if err != nil {
		line.fault(columnValue, fmt.Sprintf("%s of %s %s cannot be", info.Name, line.cells[columnValue], r.Unit), "check the decimal point and the unit")
	}
	return out
}

// few lists names, the first of many.
func few(names []string) string {
	const most = 8
	if len(names) > most {
		return strings.Join(names[:most], ", ") + ", …"
	}
	return strings.Join(names, ", ")
}
