package board_test

import (
	"math"
	"slices"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

// Where daily doses hold a level it is steady, whatever the system uses.
func TestDirectionIsOfTheNetChange(t *testing.T) {
	cases := map[string]struct {
		uptake, given float64
		want          board.Direction
	}{
		"used, nothing given":        {0.05, 0, board.Falling},
		"used, and given as much":    {0.05, 0.05, board.Steady},
		"used, and given too much":   {0.05, 0.08, board.Rising},
		"used, and given too little": {0.08, 0.05, board.Falling},
		"nothing used":               {0, 0, board.Steady},
		"gained":                     {-0.05, 0, board.Rising},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			rec := series(reef, 3, c.uptake, c.given)
			e := estimated(facts(last(rec)), map[tanks.SystemID]board.SystemRecord{reef: rec})
			k := cell(reef, chem.Alkalinity)
			used, ok := e.Uptake(k)
			if !ok {
				t.Fatal("there is not enough to tell")
			}
			near(t, "uptake", used.PerDay, c.uptake, used.Half(0.95))
			near(t, "standing doses", e.Standing(k), c.given, 1e-12)
			if got := e.Direction(k); got != c.want {
				t.Errorf("it goes %d, want %d", got, c.want)
			}
		})
	}
}

// What was given once does not go on.
func TestSingleDosesAreNoStandingOnes(t *testing.T) {
	rec := series(reef, 3, 0.05, 0)
	rec.Additions = []tanks.Addition{dose(reef, chem.Alkalinity, 26, 0.3)}
	e := estimated(facts(last(rec)), map[tanks.SystemID]board.SystemRecord{reef: rec})
	if k := cell(reef, chem.Alkalinity); e.Standing(k) != 0 || e.Direction(k) != board.Falling {
		t.Errorf("%g a day, going %d", e.Standing(k), e.Direction(k))
	}
}

func TestDirectionNeedsACourse(t *testing.T) {
	e := estimated(facts(reading(reef, chem.Alkalinity, alkalinityKit, 0, 2), reading(reef, chem.Temperature, 0, 0, 25)), nil)
	for _, a := range []chem.Analyte{chem.Alkalinity, chem.Temperature, chem.Calcium} {
		if got := e.Direction(cell(reef, a)); got != board.Steady {
			t.Errorf("%s goes %d", a, got)
		}
	}
}

// A forecast goes on with the doses that stand, and its past ends with the last
// reading.
func TestPastAndAhead(t *testing.T) {
	rec := series(reef, 3, 0.05, 0.05)
	e := estimated(facts(last(rec)), map[tanks.SystemID]board.SystemRecord{reef: rec})
	course, ok := e.Course(cell(reef, chem.Alkalinity))
	if !ok {
		t.Fatal("there is no course")
	}
	ahead := course.Ahead(10*24*time.Hour, 5)
	if len(ahead) != 5 || !ahead[0].At.Equal(now) || !ahead[4].At.Equal(now.Add(10*24*time.Hour)) {
		t.Fatalf("ahead lie %+v", ahead)
	}
	near(t, "in ten days", ahead[4].Value, 3, 0.1)
	if ahead[4].DF <= 0 || ahead[4].Half(0.8) <= ahead[0].Half(0.8) {
		t.Errorf("the doubt is %+v then %+v", ahead[0], ahead[4])
	}
	past := course.Past(now.AddDate(0, 1, 0), 4)
	if len(past) != 4 || !past[0].At.Equal(rec.Readings[0].At) || !past[3].At.Equal(now) {
		t.Errorf("the past is %+v", past)
	}
	if early := course.Past(now.AddDate(0, 0, -5), 4); !early[3].At.Equal(now.AddDate(0, 0, -5)) {
		t.Errorf("the past until five days ago is %+v", early)
	}
}

