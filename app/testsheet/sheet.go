package testsheet

import (
	"encoding/json"
	"slices"
	"time"

	"weirkeeper/app/say"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

// column is one analyte by one method.
type column struct {
	analyte chem.Analyte
	method  tanks.Method // the zero Method: none named
	unit    chem.Unit
}

// subtitle says how the column is read: method and unit.
func (c column) subtitle() string {
	if c.method.Name == "" {
		return say.F("no method, %s", string(c.unit))
	}
	return c.method.Name + ", " + string(c.unit)
}

// entry is what was typed into one cell.
type entry struct {
	typed   string
	reading tanks.Reading
	problem string         // why it can't be saved; empty: it can
	ask     string         // a surprise that wants a look; empty: none
	instead string         // what a slip of the decimal point would have meant, as typed
	kept    bool           // the person looked at the surprise and keeps it
	verdict *tanks.Verdict // nil: to be asked for
}

// ready tells whether the entry can be saved as it is.
func (e entry) ready() bool { return e.typed != "" && e.problem == "" && (e.ask == "" || e.kept) }

// sheet is a round being typed: systems down, analytes across.
type sheet struct {
	room    *board.Estimated
	systems []tanks.System
	columns []column
	due     map[tanks.Cell]bool
	entries map[tanks.Cell]entry
	recent  map[tanks.Cell][]tanks.Reading // of cells without a course, to expect by
	at      time.Time                      // when the water was taken; zero: when it is saved
	person  string
}

// newSheet lays out the cells of a round; without cells every open system
// with its scheduled analytes.
func newSheet(room *board.Estimated, cells []tanks.Cell) *sheet {
	s := &sheet{room: room, due: map[tanks.Cell]bool{}, entries: map[tanks.Cell]entry{}}
	all := len(cells) == 0
	if all {
		cells = scheduled(room)
	}
	wanted := map[tanks.SystemID]bool{}
	var analytes []chem.Analyte
	for _, c := range cells {
		s.due[c] = !all || dueNow(room, c)
		wanted[c.System] = true
		if !slices.Contains(analytes, c.Analyte) {
			analytes = append(analytes, c.Analyte)
		}
	}
	for _, system := range room.Systems {
		if wanted[system.ID] {
			s.systems = append(s.systems, system)
		}
	}
	for _, info := range chem.Catalogue() {
		if slices.Contains(analytes, info.Analyte) {
			s.addColumn(info.Analyte)
		}
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

// dueNow tells whether the newest value is as old as its test interval.
func dueNow(room *board.Estimated, c tanks.Cell) bool {
	band, ok := room.Band(c)
	if !ok || band.TestEvery <= 0 {
		return false
	}
	last, ok := room.Latest[c]
	return !ok || room.Now.Sub(last.At) >= band.TestEvery
}

// addColumn adds an analyte read by the method used last in the sheet's
// systems, else by the first method for it.
func (s *sheet) addColumn(a chem.Analyte) {
	for _, c := range s.columns {
		if c.analyte == a {
			return
		}
	}
	s.columns = append(s.columns, s.columnBy(a, s.usualMethod(a)))
}

func (s *sheet) columnBy(a chem.Analyte, m tanks.Method) column {
	unit := m.Unit
	if unit == "" {
		info, _ := chem.Lookup(a)
		unit = info.Units[0]
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
	slices.SortFunc(out, func(x, y tanks.Method) int { return int(x.ID - y.ID) })
	return out
}

// addSystem adds a row.
func (s *sheet) addSystem(system tanks.System) {
	for _, have := range s.systems {
		if have.ID == system.ID {
			return
		}
	}
	s.systems = append(s.systems, system)
}

// cell returns which cell stands at row and column.
func (s *sheet) cell(row, col int) tanks.Cell {
	return tanks.Cell{System: s.systems[row].ID, Analyte: s.columns[col].analyte}
}

// typeIn takes over what was typed into a cell; an empty text clears it. The
// entry says what is wrong or surprising.
func (s *sheet) typeIn(row, col int, text string, now time.Time) entry {
	cell := s.cell(row, col)
	s.unjudge(cell.System)
	if text == "" {
		delete(s.entries, cell)
		return entry{}
	}
	e := s.read(cell, s.columns[col], text, now)
	if old, ok := s.entries[cell]; ok && old.typed == text {
		e.kept = old.kept
	}
	s.entries[cell] = e
	return e
}

// read turns typed text into a reading.
func (s *sheet) read(cell tanks.Cell, c column, text string, now time.Time) entry {
	e := entry{typed: text}
	quantity, err := chem.ParseNumber(text)
	if err != nil {
		e.problem = say.Of(err)
		return e
	}
	value, err := chem.Convert(c.analyte, quantity.Value, c.unit, canonical(c.analyte), s.room.Water(cell.System))
	if err != nil {
		e.problem = say.Of(err)
		return e
	}
	e.reading = tanks.Reading{
		System: cell.System, Analyte: c.analyte, At: s.taken(now), Value: value, Limit: limitOf(quantity.Limit),
		Typed: text, Unit: c.unit, Method: c.method.ID, Person: s.person,
	}
	if fs := tanks.FaultsOf(e.reading.Validate(now)); len(fs) > 0 {
		e.problem = say.Of(fs[0])
		return e
	}
	e.ask, e.instead = s.surprise(cell, c, e.reading)
	return e
}

func (s *sheet) taken(now time.Time) time.Time {
	if s.at.IsZero() {
		return now
	}
	return s.at
}

func canonical(a chem.Analyte) chem.Unit {
	info, _ := chem.Lookup(a)
	return info.Unit
}

func limitOf(sign string) tanks.Limit {
	switch sign {
	case "<":
		return tanks.Below
	case ">":
		return tanks.Above
	}
	return tanks.Exact
}

// verdict is how the cell of an entry stands once the sheet is saved; false:
// there is nothing to judge.
func (s *sheet) verdict(cell tanks.Cell) (tanks.Verdict, bool) {
	e, ok := s.entries[cell]
	if !ok || e.problem != "" {
		return tanks.Verdict{}, false
	}
	if e.verdict == nil {
		v := s.room.JudgeWith(cell, s.typedOf(cell.System)...)
		e.verdict = &v
		s.entries[cell] = e
	}
	return *e.verdict, true
}

// typedOf are the readings of a system that are typed and can be read.
func (s *sheet) typedOf(id tanks.SystemID) []tanks.Reading {
	var out []tanks.Reading
	for _, c := range s.columns {
		if e, ok := s.entries[tanks.Cell{System: id, Analyte: c.analyte}]; ok && e.problem == "" {
			out = append(out, e.reading)
		}
	}
	return out
}

// unjudge forgets the verdicts of a system: each rests on all that is typed.
func (s *sheet) unjudge(id tanks.SystemID) {
	for _, c := range s.columns {
		cell := tanks.Cell{System: id, Analyte: c.analyte}
		if e, ok := s.entries[cell]; ok {
			e.verdict = nil
			s.entries[cell] = e
		}
	}
}

// tally counts the entries by what becomes of them, and names one due cell
// that is still empty.
func (s *sheet) tally() (ready, asked, wrong, empty int, firstEmpty string) {
	for _, e := range s.entries {
		switch {
		case e.problem != "":
			wrong++
		case !e.ready():
			asked++
		default:
			ready++
		}
	}
	for _, system := range s.systems {
		for _, c := range s.columns {
			cell := tanks.Cell{System: system.ID, Analyte: c.analyte}
			if _, typed := s.entries[cell]; s.due[cell] && !typed {
				if empty == 0 {
					firstEmpty = say.F("%s %s", system.Code, c.analyte.InSentence())
				}
				empty++
			}
		}
	}
	return ready, asked, wrong, empty, firstEmpty
}

// readings returns the readings to save, in the sheet's order, at the instant
// when the water was taken.
func (s *sheet) readings(now time.Time) []tanks.Reading {
	var out []tanks.Reading
	for row := range s.systems {
		for col := range s.columns {
			if e, ok := s.entries[s.cell(row, col)]; ok && e.ready() {
				r := e.reading
				r.At, r.Person = s.taken(now), s.person
				out = append(out, r)
			}
		}
	}
	return out
}

// firstUnready finds the first cell that cannot be saved as it is.
func (s *sheet) firstUnready() (row, col int, e entry, found bool) {
	for row := range s.systems {
		for col := range s.columns {
			if e, ok := s.entries[s.cell(row, col)]; ok && !e.ready() {
				return row, col, e, true
			}
		}
	}
	return 0, 0, entry{}, false
}

// draft is a sheet as it is kept in the ledger while it is typed.
type draft struct {
	Cells   []tanks.Cell
	Systems []tanks.SystemID
	Columns []draftColumn
	Entries []draftEntry
	At      time.Time
}

type draftColumn struct {
	Analyte chem.Analyte
	Method  tanks.MethodID
}

type draftEntry struct {
	Cell  tanks.Cell
	Typed string
	Kept  bool
}

// marshal returns the sheet for keeping.
func (s *sheet) marshal() ([]byte, error) {
	d := draft{At: s.at}
	for _, system := range s.systems {
		d.Systems = append(d.Systems, system.ID)
	}
	for _, c := range s.columns {
		d.Columns = append(d.Columns, draftColumn{c.analyte, c.method.ID})
	}
	for row := range s.systems {
		for col := range s.columns {
			cell := s.cell(row, col)
			if s.due[cell] {
				d.Cells = append(d.Cells, cell)
			}
			if e, ok := s.entries[cell]; ok {
				d.Entries = append(d.Entries, draftEntry{cell, e.typed, e.kept})
			}
		}
	}
	data, err := json.Marshal(d)
	if err != nil {
		return nil, words.Errorf("writing the sheet: %w", err)
	}
	return data, nil
}

// restore builds the sheet of a kept draft over the room as it is now; recent
// are the values that let expect the typed ones.
func restore(room *board.Estimated, recent map[tanks.Cell][]tanks.Reading, data []byte, now time.Time) (*sheet, error) {
	var d draft
	if err := json.Unmarshal(data, &d); err != nil {
		return nil, words.Errorf("reading the kept sheet: %w", err)
	}
	s := &sheet{room: room, due: map[tanks.Cell]bool{}, entries: map[tanks.Cell]entry{}, recent: recent, at: d.At}
	for _, id := range d.Systems {
		if system, ok := room.System(id); ok {
			s.systems = append(s.systems, system)
		}
	}
	for _, c := range d.Columns {
		s.columns = append(s.columns, s.columnBy(c.Analyte, room.Methods[c.Method]))
	}
	for _, c := range d.Cells {
		s.due[c] = true
	}
	for _, e := range d.Entries {
		row := slices.IndexFunc(s.systems, func(t tanks.System) bool { return t.ID == e.Cell.System })
		col := slices.IndexFunc(s.columns, func(c column) bool { return c.analyte == e.Cell.Analyte })
		if row < 0 || col < 0 {
			continue
		}
		read := s.typeIn(row, col, e.Typed, now)
		read.kept = e.Kept
		s.entries[e.Cell] = read
	}
	return s, nil
}
