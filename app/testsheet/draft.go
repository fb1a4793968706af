package testsheet

import (
	"cmp"
	"encoding/json"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// draftName is where the unsaved sheet is kept in the ledger.
const draftName = "test sheet"

// draft is a sheet as it is kept in the ledger while it is typed.
type draft struct {
	Cells   []tanks.Cell // that are due
	Systems []tanks.SystemID
	Columns []draftColumn
	Entries []draftEntry
	At      time.Time
}

type draftColumn struct {
	Analyte chem.Analyte
	Method  tanks.MethodID
	Unit    chem.Unit // empty: the method's
}

type draftEntry struct {
	Cell  tanks.Cell
	Typed string
	Kept  bool
}

// typing is what stands in the cell that is being edited.
type typing struct {
	cell tanks.Cell
	text string
}

// draft returns the sheet for keeping, with what is being typed into a cell
// (nil: nothing) as if that were done.
func (s *sheet) draft(under *typing) draft {
	d := draft{At: s.takenAt}
	for _, system := range s.systems {
		d.Systems = append(d.Systems, system.ID)
	}
	for _, c := range s.columns {
		d.Columns = append(d.Columns, draftColumn{c.analyte, c.method.ID, c.unit})
	}
	for _, cell := range s.cells() {
		if s.due[cell] {
			d.Cells = append(d.Cells, cell)
		}
		e := s.entries[cell]
		if under != nil && under.cell == cell && under.text != e.typed {
			e = entry{typed: under.text}
		}
		if e.typed != "" {
			d.Entries = append(d.Entries, draftEntry{cell, e.typed, e.kept})
		}
	}
	return d
}

func (d draft) marshal() ([]byte, error) {
	data, err := json.Marshal(d)
	if err != nil {
		return nil, words.Errorf("writing the sheet: %w", err)
	}
	return data, nil
}

// unmarshal reads a kept draft; no data is an empty one.
func unmarshal(data []byte) (d draft, err error) {
	if len(data) == 0 {
		return d, nil
	}
	if err := json.Unmarshal(data, &d); err != nil {
		return draft{}, words.Errorf("reading the kept sheet: %w", err)
	}
	return d, nil
}

// take adds rows, columns and all that was typed of a draft, read by what is
// known of the room now. A column in which something was typed keeps its unit:
// the digits are of that unit.
func (s *sheet) take(d draft, now time.Time) {
	s.takenAt = d.At
	for _, id := range d.Systems {
		if system, ok := s.room.System(id); ok {
			s.addSystem(system)
		}
	}
	typed := map[chem.Analyte]bool{}
	for _, e := range d.Entries {
		typed[e.Cell.Analyte] = true
	}
	for _, k := range d.Columns {
		c := s.columnBy(k.Analyte, s.room.Methods[k.Method])
		if typed[k.Analyte] && !c.fixed() {
			c.unit = cmp.Or(k.Unit, c.method.Unit, c.unit)
		}
		s.setColumn(c)
	}
	for _, c := range d.Cells {
		s.due[c] = typeable(c.Analyte)
	}
	for _, e := range d.Entries {
		if _, _, ok := s.place(e.Cell); ok {
			s.retype(e.Cell, entry{typed: e.Typed, kept: e.Kept}, now)
		}
	}
}
