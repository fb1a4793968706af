package testsheet

import (
	"strings"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

var now = time.Date(2026, 3, 10, 8, 0, 0, 0, time.UTC)

// falling is a board of one system that uses 0.1 meq/L of alkalinity a day; it was
// read last three days ago, at 2.7.
func falling() *board.Estimated {
	var rec board.SystemRecord
	for n := 1; n < 9; n++ {
		rec.Readings = append(
			rec.Readings,
			tanks.Reading{
				System:  1,
				Analyte: chem.Alkalinity,
				Method:  1,
				At:      now.AddDate(0, 0, -3*n),
				Value:   2.4 + 0.3*float64(n) + 0.01*float64(n%3),
			},
		)
	}
	return board.New(board.Facts{
		Now: now, Systems: []tanks.System{{ID: 1, Code: "F1", Kind: tanks.Marine}},
		Bands: map[tanks.SystemID][]tanks.Band{1: {
			{
				Analyte:   chem.Salinity,
				TestEvery: 24 * time.Hour,
			}, {Analyte: chem.Alkalinity, Low: 2.6, Aim: 3, High: 3.4, TestEvery: 72 * time.Hour},
			{Analyte: chem.Calcium, Low: 400, Aim: 420, High: 450, AtSalinity: 35, TestEvery: 72 * time.Hour},
		}},
		Methods: []tanks.Method{
			{ID: 1, Name: "Kit", Kind: tanks.Kit, Analyte: chem.Alkalinity, Unit: chem.MeqL, Accuracy: 0.05, Repeatability: 0.03},
			{ID: 2, Name: "Calcium kit", Kind: tanks.Kit, Analyte: chem.Calcium, Unit: chem.MgL, Accuracy: 5, Repeatability: 3},
		},
		Latest: []tanks.Reading{rec.Readings[0]},
	}).Estimate(map[tanks.SystemID]board.SystemRecord{1: rec})
}

// A value near the last ones, far from where the course leads, is a surprise: the
// sheet is opened with the course.
func TestSheetAsksTheCourse(t *testing.T) {
	s := newSheet(known{room: falling()}, func(chem.Analyte) chem.Unit { return "" }, nil)
	alkalinity := tanks.Cell{System: 1, Analyte: chem.Alkalinity}
	typed := func(text string) entry {
		s.typeIn(alkalinity, text, now)
		return s.entries[alkalinity]
	}
	if e := typed("2.41"); !e.ready() || e.ask != "" {
		t.Errorf("on its course: %+v", e)
	}
	if e := typed("3.1"); e.ready() || e.ask == "" {
		t.Errorf("as much as nine days ago: %+v", e)
	}
	if e := typed("0.241"); e.instead != "2.41" {
		t.Errorf("a slip of the decimal point: %+v", e)
	}
}

// The mark beside a typed value is the verdict that Room shows once it is saved;
// a salinity typed beside it counts at once.
func TestMarksAreTheVerdictsToCome(t *testing.T) {
	s := newSheet(known{room: falling()}, func(chem.Analyte) chem.Unit { return "" }, nil)
	at := func(a chem.Analyte) tanks.Cell { return tanks.Cell{System: 1, Analyte: a} }
	alkalinity, calcium, salinity := at(chem.Alkalinity), at(chem.Calcium), at(chem.Salinity)
	s.typeIn(alkalinity, "2.41", now)
	if v, ok := s.verdict(alkalinity); !ok || v.String() != "below, firm" {
		t.Errorf("2.41 meq/L is %s", v)
	}
	s.typeIn(calcium, "300", now)
	if v, ok := s.verdict(calcium); !ok || v.String() != "below, firm" {
		t.Errorf("300 mg/L of calcium in water of unknown salinity is %s", v)
	}
	s.typeIn(salinity, "25", now)
	if v, ok := s.verdict(calcium); !ok || v.String() != "within, firm" {
		t.Errorf("300 mg/L of calcium at 25 PSU is %s", v)
	}
	s.typeIn(salinity, "", now)
	if v, _ := s.verdict(calcium); v.String() != "below, firm" {
		t.Errorf("without the salinity again it is %s", v)
	}
	if _, ok := s.verdict(tanks.Cell{System: 1, Analyte: chem.Salinity}); ok {
		t.Error("an empty cell has a verdict")
	}
}

// A column is in the unit that the person prefers; what is refused is said in that;
// a unit may stand behind the number; a save that is taken back onto a sheet in
// another unit says which it was.
func TestTypedUnits(t *testing.T) {
	in := func(u chem.Unit) *sheet {
		return newSheet(
			known{room: falling()},
			func(a chem.Analyte) chem.Unit { return map[chem.Analyte]chem.Unit{chem.Alkalinity: u}[a] },
			nil,
		)
	}
	s := in(chem.DKH)
	alkalinity, calcium := tanks.Cell{System: 1, Analyte: chem.Alkalinity}, tanks.Cell{System: 1, Analyte: chem.Calcium}
	salinity := tanks.Cell{System: 1, Analyte: chem.Salinity}
	typed := func(c tanks.Cell, text string) entry {
		s.typeIn(c, text, now)
		return s.entries[c]
	}
	if e := typed(alkalinity,
		"395"); e.problem != "Alkalinity of 395.0 dKH cannot be (0.0 to 56.1 can): check the decimal point and the unit" {
		t.Errorf("395 is refused by %q", e.problem)
	}
	if e := typed(alkalinity, "2,42 meq/l"); !e.ready() || e.reading.Value != 2.42 || e.reading.Unit != chem.MeqL {
		t.Errorf("2,42 meq/l is %+v", e)
	}
	if e := typed(calcium, "<400"); !e.ready() || e.reading.Limit != tanks.Below {
		t.Errorf("<400 is %+v", e)
	}
	if e := typed(salinity, "1.026"); e.ready() || !strings.Contains(e.problem, "1.026 is a specific gravity and no PSU") {
		t.Errorf("1.026 PSU is %+v", e)
	}
	if e := typed(salinity, "1.03"); e.ready() || e.ask == "" {
		t.Errorf("1.03 PSU is %+v", e)
	}
	if e := typed(calcium, "1,280"); e.ready() || !strings.Contains(e.problem, "can be 1.280 or 1280") {
		t.Errorf("1,280 is %+v", e)
	}
	if e := typed(salinity, "1.026 SG 25/25"); !e.ready() || e.reading.Value < 34 {
		t.Errorf("1.026 SG 25/25 is %+v", e)
	}
	e := typed(alkalinity, "6.8")
	other := in(chem.MeqL)
	other.put(e.reading, now)
	if got := other.entries[alkalinity]; got.typed != "6.8 dKH" || got.reading.Value != e.reading.Value {
		t.Errorf("taken back onto a sheet in meq/L it is %+v", got)
	}
}
