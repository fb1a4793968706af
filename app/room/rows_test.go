package room

import (
	"testing"
	"time"

	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

var now = time.Date(2026, 3, 10, 8, 0, 0, 0, time.UTC)

// quarantine is an estimated board of two systems, of which the first has ammonia
// of 0.15 mg/L, and alkalinity that daily doses hold.
func quarantine() *board.Estimated {
	band := tanks.Band{Analyte: chem.Alkalinity, Low: 2.6, Aim: 3, High: 3.4}
	ammonia := tanks.Reading{System: 1, Analyte: chem.Ammonia, Method: 1, At: now, Value: 0.15}
	latest := []tanks.Reading{ammonia, {System: 2, Analyte: chem.Alkalinity, At: now, Value: 3, Uncertainty: 0.05}}
	var rec board.SystemRecord
	for n := range 10 {
		at := now.AddDate(0, 0, -2*n)
		rec.Readings = append(
			rec.Readings,
			tanks.Reading{System: 1, Analyte: chem.Alkalinity, At: at, Value: 3 + 0.01*float64(n%3), Uncertainty: 0.03},
		)
	}
	for n := range 20 {
		rec.Additions = append(
			rec.Additions,
			tanks.Addition{
				System:  1,
				At:      now.Add(-time.Duration(24*n+12) * time.Hour),
				Changes: []tanks.Delta{{Analyte: chem.Alkalinity, Change: 0.1}},
			},
		)
	}
	return board.New(board.Facts{
		Now: now, Systems: []tanks.System{{ID: 1, Code: "Q1", Kind: tanks.Marine}, {ID: 2, Code: "F1", Kind: tanks.Marine}},
		Bands:   map[tanks.SystemID][]tanks.Band{1: {band, {Analyte: chem.Ammonia, High: 0.1}}, 2: {band}},
		Methods: []tanks.Method{{ID: 1, Name: "Ammonia kit", Accuracy: 0.02, Repeatability: 0.01}},
		Latest:  append(latest, rec.Readings[0]),
	}).Estimate(map[tanks.SystemID]board.SystemRecord{1: rec, 2: {}})
}

// What is outside is found in whatever columns are shown.
func TestOutsideOnlyLooksAtAllAnalytes(t *testing.T) {
	s := &session.Session{Clock: func() time.Time { return now }, Zone: time.UTC}
	b := layOut(s, quarantine(), filter{outsideOnly: true}, []chem.Analyte{chem.Alkalinity})
	if b.shown != 1 || b.groups[0].Records[0].system.Code != "Q1" {
		t.Fatalf("shown are %+v", b.groups)
	}
	row := b.groups[0].Records[0]
	if cell := worstCell(row); row.worst.Cell.Analyte != chem.Ammonia || cell.Bold != "Ammonia (total) above" ||
		cell.Mark != widgets.MarkOf(int(tanks.AboveBand), int(tanks.Firm), false) {
		t.Errorf("the worst is %+v, shown as %+v", row.worst, cell)
	}
	all := layOut(s, quarantine(), filter{}, []chem.Analyte{chem.Alkalinity})
	if all.shown != 2 || worstCell(all.groups[0].Records[1]).Text != "all within" {
		t.Errorf("without the filter: %+v", all.groups)
	}
}

// A level that daily doses hold does not fall, whatever the system uses.
func TestHeldLevelsAreSteady(t *testing.T) {
	s := &session.Session{Clock: func() time.Time { return now }, Zone: time.UTC}
	r := quarantine()
	c := tanks.Cell{System: 1, Analyte: chem.Alkalinity}
	if used, ok := r.Uptake(c); !ok || used.PerDay < 0.08 {
		t.Fatalf("the uptake is %+v", used)
	}
	if got := cellOf(makeCell(s, r, c)).Trend; got != 0 {
		t.Errorf("it goes %d", got)
	}
}
