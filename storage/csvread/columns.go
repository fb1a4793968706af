package csvread

import (
	"cmp"
	"slices"
	"strings"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// headings are the words that mean a role when no map says what a column holds,
// in lower case.
var headings = map[string]Role{
	"time": RoleTime, "date": RoleTime, "datetime": RoleTime, "date time": RoleTime, "date/time": RoleTime,
	"date and time": RoleTime, "timestamp": RoleTime, "taken": RoleTime, "taken at": RoleTime, "measured at": RoleTime,
	"clock": RoleClock, "time of day": RoleClock, "hour": RoleClock,
	"system": RoleSystem, "code": RoleSystem, "system code": RoleSystem, "tank": RoleSystem, "aquarium": RoleSystem,
	"analyte": RoleAnalyte, "parameter": RoleAnalyte, "test": RoleAnalyte, "quantity": RoleAnalyte, "element": RoleAnalyte,
	"value": RoleValue, "result": RoleValue, "reading": RoleValue,
	"unit": RoleUnit, "units": RoleUnit,
	"uncertainty": RoleUncertainty, "standard uncertainty": RoleUncertainty,
	"method": RoleMethod, "instrument": RoleMethod, "kit": RoleMethod,
	"person": RolePerson, "by": RolePerson, "initials": RolePerson, "who": RolePerson, "tester": RolePerson,
	"note": RoleNote, "notes": RoleNote, "comment": RoleNote, "remark": RoleNote, "remarks": RoleNote,
}

// plainHeading is a heading without what does not matter in it.
func plainHeading(text string) string {
	return strings.ToLower(strings.Join(strings.Fields(text), " "))
}

// MapOf proposes what the columns of a file hold, by their headings: the words
// for the roles, and the names and symbols of analytes with a unit in brackets or
// behind a comma, as in "Ca (mg/L)". What is not recognised is left out.
func MapOf(header []string) ColumnMap {
	var m ColumnMap
	beside := besideDate(header)
	long := false
	for _, h := range header {
		role := headings[plainHeading(h)]
		long = long || role == RoleValue
		if beside && plainHeading(h) == "time" {
			role = RoleClock // the time of day beside the date
		}
		m.Columns = append(m.Columns, MapColumn{Heading: h, Role: role})
	}
	if long {
		return m
	}
	for i, h := range header {
		if m.Columns[i].Role != RoleNone {
			continue
		}
		if a, u, ok := analyteHeading(h); ok {
			info, _ := chem.Lookup(a)
			m.Columns[i] = MapColumn{Heading: h, Role: RoleReading, Analyte: info.Key, Unit: u}
		}
	}
	return m
}

// besideDate tells that a column headed "date" has the day, so that one headed
// "time" has the time of day.
func besideDate(header []string) bool {
	return slices.ContainsFunc(header, func(name string) bool { return plainHeading(name) == "date" })
}

// analyteHeading reads a heading such as "Calcium", "Ca (mg/L)", "KH, dKH" or
// "Ca mg/L"; without a unit it is empty, for it must be asked.
func analyteHeading(text string) (chem.Analyte, chem.Unit, bool) {
	if i := strings.LastIndexByte(strings.TrimSpace(text), ' '); i > 0 {
		name, unit := strings.TrimSpace(text)[:i], strings.TrimSpace(text)[i+1:]
		if a, err := chem.ParseAnalyte(name); err == nil {
			if u, err := chem.ParseUnit(a, unit); err == nil {
				return a, u, true
			}
		}
	}
	name, unit := text, ""
	if i := strings.IndexAny(text, "([,"); i > 0 {
		name, unit = text[:i], strings.Trim(text[i:], "()[], ")
	}
	a, err := chem.ParseAnalyte(name)
	if err != nil {
		return 0, "", false
	}
	u, err := chem.ParseUnit(a, unit)
	if err != nil {
		return a, "", true
	}
	return a, u, true
}

// layout is where the cells of a line are found.
type layout struct {
	at      map[Role]int // of the roles that one column has
	system  string       // of every line; empty: the column's
	analyte chem.Analyte // of every value; zero: the column's
	unit    chem.Unit    // where a value has none
	method  string
	wide    []wideColumn
}

// wideColumn is a column of the readings of one analyte.
type wideColumn struct {
	at      int
	heading string
	analyte chem.Analyte
	unit    chem.Unit
	method  string
}

// layoutOf finds the columns of a map in a file's header. The error is a
// tanks.Fault of "header", or what [ColumnMap.Validate] says.
func layoutOf(header []string, m ColumnMap) (layout, error) {
	if len(m.Columns) == 0 {
		return plainLayout(header, m)
	}
	if err := m.Validate(); err != nil {
		return layout{}, err
	}
	l := layout{at: map[Role]int{}, system: m.System}
	for _, c := range m.Columns {
		if c.Role == RoleNone {
			continue
		}
		i, err := columnAt(header, c.Heading)
		if err != nil {
			return layout{}, err
		}
		if c.Role != RoleReading {
			l.at[c.Role] = i
		}
		if c.Analyte == "" {
			continue
		}
		a, err := chem.ParseAnalyte(c.Analyte)
		if err != nil {
			return layout{}, err
		}
		if c.Role == RoleReading {
			l.wide = append(l.wide, wideColumn{i, c.Heading, a, c.Unit, c.Method})
		} else {
			l.analyte, l.unit, l.method = a, c.Unit, c.Method
		}
	}
	// The temperature goes first: oxygen in % of saturation is read by it.
	slices.SortStableFunc(l.wide, func(a, b wideColumn) int { return cmp.Compare(a.rank(), b.rank()) })
	return l, nil
}

// rank is in which order the columns of a line are read.
func (c wideColumn) rank() int {
	if c.analyte == chem.Temperature {
		return 0
	}
	return 1
}

func columnAt(header []string, heading string) (int, error) {
	found := -1
	for i, h := range header {
		if plainHeading(h) != plainHeading(heading) {
			continue
		}
		if found >= 0 {
			return 0, tanks.Fault{
				Field:   "header",
				Problem: words.T("Two columns are headed %q", heading),
				Remedy:  "give one of them another heading",
			}
		}
		found = i
	}
	if found < 0 {
		return 0, tanks.Fault{
			Field: "header", Problem: words.T("The file has no column %q", heading),
			Remedy: words.T("choose the map that was made for such files, or say anew what the columns hold; it has %s", few(header)),
		}
	}
	return found, nil
}

// plainLayout finds the columns by the words for the roles; others are left
// alone.
func plainLayout(header []string, m ColumnMap) (layout, error) {
	l := layout{at: map[Role]int{}, system: m.System}
	beside := besideDate(header)
	for i, name := range header {
		role := headings[plainHeading(name)]
		if beside && plainHeading(name) == "time" {
			role = RoleClock // the time of day beside the date
		}
		if role == RoleNone {
			continue
		}
		if first, twice := l.at[role]; twice {
			return layout{}, tanks.Fault{
				Field: "header", Problem: words.T("The columns %q and %q both mean the %s", header[first], name, role),
				Remedy: "keep one of them, give the other another heading, or say what the columns hold",
			}
		}
		l.at[role] = i
	}
	needed := []Role{RoleTime, RoleSystem, RoleAnalyte, RoleValue, RoleUnit}
	var missing, names []string
	for _, role := range needed {
		names = append(names, string(role))
		if _, ok := l.at[role]; !ok && (role != RoleSystem || m.System == "") {
			missing = append(missing, string(role))
		}
	}
	if len(missing) > 0 {
		return layout{}, tanks.Fault{
			Field: "header", Problem: words.T("The first line names no column %s", strings.Join(missing, ", ")),
			Remedy: words.T("say what the columns hold, or head them %s, method (and person, note if wanted)", strings.Join(names, ", ")),
		}
	}
	return l, nil
}
