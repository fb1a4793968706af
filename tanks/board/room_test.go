package board_test

import (
	"math"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

var now = time.Date(2026, 3, 10, 8, 0, 0, 0, time.UTC)

// The systems of an invented room: a reef at the salinity of its bands, a brackish
// pool far below it, a planted tank without salt, and a quarantine.
const (
	reef tanks.SystemID = iota + 1
	lagoon
	planted
	quarantine
)

// The methods: a calcium kit of ±10 mg/L, an alkalinity kit, a lab's calcium, and
// meters.
const (
	calciumKit tanks.MethodID = iota + 1
	alkalinityKit
	labCalcium
	salinityMeter
	ammoniaKit
)

func methods() []tanks.Method {
	return []tanks.Method{
		{ID: calciumKit, Name: "Calcium kit", Kind: tanks.Kit, Analyte: chem.Calcium, Unit: chem.MgL, Accuracy: 10, Repeatability: 4},
		{
			ID:            alkalinityKit,
			Name:          "Alkalinity kit",
			Kind:          tanks.Kit,
			Analyte:       chem.Alkalinity,
			Unit:          chem.DKH,
			Accuracy:      0.05,
			Repeatability: 0.03,
		},
		{ID: labCalcium, Name: "ICP", Kind: tanks.Lab, Analyte: chem.Calcium, Unit: chem.MgL, Accuracy: 6, Repeatability: 3},
		{ID: salinityMeter, Name: "Meter", Kind: tanks.Meter, Analyte: chem.Salinity, Unit: chem.PSU, Accuracy: 0.5, Repeatability: 0.1},
		{ID: ammoniaKit, Name: "Ammonia kit", Kind: tanks.Kit, Analyte: chem.Ammonia, Unit: chem.MgL, Accuracy: 0.02, Repeatability: 0.01},
	}
}

var (
	week    = 7 * 24 * time.Hour
	calcium = tanks.Band{Analyte: chem.Calcium, Low: 400, Aim: 420, High: 450, AtSalinity: 35, TestEvery: week}
	alk     = tanks.Band{Analyte: chem.Alkalinity, Low: 2.6, Aim: 3, High: 3.4, TestEvery: week}
	ammonia = tanks.Band{Analyte: chem.Ammonia, High: 0.1, TestEvery: week}
)

// facts is the room with the given newest readings.
func facts(latest ...tanks.Reading) board.Facts {
	return board.Facts{
		Now: now,
		Systems: []tanks.System{
			{ID: reef, Code: "R1", Kind: tanks.Marine}, {ID: lagoon, Code: "L1", Kind: tanks.Brackish},
			{ID: planted, Code: "P1", Kind: tanks.Freshwater}, {ID: quarantine, Code: "Q1", Kind: tanks.Marine},
		},
		Bands: map[tanks.SystemID][]tanks.Band{
			reef: {alk, calcium}, lagoon: {alk, calcium}, planted: {{Analyte: chem.Calcium, Low: 20, Aim: 30, High: 60, AtSalinity: 35}},
			quarantine: {{Analyte: chem.Temperature, Low: 24, Aim: 25, High: 26}, alk, ammonia,
				{Analyte: chem.PH, Low: 7.8, Aim: 8.1, High: 8.4, TestEvery: 24 * time.Hour}},
		},
		Methods: methods(), Latest: latest,
	}
}

// reading is a value that was taken some days ago.
func reading(system tanks.SystemID, a chem.Analyte, m tanks.MethodID, days, v float64) tanks.Reading {
	return tanks.Reading{System: system, Analyte: a, Method: m, Value: v, At: now.Add(-time.Duration(days * 24 * float64(time.Hour)))}
}

// dose raises an analyte at once, some days ago.
func dose(system tanks.SystemID, a chem.Analyte, days, change float64) tanks.Addition {
	return tanks.Addition{
		System:  system,
		At:      now.Add(-time.Duration(days * 24 * float64(time.Hour))),
		Changes: []tanks.Delta{{Analyte: a, Change: change}},
	}
}

// series is what a reef uses of alkalinity over four weeks: readings every third
// day, the newest today, off a straight line by the kit's small scatter.
func series(system tanks.SystemID, level, uptake, given float64) board.SystemRecord {
	off := []float64{0.01, -0.02, 0.02, 0, -0.01, 0.02, -0.02, 0.01, 0}
	var rec board.SystemRecord
	for n, o := range off {
		days := float64(3 * (len(off) - 1 - n))
		rec.Readings = append(rec.Readings, reading(system, chem.Alkalinity, alkalinityKit, days, level+(uptake-given)*days+o))
	}
	for d := 0.5; given > 0 && d < 25; d++ {
		rec.Additions = append(rec.Additions, dose(system, chem.Alkalinity, d, given))
	}
	return rec
}

func last(rec board.SystemRecord) tanks.Reading { return rec.Readings[len(rec.Readings)-1] }

func cell(system tanks.SystemID, a chem.Analyte) tanks.Cell {
	return tanks.Cell{System: system, Analyte: a}
}

// estimated is the board of the room with these newest readings and records; the
// systems without a record have had nothing happen to them.
func estimated(f board.Facts, records map[tanks.SystemID]board.SystemRecord) *board.Estimated {
	all := map[tanks.SystemID]board.SystemRecord{}
	for _, s := range f.Systems {
		all[s.ID] = records[s.ID]
	}
	return board.New(f).Estimate(all)
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > within {
		t.Errorf("%s is %g, want %g", what, got, want)
	}
}
