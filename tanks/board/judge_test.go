package board_test

import (
	"testing"

	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

// A single reading is judged in the water that it was taken from: calcium of 300
// mg/L is short in the sea and right in a water of 25 PSU.
func TestReadingsAreJudgedInTheirWater(t *testing.T) {
	salt := func(id tanks.SystemID, psu float64) tanks.Reading {
		return reading(id, chem.Salinity, salinityMeter, 0, psu)
	}
	cases := map[string]struct {
		latest []tanks.Reading
		r      tanks.Reading
		want   string
		at     float64
	}{
		"marine at the band's salinity": {
			[]tanks.Reading{salt(reef, 35)},
			reading(reef, chem.Calcium, calciumKit, 0, 420),
			"within, firm",
			0,
		},
		"marine, short": {
			[]tanks.Reading{salt(reef, 35)},
			reading(reef, chem.Calcium, calciumKit, 0, 300),
			"below, firm",
			0,
		},
		"marine, salinity not known": {nil, reading(reef, chem.Calcium, calciumKit, 0, 300), "below, firm", 0},
		"brackish": {
			[]tanks.Reading{salt(lagoon, 25)},
			reading(lagoon, chem.Calcium, calciumKit, 0, 300),
			"within, firm",
			35,
		},
		"brackish, too much": {
			[]tanks.Reading{salt(lagoon, 25)},
			reading(lagoon, chem.Calcium, calciumKit, 0, 420),
			"above, firm",
			35,
		},
		"brackish, salinity not known": {nil, reading(lagoon, chem.Calcium, calciumKit, 0, 420), "within, firm", 0},
		"brackish, no major ion": {
			[]tanks.Reading{salt(lagoon, 25)},
			reading(lagoon, chem.Alkalinity, alkalinityKit, 0, 3),
			"within, firm",
			0,
		},
		"fresh, never measured": {nil, reading(planted, chem.Calcium, calciumKit, 0, 30), "within, likely", 0},
		"fresh, measured": {
			[]tanks.Reading{salt(planted, 0.2)},
			reading(planted, chem.Calcium, calciumKit, 0, 30),
			"within, likely",
			0,
		},
		"old, and no staler for that": {nil, reading(reef, chem.Alkalinity, alkalinityKit, 400, 3), "within, firm", 0},
		"without a band":              {nil, reading(planted, chem.Nitrate, 0, 0, 30), "none", 0},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			v := board.New(facts(c.latest...)).JudgeReading(c.r)
			if v.String() != c.want || v.AtSalinity != c.at {
				t.Errorf("%s at %g, want %s at %g", v, v.AtSalinity, c.want, c.at)
			}
		})
	}
}

// The edges that a gauge and a chart draw are those that the judge judged by.
func TestBandHereIsTheBandOfTheJudge(t *testing.T) {
	b := board.New(facts(reading(lagoon, chem.Salinity, salinityMeter, 0, 24.5)))
	here, ok := b.BandHere(cell(lagoon, chem.Calcium))
	if !ok {
		t.Fatal("the lagoon has no band of calcium")
	}
	near(t, "low", here.Low, 280, 1e-9)
	near(t, "high", here.High, 315, 1e-9)
	v := b.JudgeReading(reading(lagoon, chem.Calcium, calciumKit, 0, here.Low))
	near(t, "probability below at the edge", v.PBelow, 0.5, 1e-9)
}

// The cell of a system is judged by what its record tells, not by the newest
// reading alone; without enough to tell by that reading.
func TestCellsAreJudgedByTheRecord(t *testing.T) {
	rec := series(reef, 3.3, 0.02, 0)
	rec.Readings[len(rec.Readings)-1].Value = 3.38 // the kit's scatter takes it to the edge
	f := facts(last(rec), reading(lagoon, chem.Alkalinity, alkalinityKit, 0, 3.38), reading(quarantine, chem.Temperature, 0, 0, 25))
	e := estimated(f, map[tanks.SystemID]board.SystemRecord{reef: rec})
	if v := e.Judge(cell(reef, chem.Alkalinity)); v.String() != "within, firm" {
		t.Errorf("with a record: %s", v)
	}
	if v := e.JudgeReading(last(rec)); v.String() != "within, likely" {
		t.Errorf("the reading alone: %s", v)
	}
	if v := e.Judge(cell(lagoon, chem.Alkalinity)); v.String() != "within, likely" {
		t.Errorf("without a record: %s", v)
	}
	if v := e.Judge(cell(reef, chem.Calcium)); v != (tanks.Verdict{}) {
		t.Errorf("never tested: %s", v)
	}
	if got, ok := e.Estimate(cell(reef, chem.Alkalinity)); !ok || got.From.String() != "fit of 9 readings" {
		t.Errorf("the estimate is %+v", got)
	}
	if got, ok := e.Estimate(cell(quarantine, chem.Temperature)); !ok || got.From.String() != "reading" || got.Value != 25 {
		t.Errorf("the temperature is %+v", got)
	}
}

