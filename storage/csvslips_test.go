package storage_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// Values of a file that a slip of the decimal point explains are named with what was
// meant; a level that moves, a first value and a bound are none.
func TestSlipsOfAFile(t *testing.T) {
	magnesium := func(values ...string) string {
		text := head
		for n, v := range values {
			text += fmt.Sprintf("2026-02-%02d 08:30,F1,Mg,%s,mg/L,,,\n", n+1, v)
		}
		return text
	}
	for name, c := range map[string]struct {
		text  string
		lines string
		meant float64
	}{
		"a thousandth":          {magnesium("1310", "1300", "1320", "1.32", "1310"), "[5]", 1320},
		"a tenth":               {magnesium("1310", "1300", "1320", "131.5", "1310"), "[5]", 1315},
		"two of them":           {magnesium("1310", "1300", "1320", "132", "131", "1305"), "[5 6]", 1320},
		"nothing odd":           {magnesium("1310", "1300", "1320", "1315"), "[]", 0},
		"a level that moves":    {magnesium("1310", "1300", "1320", "600", "610", "605"), "[]", 0},
		"too few before it":     {magnesium("1310", "1300", "1.3"), "[]", 0},
		"a bound":               {magnesium("1310", "1300", "1320", "<1.3"), "[]", 0},
		"of another system":     {magnesium("1310", "1300", "1320") + "2026-02-09 08:30,F2,Mg,1.32,mg/L,,,\n", "[]", 0},
		"in another unit":       {magnesium("1310", "1300", "1320") + "2026-02-09 08:30,F1,Mg,5.34,mmol/L,,,\n", "[5]", 1297.9},
		"nothing is like zero":  {magnesium("1310", "1300", "1320", "0"), "[]", 0},
		"a series of its thing": {magnesium("1.31", "1.3", "1.32", "1.3"), "[]", 0},
	} {
		t.Run(name, func(t *testing.T) {
			s, _ := storagetest.Room(t)
			p := preview(t, s, c.text)
			if p.BadLines > 0 {
				t.Fatal(p.Faults)
			}
			var lines []int
			for _, slip := range p.Slips {
				lines = append(lines, slip.Line)
			}
			if got := fmt.Sprint(lines); got != c.lines || p.SlipCount != len(lines) {
				t.Fatalf("slips are seen in %s, not %s, %d in all", got, c.lines, p.SlipCount)
			}
			if len(p.Slips) > 0 && (p.Slips[0].Slip < c.meant*0.995 || p.Slips[0].Slip > c.meant*1.005) {
				t.Errorf("meant was %v, not %v", p.Slips[0].Slip, c.meant)
			}
		})
	}
}

// What the ledger holds from before lets expect the first values of a file.
func TestSlipsBesideTheLedger(t *testing.T) {
	s, f := storagetest.Room(t)
	for n, v := range []float64{1310, 1300, 1320} {
		r := tanks.Reading{System: f.Systems[0].ID, Analyte: chem.Magnesium, At: f.Now.Add(-time.Duration(90-n) * day), Value: v}
		value[[]tanks.ReadingID](t)(s.SaveReadings(t.Context(), []tanks.Reading{r}))
	}
	if p := preview(t, s, head+"2026-02-01 08:30,F1,Mg,1.32,mg/L,,,\n"); p.SlipCount != 1 {
		t.Errorf("%d slips are seen", p.SlipCount)
	}
	if p := preview(t, s, head+"2025-11-01 08:30,F1,Mg,1.32,mg/L,,,\n"); p.SlipCount != 0 {
		t.Errorf("what came later lets expect what was before: %d slips", p.SlipCount)
	}
}

// Of many slips the first are named and all are counted.
func TestManySlips(t *testing.T) {
	s, _ := storagetest.Room(t)
	var text strings.Builder
	text.WriteString(head)
	for n := range 3 + storage.MostSlips + 20 {
		v := "1.31"
		if n < 3 {
			v = fmt.Sprint(1310 + n)
		}
		at := time.Date(2026, 2, 1, 0, n, 0, 0, time.UTC)
		fmt.Fprintf(&text, "%s,F1,Mg,%s,mg/L,,,\n", at.Format("2006-01-02 15:04"), v)
	}
	if p := preview(t, s, text.String()); len(p.Slips) != storage.MostSlips || p.SlipCount != storage.MostSlips+20 {
		t.Errorf("%d of %d slips are named", len(p.Slips), p.SlipCount)
	}
}