// A reading far off the others is told by its time, and that it is the newest.
func TestOffReadings(t *testing.T) {
	rec := series(reef, 3, 0.05, 0)
	rec.Readings[4].Value = 30
	e := estimated(facts(last(rec)), map[tanks.SystemID]board.SystemRecord{reef: rec})
	course, _ := e.Course(cell(reef, chem.Alkalinity))
	for n, r := range rec.Readings {
		if got := course.Off(r.At); got != (n == 4) {
			t.Errorf("reading %d is off: %v", n, got)
		}
	}
	if course.Uptake().NewestOff {
		t.Error("the newest is taken for off")
	}
	rec.Readings[4].Value, rec.Readings[8].Value = 3.6, 30
	e = estimated(facts(last(rec)), map[tanks.SystemID]board.SystemRecord{reef: rec})
	if course, _ = e.Course(cell(reef, chem.Alkalinity)); !course.Uptake().NewestOff {
		t.Error("the newest is not told to be off")
	}
}

// What is typed is judged as the cell will stand once it is saved.
func TestTypedIsJudgedAsItWillStand(t *testing.T) {
	rec := series(reef, 3.3, 0.02, 0)
	before := rec
	before.Readings = rec.Readings[:8]
	typed := last(rec)
	typed.Value, typed.At = 3.38, now.Add(10*time.Minute) // typed after the board was read
	e := estimated(facts(last(before)), map[tanks.SystemID]board.SystemRecord{reef: before})
	if v := e.JudgeWith(cell(reef, chem.Alkalinity), typed); v.String() != "within, firm" {
		t.Errorf("with the record: %s", v)
	}
	if v := e.JudgeWith(cell(lagoon, chem.Alkalinity), reading(lagoon, chem.Alkalinity, alkalinityKit, 0,
		3.38)); v.String() != "within, likely" {
		t.Errorf("of a cell without a record: %s", v)
	}
	salt, ca := reading(lagoon, chem.Salinity, salinityMeter, 0, 25), reading(lagoon, chem.Calcium, calciumKit, 0, 300)
	if v := e.JudgeWith(ca.Cell(), ca, salt); v.String() != "within, firm" || v.AtSalinity != 35 {
		t.Errorf("with a salinity that is typed beside it: %s", v)
	}
	if v := e.JudgeWith(ca.Cell(), ca); v.String() != "below, firm" {
		t.Errorf("without one: %s", v)
	}
	older := reading(reef, chem.Salinity, salinityMeter, 2, 25)
	e = estimated(facts(reading(reef, chem.Salinity, salinityMeter, 1, 35), reading(reef, chem.Calcium, calciumKit, 1, 420)), nil)
	if v := e.JudgeWith(cell(reef, chem.Calcium), older); v.String() != "within, firm" {
		t.Errorf("with a salinity older than the newest: %s", v)
	}
	if v := e.JudgeWith(cell(reef, chem.Calcium), reading(reef, chem.Calcium, calciumKit, 2, 300)); v.String() != "within, firm" {
		t.Errorf("with a value older than the newest: %s", v)
	}
	if v := e.JudgeWith(cell(planted, chem.Calcium)); v != (tanks.Verdict{}) {
		t.Errorf("nothing typed, nothing known: %s", v)
	}
}

// A typed value is compared with the course, else with the last values of the
// bench.
func TestSurpriseAsksTheCourse(t *testing.T) {
	rec := series(reef, 3, 0.1, 0)
	before := rec
	before.Readings = rec.Readings[:8]
	e := estimated(facts(last(before)), map[tanks.SystemID]board.SystemRecord{reef: before})
	typed := last(rec)
	if f := e.Surprise(typed, nil); f.Surprising {
		t.Errorf("on its course: %+v", f)
	}
	typed.Value = rec.Readings[7].Value + 0.6 // as if it had risen instead
	if f := e.Surprise(typed, e.Expecting(before.Readings)); !f.Surprising {
		t.Errorf("off its course, near its last values: %+v", f)
	}
	typed.Value = 30
	if f := e.Surprise(typed, nil); !f.Surprising || f.Places != -1 {
		t.Errorf("a slip of the decimal point: %+v", f)
	}
	bound := typed
	bound.Limit = tanks.Above
	if f := e.Surprise(bound, nil); f.Surprising {
		t.Errorf("a bound: %+v", f)
	}
	other := reading(lagoon, chem.Alkalinity, alkalinityKit, 0, 5)
	recent := []tanks.Reading{
		reading(lagoon, chem.Alkalinity, alkalinityKit, 60, 3),
		reading(lagoon, chem.Alkalinity, alkalinityKit, 50, 3.02),
		reading(lagoon, chem.Alkalinity, alkalinityKit, 40, 2.98),
	}
	if f := e.Surprise(other, e.Expecting(recent)); !f.Surprising {
		t.Errorf("off its last values: %+v", f)
	}
	if f := e.Surprise(other, e.Expecting(recent[:2])); f.Surprising {
		t.Errorf("two values tell nothing: %+v", f)
	}
}