// What a course cannot heed, a newest value above the method's range, is not
// passed over.
func TestNewestAboveTheRangeStands(t *testing.T) {
	rec := series(reef, 3, 0.02, 0)
	over := reading(reef, chem.Alkalinity, alkalinityKit, 0, 5)
	over.Limit = tanks.Above
	rec.Readings = append(rec.Readings, over)
	e := estimated(facts(over), map[tanks.SystemID]board.SystemRecord{reef: rec})
	if v := e.Judge(cell(reef, chem.Alkalinity)); v.String() != "above, firm" {
		t.Errorf("over the range: %s", v)
	}
}

// A system without a record is not judged by half.
func TestOnlyEstimatedSystemsAreJudged(t *testing.T) {
	f := facts(reading(reef, chem.Alkalinity, alkalinityKit, 0, 2), reading(lagoon, chem.Alkalinity, alkalinityKit, 0, 2))
	e := board.New(f).Estimate(map[tanks.SystemID]board.SystemRecord{reef: {}})
	if e.Judge(cell(reef, chem.Alkalinity)).Word != tanks.BelowBand || e.Judge(cell(lagoon, chem.Alkalinity)) != (tanks.Verdict{}) {
		t.Errorf("the verdicts are %v", e.Verdicts())
	}
	if len(e.Verdicts()) != 1 || len(e.Estimates(lagoon)) != 0 || len(e.Estimates(reef)) != 1 {
		t.Errorf("%v, %v", e.Verdicts(), e.Estimates(lagoon))
	}
}

func TestOldValuesAreStale(t *testing.T) {
	e := estimated(facts(reading(reef, chem.Alkalinity, alkalinityKit, 11, 3), reading(lagoon, chem.Alkalinity, alkalinityKit, 10, 3)), nil)
	if v := e.Judge(cell(reef, chem.Alkalinity)); !v.Stale {
		t.Errorf("11 days at an interval of 7: %s", v)
	}
	if v := e.Judge(cell(lagoon, chem.Alkalinity)); v.Stale {
		t.Errorf("10 days at an interval of 7: %s", v)
	}
}

// The worst of a system is found among all of its analytes, whatever is shown.
func TestWorstOfAllAnalytes(t *testing.T) {
	cases := map[string]struct {
		latest []tanks.Reading
		want   chem.Analyte
		looks  bool
	}{
		"ammonia of a quarantine": {
			[]tanks.Reading{
				reading(quarantine, chem.Temperature, 0, 0, 25),
				reading(quarantine, chem.Alkalinity, alkalinityKit, 0, 3),
				reading(quarantine, chem.Ammonia, ammoniaKit, 0, 0.15),
			},
			chem.Ammonia,
			true,
		},
		"firm before likely": {
			[]tanks.Reading{
				reading(quarantine, chem.Alkalinity, alkalinityKit, 0, 2.57),
				reading(quarantine, chem.Ammonia, ammoniaKit, 0, 0.15),
			},
			chem.Ammonia,
			true,
		},
		"likely before unsure": {
			[]tanks.Reading{
				reading(quarantine, chem.Alkalinity, alkalinityKit, 0, 2.57),
				reading(quarantine, chem.Ammonia, ammoniaKit, 0, 0.1),
			},
			chem.Alkalinity,
			true,
		},
		"unsure before within": {
			[]tanks.Reading{
				reading(quarantine, chem.Alkalinity, alkalinityKit, 0, 3),
				reading(quarantine, chem.Ammonia, ammoniaKit, 0, 0.1),
			},
			chem.Ammonia,
			true,
		},
		"the further of two": {
			[]tanks.Reading{
				reading(quarantine, chem.Alkalinity, alkalinityKit, 0, 2.5),
				reading(quarantine, chem.Ammonia, ammoniaKit, 0, 0.3),
			},
			chem.Ammonia,
			true,
		},
		"all well": {
			[]tanks.Reading{
				reading(quarantine, chem.Alkalinity, alkalinityKit, 0, 3),
				reading(quarantine, chem.Ammonia, ammoniaKit, 0, 0.02),
			},
			chem.Ammonia,
			false,
		},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			e := estimated(facts(c.latest...), nil)
			w, ok := e.Worst(quarantine)
			if !ok || w.Cell != cell(quarantine, c.want) || e.WantsLook(quarantine) != c.looks {
				t.Errorf("%v %s", w.Cell, w.Verdict)
			}
		})
	}
	e := estimated(facts(), nil)
	if w, ok := e.Worst(quarantine); ok || e.WantsLook(quarantine) {
		t.Errorf("without a value the worst is %+v", w)
	}
}
