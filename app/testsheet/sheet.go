package testsheet

import (
	"cmp"
	"slices"
	"time"

	"weirkeeper/app/say"
	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

// column is one analyte by one method.
type column struct {
	analyte chem.Analyte
	method  tanks.Method // the zero Method: none named
	unit    chem.Unit    // in which values are typed
}

// fixed tells a column of an analyte that only a newer version of the program knows: how
// its values are read is not known here, so that they are shown and not typed.
func (c column) fixed() bool { return !typeable(c.analyte) }

func typeable(a chem.Analyte) bool {
	_, known := chem.Lookup(a)
	return known
}

// subtitle says how the column is read: method and unit.
func (c column) subtitle() string {
	if c.fixed() {
		return say.L("shown, not typed")
	}
	if c.method.Name == "" {
		return say.F("no method, %s", string(c.unit))
	}
	return c.method.Name + ", " + string(c.unit)
}

// prefers tells the unit that the person has chosen for an analyte, empty for
// none.
type prefers func(chem.Analyte) chem.Unit

// known is what the ledger tells that a sheet needs.
type known struct {
	room   *board.Estimated
	recent map[tanks.Cell][]float64 // what lets expect the next value
	today  map[tanks.Cell]bool      // the tests that are overdue or due today
}

// sheet is a round being typed: systems down in walking order, analytes across
// in the catalogue's. A cell is named by system and analyte: where it stands
// changes as rows and columns come and go.
type sheet struct {
	known
	prefers prefers
	systems []tanks.System
	columns []column
	due     map[tanks.Cell]bool
	entries map[tanks.Cell]entry
	takenAt time.Time // when the water was taken; zero: when it is saved
	person  string
}

// blank is a sheet without cells.
func blank(k known, units prefers) *sheet {
	return &sheet{known: k, prefers: units, due: map[tanks.Cell]bool{}, entries: map[tanks.Cell]entry{}}
}

// newSheet lays out the cells of a round; without cells every open system
// with its scheduled analytes.
func newSheet(k known, units prefers, cells []tanks.Cell) *sheet {
	s := blank(k, units)
	all := len(cells) == 0
	if all {
		cells = scheduled(k.room)
	}
	for _, c := range cells {
		if system, ok := k.room.System(c.System); ok {
			s.addSystem(system)
			s.due[c] = typeable(c.Analyte) && (!all || k.today[c])
		}
	}
	for _, c := range cells {
		s.addAnalyte(c.Analyte)
	}
	return s
}

// scheduled returns every cell that has a test interval.
func scheduled(room *board.Estimated) []tanks.Cell {
	var cells []tanks.Cell
	for _, system := range room.Systems {
		for _, b := range room.Bands[system.ID] {
			if b.TestEvery > 0 {
				cells = append(cells, tanks.Cell{System: system.ID, Analyte: b.Analyte})
			}
		}
	}
	return cells
}

// empty tells that there is no cell to type into.
func (s *sheet) empty() bool { return len(s.systems) == 0 || len(s.columns) == 0 }

// bare tells that there is neither row nor column.
func (s *sheet) bare() bool { return len(s.systems) == 0 && len(s.columns) == 0 }

// cells lists every cell, row by row.
func (s *sheet) cells() []tanks.Cell {
	all := make([]tanks.Cell, 0, len(s.systems)*len(s.columns))
	for _, system := range s.systems {
		for _, c := range s.columns {
			all = append(all, tanks.Cell{System: system.ID, Analyte: c.analyte})
		}
	}
	return all
}

// cellAt returns the cell that stands at row and column now, if there is one.
func (s *sheet) cellAt(row, col int) (tanks.Cell, bool) {
	if row < 0 || row >= len(s.systems) || col < 0 || col >= len(s.columns) {
		return tanks.Cell{}, false
	}
	return tanks.Cell{System: s.systems[row].ID, Analyte: s.columns[col].analyte}, true
}

// place returns where a cell stands now.
func (s *sheet) place(c tanks.Cell) (row, col int, ok bool) {
	row = slices.IndexFunc(s.systems, func(t tanks.System) bool { return t.ID == c.System })
	col = slices.IndexFunc(s.columns, func(k column) bool { return k.analyte == c.Analyte })
	return row, col, row >= 0 && col >= 0
}

// column returns how an analyte is read.
func (s *sheet) column(a chem.Analyte) (column, bool) {
	for _, c := range s.columns {
		if c.analyte == a {
			return c, true
		}
	}
	return column{}, false
}

// name says a cell: "F1 calcium".
func (s *sheet) name(c tanks.Cell) string {
	system, _ := s.room.System(c.System)
	return say.F("%s %s", system.Code, c.Analyte.InSentence())
}

// addSystem adds a row in its place.
func (s *sheet) addSystem(system tanks.System) {
	if slices.ContainsFunc(s.systems, func(t tanks.System) bool { return t.ID == system.ID }) {
		return
	}
	order := make(map[tanks.SystemID]int, len(s.room.Systems))
	for n, t := range s.room.Systems {
		order[t.ID] = n
	}
	s.systems = append(s.systems, system)
	slices.SortStableFunc(s.systems, func(a, b tanks.System) int { return cmp.Compare(order[a.ID], order[b.ID]) })
}

// addAnalyte adds a column in its place, read by the method used last in the
// sheet's systems, else by the first method for it.
func (s *sheet) addAnalyte(a chem.Analyte) {
	if _, ok := s.column(a); !ok {
		s.setColumn(s.columnBy(a, s.usualMethod(a)))
	}
}

// setColumn adds a column, or changes how its analyte is read.
func (s *sheet) setColumn(c column) {
	for n, have := range s.columns {
		if have.analyte == c.analyte {
			s.columns[n] = c
			return
		}
	}
	order := make(map[chem.Analyte]int, len(s.columns))
	present := []chem.Analyte{c.analyte}
	for _, have := range s.columns {
		present = append(present, have.analyte)
	}
	for n, info := range chem.CatalogueAnd(present) {
		order[info.Analyte] = n
	}
	s.columns = append(s.columns, c)
	slices.SortStableFunc(s.columns, func(a, b column) int { return cmp.Compare(order[a.analyte], order[b.analyte]) })
}

// columnBy returns a column by a method, typed in the unit that the person has
// chosen, else in the method's.
func (s *sheet) columnBy(a chem.Analyte, m tanks.Method) column {
	info, known := chem.Lookup(a)
	unit := cmp.Or(s.prefers(a), m.Unit, info.Units[0])
	if !known {
		unit = info.Unit // in which its values are shown
	}
	return column{analyte: a, method: m, unit: unit}
}

// usualMethod returns the bench method that gave most of the newest values.
func (s *sheet) usualMethod(a chem.Analyte) tanks.Method {
	uses := map[tanks.MethodID]int{}
	for _, system := range s.systems {
		if r, ok := s.room.Latest[tanks.Cell{System: system.ID, Analyte: a}]; ok {
			uses[r.Method]++
		}
	}
	best := tanks.Method{}
	for _, m := range s.methodsFor(a) {
		if m.Kind == tanks.Lab {
			continue
		}
		if best.ID == 0 || uses[m.ID] > uses[best.ID] {
			best = m
		}
	}
	return best
}

// methodsFor lists the methods in use for an analyte, oldest first.
func (s *sheet) methodsFor(a chem.Analyte) []tanks.Method {
	var out []tanks.Method
	for _, m := range s.room.Methods {
		if m.Analyte == a && !m.Retired {
			out = append(out, m)
		}
	}
	slices.SortFunc(out, func(x, y tanks.Method) int { return cmp.Compare(x.ID, y.ID) })
	return out
}

// sameShape tells whether another sheet has the same cells in the same places.
func (s *sheet) sameShape(other *sheet) bool { return slices.Equal(s.cells(), other.cells()) }
