package testsheet

import (
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// FuzzKeptSheet lays out whatever stands in the place of a kept sheet: it is
// understood or refused, and what was laid out can be kept and laid out again.
func FuzzKeptSheet(f *testing.F) {
	now := time.Date(2026, 3, 10, 8, 2, 0, 0, time.UTC)
	d := draft{
		Cells:   []tanks.Cell{{System: 1, Analyte: chem.Calcium}},
		Systems: []tanks.SystemID{1, 2},
		Columns: []draftColumn{{Analyte: chem.Calcium, Unit: chem.MgL}, {Analyte: chem.Alkalinity}},
		Entries: []draftEntry{{Cell: tanks.Cell{System: 1, Analyte: chem.Calcium}, Typed: "<420", Kept: true}},
		At:      now,
	}
	good, err := d.marshal()
	if err != nil {
		f.Fatal(err)
	}
	f.Add(good)
	for _, other := range []string{
		"", "{", "null", `{"Systems":[-1,99999],"Columns":[{"Analyte":-7,"Method":3,"Unit":"x"}]}`,
		`{"Cells":[{"System":1,"Analyte":32767}],"Entries":[{"Cell":{"System":1,"Analyte":32767},"Typed":"1e999"}]}`,
	} {
		f.Add([]byte(other))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		d, err := unmarshal(data)
		if err != nil {
			return
		}
		s := blank(known{room: falling()}, func(chem.Analyte) chem.Unit { return "" })
		s.take(d, now)
		kept, err := s.draft(nil).marshal()
		if err != nil {
			return // a time that JSON has no form for
		}
		again, err := unmarshal(kept)
		if err != nil {
			t.Fatalf("what was kept is refused: %v\n%s", err, kept)
		}
		other := blank(known{room: falling()}, func(chem.Analyte) chem.Unit { return "" })
		other.take(again, now)
		if got, err := other.draft(nil).marshal(); err != nil || string(got) != string(kept) {
			t.Fatalf("kept again it is %s, %v\nnot %s", got, err, kept)
		}
	})
}
