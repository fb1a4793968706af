package csvread

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// Role is what a column of an imported file holds.
type Role string

// The roles. A column of the role Reading holds the values of one analyte, as
// spreadsheets do that have a column for each test; the others are parts of the
// one reading of a line.
const (
	RoleNone        Role = ""
	RoleTime        Role = "time"  // day, or day and time
	RoleClock       Role = "clock" // time of day, beside a column with the day
	RoleSystem      Role = "system"
	RoleAnalyte     Role = "analyte"
	RoleValue       Role = "value"
	RoleUnit        Role = "unit"
	RoleUncertainty Role = "uncertainty" // standard uncertainty, in the unit of the value
	RoleMethod      Role = "method"
	RolePerson      Role = "person"
	RoleNote        Role = "note"
	RoleReading     Role = "reading"
)

// Roles lists the roles in the order that lists show them.
func Roles() []Role {
	return []Role{
		RoleNone,
		RoleTime,
		RoleClock,
		RoleSystem,
		RoleReading,
		RoleAnalyte,
		RoleValue,
		RoleUnit,
		RoleUncertainty,
		RoleMethod,
		RolePerson,
		RoleNote,
	}
}

// DateOrder is the order of year, month and day in a file's dates, which cannot
// be guessed: 3/4/2026 is two days.
type DateOrder string

// The orders. ISO dates are read whatever the order.
const (
	YearMonthDay DateOrder = "" // ISO 8601, or with points or strokes
	DayMonthYear DateOrder = "day month year"
	MonthDayYear DateOrder = "month day year"
	DayNumber    DateOrder = "day number" // days since 30 December 1899, as spreadsheets count them
)

// DateOrders lists the orders in the order that lists show them.
func DateOrders() []DateOrder {
	return []DateOrder{YearMonthDay, DayMonthYear, MonthDayYear, DayNumber}
}

// Commas is what a comma in a number means where it can be read in two ways: 1,320
// is 1.32 or 1320.
type Commas string

// The meanings of a comma. By default such a number is refused, unless only one of
// the two can be.
const (
	CommasNotSaid   Commas = ""
	CommasDecimal   Commas = "decimal"
	CommasThousands Commas = "thousands"
)

// CommaMeanings lists the meanings in the order that lists show them.
func CommaMeanings() []Commas { return []Commas{CommasNotSaid, CommasDecimal, CommasThousands} }

// Encoding is how a file's letters are written.
type Encoding string

// The encodings. By default a file that is not UTF-8 throughout is taken for
// Latin-1, and a byte order mark tells UTF-16.
const (
	AnyEncoding Encoding = ""
	UTF8        Encoding = "UTF-8"
	Latin1      Encoding = "Latin-1" // with the signs that Windows-1252 adds
)

// ColumnMap says how to read a file of readings. The zero ColumnMap reads files
// whose headings are the names of the roles, or common words for them, and whose
// dates are ISO 8601.
type ColumnMap struct {
	ID        int64       `json:"-"`
	Name      string      `json:"-"`
	Encoding  Encoding    `json:"encoding,omitempty"`
	Separator string      `json:"separator,omitempty"` // , or ; or a tab; empty: what the first line has most of
	Dates     DateOrder   `json:"dates,omitempty"`
	Commas    Commas      `json:"commas,omitempty"`
	Zone      string      `json:"zone,omitempty"`   // IANA name, of times without an offset; empty: the room's
	System    string      `json:"system,omitempty"` // code, of a file without a column for it
	Columns   []MapColumn `json:"columns,omitempty"`
}

// MapColumn says what a column holds, by its heading.
type MapColumn struct {
	Heading string `json:"heading"`
	Role    Role   `json:"role"`
	// Of a column of readings, or of the value where no column has it:
	Analyte string    `json:"analyte,omitempty"` // key or symbol
	Unit    chem.Unit `json:"unit,omitempty"`
	Method  string    `json:"method,omitempty"` // name; empty: not named
}

