package testsheet

import (
	"slices"
	"strings"
	"time"
	"unicode"

	"weirkeeper/app/say"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// entry is what was typed into one cell.
type entry struct {
	typed   string
	reading tanks.Reading
	problem string         // why it can't be saved; empty: it can
	ask     string         // a surprise that wants a look; empty: none
	instead string         // what a slip of the decimal point would have meant, as typed
	kept    bool           // the person looked at the surprise and keeps it
	newer   bool           // typed in a newer version of the program, whose analyte it is: it waits for that
	verdict *tanks.Verdict // nil: not judged since it was typed
}

// ready tells whether the entry can be saved as it is.
func (e entry) ready() bool {
	return e.typed != "" && e.problem == "" && !e.newer && (e.ask == "" || e.kept)
}

// stuck tells that the entry wants something of the person before it can be saved.
func (e entry) stuck() bool { return !e.newer && !e.ready() }

// typeIn takes over what was typed into a cell; an empty text clears it. The
// entry says what is wrong or surprising. What is typed as salinity or
// temperature says how the other values of its system are read.
func (s *sheet) typeIn(cell tanks.Cell, text string, now time.Time) {
	s.unjudge(cell.System)
	e := entry{typed: text}
	if old, ok := s.entries[cell]; ok && old.typed == text {
		e.kept = old.kept
	}
	s.retype(cell, e, now)
	if !slices.Contains(ofWater, cell.Analyte) {
		return
	}
	for other, e := range s.entries {
		if other.System == cell.System && !slices.Contains(ofWater, other.Analyte) {
			s.retype(other, e, now)
		}
	}
}

// retype reads an entry's text again. One that has no column is dropped.
func (s *sheet) retype(cell tanks.Cell, e entry, now time.Time) {
	c, ok := s.column(cell.Analyte)
	if !ok || e.typed == "" {
		delete(s.entries, cell)
		return
	}
	if c.fixed() {
		s.entries[cell] = entry{typed: e.typed, kept: e.kept, newer: true}
		return
	}
	read := s.read(cell, c, e.typed, now)
	read.kept = e.kept
	s.entries[cell] = read
}

// reread reads every entry again, after the time or a method changed.
func (s *sheet) reread(now time.Time) {
	for cell, e := range s.entries {
		s.retype(cell, e, now)
	}
}

// setMethod changes how a column is read.
func (s *sheet) setMethod(c column, now time.Time) {
	s.setColumn(c)
	s.reread(now)
}

// read turns typed text into a reading.
func (s *sheet) read(cell tanks.Cell, c column, text string, now time.Time) entry {
	e := entry{typed: text}
	value, err := tanks.ReadTyped(tanks.Typed{Analyte: c.analyte, Text: text, Unit: c.unit, Own: c.method.Unit, Water: s.water(cell, now)})
	if err != nil {
		e.problem = say.Of(err)
		return e
	}
	e.reading = value.In(tanks.Reading{System: cell.System, Analyte: c.analyte, At: s.taken(now), Method: c.method.ID, Person: s.person})
	if fs := tanks.FaultsOf(e.reading.Validate(now)); len(fs) > 0 {
		e.problem = say.Of(fs[0])
		return e
	}
	e.ask, e.instead = s.surprise(c, e.reading, s.water(cell, now))
	return e
}

// water is what values of a cell are converted in: of the salinity and temperature
// typed on this sheet, else of those known. Either itself is read in the water that was
// measured before.
func (s *sheet) water(cell tanks.Cell, now time.Time) chem.Water {
	var typed []tanks.Reading
	if !slices.Contains(ofWater, cell.Analyte) {
		for _, a := range ofWater {
			e, ok := s.entries[tanks.Cell{System: cell.System, Analyte: a}]
			if ok && e.problem == "" && e.reading.Limit == tanks.Exact {
				typed = append(typed, e.reading)
			}
		}
	}
	return s.room.WaterAt(cell.System, s.taken(now), typed...)
}

// ofWater are the analytes that say how other values of their system are read.
var ofWater = []chem.Analyte{chem.Salinity, chem.Temperature}

func (s *sheet) taken(now time.Time) time.Time {
	if s.takenAt.IsZero() {
		return now
	}
	return s.takenAt
}

// verdict is how the cell of an entry stands once the sheet is saved; false: there
// is nothing to judge.
func (s *sheet) verdict(cell tanks.Cell) (tanks.Verdict, bool) {
	e, ok := s.entries[cell]
	if !ok || e.problem != "" || e.newer {
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
		if e, ok := s.entries[tanks.Cell{System: id, Analyte: c.analyte}]; ok && e.problem == "" && !e.newer {
			out = append(out, e.reading)
		}
	}
	return out
}

// unjudge forgets the verdicts of a system: each rests on all that is typed.
func (s *sheet) unjudge(id tanks.SystemID) {
	for cell, e := range s.entries {
		if cell.System == id {
			e.verdict = nil
			s.entries[cell] = e
		}
	}
}

// tally counts the entries by what becomes of them, and the due cells that are
// still empty.
type tally struct {
	ready, asked, wrong, empty int
	firstEmpty                 tanks.Cell
}

func (s *sheet) tally() (t tally) {
	for _, e := range s.entries {
		switch {
		case e.newer:
		case e.problem != "":
			t.wrong++
		case !e.ready():
			t.asked++
		default:
			t.ready++
		}
	}
	for _, cell := range s.cells() {
		if _, typed := s.entries[cell]; s.due[cell] && !typed {
			if t.empty == 0 {
				t.firstEmpty = cell
			}
			t.empty++
		}
	}
	return t
}

// readings returns the readings to save, in the sheet's order, at the instant
// when the water was taken.
func (s *sheet) readings(now time.Time) []tanks.Reading {
	var out []tanks.Reading
	for _, cell := range s.cells() {
		if e, ok := s.entries[cell]; ok && e.ready() {
			r := e.reading
			r.At, r.Person = s.taken(now), s.person
			out = append(out, r)
		}
	}
	return out
}

// firstUnready finds the first cell that cannot be saved as it is.
func (s *sheet) firstUnready() (cell tanks.Cell, found bool) {
	for _, cell := range s.cells() {
		if e, ok := s.entries[cell]; ok && e.stuck() {
			return cell, true
		}
	}
	return tanks.Cell{}, false
}

// keep takes a surprise as it is.
func (s *sheet) keep(cell tanks.Cell) {
	if e, ok := s.entries[cell]; ok {
		e.kept = true
		s.entries[cell] = e
	}
}

// clear drops every entry.
func (s *sheet) clear() {
	clear(s.entries)
	s.takenAt = time.Time{}
}

// drop takes saved readings off the sheet; what was typed over one since stays.
func (s *sheet) drop(readings []tanks.Reading) {
	for _, r := range readings {
		if cell := r.Cell(); s.entries[cell].typed == r.Typed {
			delete(s.entries, cell)
			delete(s.due, cell)
		}
	}
}

// put sets a cell back to what was typed for a reading; what was typed into it
// since stays.
func (s *sheet) put(r tanks.Reading, now time.Time) {
	cell := r.Cell()
	system, ok := s.room.System(cell.System)
	if _, typed := s.entries[cell]; !ok || typed {
		return
	}
	s.addSystem(system)
	s.addAnalyte(cell.Analyte)
	s.due[cell] = true
	text := r.Typed
	if c, ok := s.column(cell.Analyte); ok && c.unit != r.Unit && strings.IndexFunc(text, unicode.IsLetter) < 0 {
		text += " " + string(r.Unit)
	}
	s.retype(cell, entry{typed: text, kept: true}, now)
}