// A slip is looked for in the number as it was typed: 5.3 for 53 mS/cm is 2.9 PSU,
// of which no power of ten is 35.
func TestSlipInTheTypedUnit(t *testing.T) {
	salty := func(days, v float64) tanks.Reading { return reading(reef, chem.Salinity, 0, days, v) }
	recent := []tanks.Reading{salty(3, 35), salty(2, 35.1), salty(1, 34.9)}
	typed := salty(0, 2.868)
	typed.Typed, typed.Unit = "5.3", chem.MilliSiemens
	f := estimated(facts(recent[2]), nil).Surprise(typed, []float64{35, 35.1, 34.9})
	if !f.Surprising || f.Places != 1 || math.Abs(f.Slip-34.95) > 0.05 {
		t.Errorf("%+v", f)
	}
	typed.Typed = "not a number"
	if f := estimated(facts(recent[2]), nil).Surprise(typed, []float64{35, 35.1, 34.9}); !f.Surprising || math.Abs(f.Slip-28.68) > 1e-9 {
		t.Errorf("without a typed number the value itself is one: %+v", f)
	}
}

// What the laboratory found lets expect nothing of the bench, whose methods differ
// from its by more than they scatter; the newest six of the bench count.
func TestLabLetsExpectNothingOfTheBench(t *testing.T) {
	bench := func(days, v float64) tanks.Reading { return reading(reef, chem.Calcium, calciumKit, days, v) }
	lab := func(days float64) tanks.Reading { return reading(reef, chem.Calcium, labCalcium, days, 380) }
	over := bench(40, 470)
	over.Limit = tanks.Above
	both := []tanks.Reading{bench(70, 430), bench(60, 428), bench(50, 432), lab(45), lab(44), lab(43), lab(42)}
	of := func(v float64, n int) []tanks.Reading { return slices.Repeat([]tanks.Reading{bench(50, v)}, n) }
	cases := map[string]struct {
		recent []tanks.Reading
		typed  float64
		want   bool
	}{
		"the laboratory's level, often": {both, 380, true},
		"the bench's level":             {both, 430, false},
		"the laboratory alone":          {[]tanks.Reading{lab(60), lab(50), lab(45)}, 430, false},
		"two of the bench and a bound":  {[]tanks.Reading{bench(70, 470), bench(60, 470), over}, 430, false},
		"what was before the last six":  {slices.Concat(of(500, 9), of(430, 6)), 430, false},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			e := estimated(facts(c.recent[len(c.recent)-1]), nil)
			if f := e.Surprise(bench(0, c.typed), e.Expecting(c.recent)); f.Surprising != c.want {
				t.Errorf("%+v", f)
			}
		})
	}
}

// A value without a method scatters as its analyte does: half a degree is assumed
// of a temperature, not a share of it.
func TestSurpriseWithoutAMethod(t *testing.T) {
	warm := func(days, v float64) tanks.Reading { return reading(quarantine, chem.Temperature, 0, days, v) }
	recent := []tanks.Reading{warm(3, 25), warm(2, 25.1), warm(1, 24.9)}
	e := estimated(facts(recent[2]), nil)
	for v, want := range map[float64]bool{27: true, 25.4: false} {
		if f := e.Surprise(warm(0, v), e.Expecting(recent)); f.Surprising != want {
			t.Errorf("%g °C: %+v", v, f)
		}
	}
}