// Of returns the columns of a role.
func (m ColumnMap) Of(role Role) []MapColumn {
	var out []MapColumn
	for _, c := range m.Columns {
		if c.Role == role {
			out = append(out, c)
		}
	}
	return out
}

// Validate returns Faults of "columns", "dates", "commas", "zone", "separator",
// "encoding", and "columns.N.analyte", ".unit" with N counted from 0.
func (m ColumnMap) Validate() error {
	var fs tanks.Faults
	add := func(field string, problem, remedy words.Text) {
		fs = append(fs, tanks.Fault{Field: field, Problem: problem, Remedy: remedy})
	}
	if !slices.Contains(DateOrders(), m.Dates) {
		add("dates", words.T("No order of dates is called %q", m.Dates), "choose one from the list")
	}
	if _, err := time.LoadLocation(m.Zone); err != nil {
		add("zone", words.T("No time zone is called %q", m.Zone), "use a name such as Europe/Paris or America/Chicago")
	}
	if !slices.Contains([]string{"", ",", ";", "\t"}, m.Separator) {
		add("separator", words.T("Cells are not divided by %q", m.Separator), "use a comma, a semicolon or a tab")
	}
	if !slices.Contains(CommaMeanings(), m.Commas) {
		add("commas", words.T("No meaning of a comma is called %q", m.Commas), "choose one from the list")
	}
	if !slices.Contains([]Encoding{AnyEncoding, UTF8, Latin1}, m.Encoding) {
		add("encoding", words.T("No way of writing letters is called %q", m.Encoding), "choose one from the list")
	}
	if len(m.Columns) > 0 {
		fs = append(fs, m.columnFaults()...)
	}
	return fs.Err()
}

func (m ColumnMap) columnFaults() tanks.Faults {
	var fs tanks.Faults
	add := func(field string, problem, remedy words.Text) {
		fs = append(fs, tanks.Fault{Field: field, Problem: problem, Remedy: remedy})
	}
	seen := map[Role]string{}
	for i, c := range m.Columns {
		field := fmt.Sprintf("columns.%d.", i)
		if first, twice := seen[c.Role]; twice && c.Role != RoleReading && c.Role != RoleNone {
			add("columns", words.T("The columns %q and %q both mean the %s", first, c.Heading, c.Role), "keep one of them")
		}
		seen[c.Role] = c.Heading
		if !slices.Contains(Roles(), c.Role) {
			add("columns", words.T("No column can be a %q", c.Role), "choose what it holds from the list")
		}
		if c.Role != RoleReading && c.Analyte == "" {
			continue
		}
		a, err := chem.ParseAnalyte(c.Analyte)
		if err != nil {
			add(field+"analyte", words.T("What is measured in %q is not said", c.Heading), "choose the analyte")
			continue
		}
		if c.Unit == "" {
			add(field+"unit", words.T("The unit of %q is not said", c.Heading), "look it up where the file comes from, and choose it")
		} else if info, _ := chem.Lookup(a); !info.Accepts(c.Unit) {
			add(field+"unit", words.T("%s is not given in %q", a, c.Unit), "choose one of its units")
		}
	}
	var missing []string
	need := func(role Role, has bool) {
		if _, ok := seen[role]; !ok && !has {
			missing = append(missing, string(role))
		}
	}
	need(RoleTime, false)
	need(RoleSystem, m.System != "")
	if _, wide := seen[RoleReading]; !wide {
		fixed := false
		for _, c := range m.Of(RoleValue) {
			fixed = c.Analyte != ""
		}
		need(RoleAnalyte, fixed)
		need(RoleValue, false)
		need(RoleUnit, fixed)
	}
	if len(missing) > 0 {
		add("columns", words.T("No column is the %s", strings.Join(missing, ", ")), "say which columns hold them")
	}
	return fs
}
