package board_test

import (
	"testing"

	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

// Why speaks in the person's unit, with the decimals of that, of the edge that is
// passed, and says when it is scaled.
func TestWhy(t *testing.T) {
	falling, held := series(reef, 2.4, 0.05, 0), series(reef, 2.4, 0.05, 0.05)
	rising := series(reef, 3.6, -0.05, 0)
	salt := reading(lagoon, chem.Salinity, salinityMeter, 0, 25)
	cases := map[string]struct {
		latest []tanks.Reading
		record board.SystemRecord
		cell   tanks.Cell
		unit   chem.Unit
		want   string
	}{
		"below, used": {
			[]tanks.Reading{last(falling)},
			falling,
			cell(reef, chem.Alkalinity),
			chem.DKH,
			"6.7 ± 0.2 dKH: below 7.3, firm. Uses 0.14 a day.",
		},
		"in another unit": {
			[]tanks.Reading{last(falling)},
			falling,
			cell(reef, chem.Alkalinity),
			chem.MeqL,
			"2.40 ± 0.06 meq/L: below 2.60, firm. Uses 0.050 a day.",
		},
		"below, held by doses": {
			[]tanks.Reading{last(held)},
			held,
			cell(reef, chem.Alkalinity),
			chem.DKH,
			"6.7 ± 0.2 dKH: below 7.3, firm. Uses 0.14 a day, standing doses give 0.14.",
		},
		"above, gained": {
			[]tanks.Reading{last(rising)},
			rising,
			cell(reef, chem.Alkalinity),
			chem.DKH,
			"10.1 ± 0.2 dKH: above 9.5, firm. Gains 0.14 a day.",
		},
		"one reading, from zero": {
			[]tanks.Reading{reading(quarantine, chem.Ammonia, ammoniaKit, 0, 0.15)},
			board.SystemRecord{},
			cell(quarantine, chem.Ammonia),
			chem.MgL,
			"0.15 ± 0.03 mg/L: above 0.10, firm.",
		},
		"at its own salinity": {
			[]tanks.Reading{salt, reading(lagoon, chem.Calcium, calciumKit, 0, 350)},
			board.SystemRecord{},
			cell(lagoon, chem.Calcium),
			chem.MgL,
			"350 ± 14 mg/L: above 321, the band's edge at S 25.0, firm.",
		},
		"stale, tested each day": {
			[]tanks.Reading{reading(quarantine, chem.PH, 0, 2.2, 8)},
			board.SystemRecord{},
			cell(quarantine, chem.PH),
			chem.PHUnit,
			"The last value is 2 days old; it is tested every day.",
		},
		"stale": {
			[]tanks.Reading{reading(reef, chem.Alkalinity, alkalinityKit, 12, 2)},
			board.SystemRecord{},
			cell(reef, chem.Alkalinity),
			chem.DKH,
			"The last value is 12 days old; it is tested every 7 days.",
		},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			e := estimated(facts(c.latest...), map[tanks.SystemID]board.SystemRecord{c.cell.System: c.record})
			if got := e.Why(c.cell, c.unit).String(); got != c.want {
				t.Errorf("%q, want %q", got, c.want)
			}
		})
	}
}
