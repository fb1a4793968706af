package tanks

import (
	"math"
	"testing"
	"time"
)

func TestPersonValidate(t *testing.T) {
	for initials, fields := range map[string]string{"ab": "", " ": "initials", "abcdefghijkl": "", "abcdefghijklm": "initials"} {
		wantFaults(t, Person{Initials: initials}.Validate(), fields)
	}
}

func TestCorrection(t *testing.T) {
	good := Correction{Method: 1, From: now, Until: now.Add(time.Hour), Factor: 1.02, Shift: -3, Reason: "standard"}
	for _, c := range []struct {
		name   string
		c      Correction
		fields string
	}{
		{"good", good, ""},
		{"open end", with(good, func(c *Correction) { c.Until = time.Time{} }), ""},
		{"no method, no day, no reason", with(good, func(c *Correction) { c.Method, c.From, c.Reason = 0, time.Time{}, " " }),
			"method from reason"},
		{"ends as it begins", with(good, func(c *Correction) { c.Until = now }), "until"},
		{"factor zero", with(good, func(c *Correction) { c.Factor = 0 }), "factor"},
		{"factor no number", with(good, func(c *Correction) { c.Factor = math.NaN() }), "factor"},
		{"infinite factor and shift", with(good, func(c *Correction) { c.Factor, c.Shift = math.Inf(1), math.Inf(-1) }), "factor shift"},
	} {
		t.Run(c.name, func(t *testing.T) { wantFaults(t, c.c.Validate(), c.fields) })
	}
	near(t, "corrected 400", good.Correct(400), 405, 1e-9)
	for at, want := range map[time.Duration]bool{-1: false, 0: true, time.Hour - 1: true, time.Hour: false} {
		if got := good.ActsAt(now.Add(at)); got != want {
			t.Errorf("after %v it acts: %v", at, got)
		}
	}
	if with(good, func(c *Correction) { c.Status = Withdrawn }).ActsAt(now) {
		t.Error("withdrawn it acts")
	}
}

func TestStandardCheckValidate(t *testing.T) {
	good := StandardCheck{Method: 1, At: now, Standard: "420", Expected: 420, Found: 410}
	wantFaults(t, good.Validate(now), "")
	wantFaults(t, StandardCheck{}.Validate(now), "method at standard")
	bad := good
	bad.At, bad.Expected, bad.Found = now.Add(time.Hour), math.Inf(1), math.NaN()
	wantFaults(t, bad.Validate(now), "at expected found")
	bad = good
	bad.ExpectedUncertainty = -1
	wantFaults(t, bad.Validate(now), "expected")
}

func TestMovementValidate(t *testing.T) {
	for _, c := range []struct {
		name   string
		m      Movement
		fields string
	}{
		{"bought", Movement{Product: 1, At: now, Kind: Bought, Change: 5}, ""},
		{"nothing bought", Movement{Product: 1, At: now, Kind: Bought}, "change"},
		{"infinitely much bought", Movement{Product: 1, At: now, Kind: Bought, Change: math.Inf(1)}, "change"},
		{"counted to zero", Movement{Product: 1, At: now, Kind: Counted}, ""},
		{"counted below zero", Movement{Product: 1, At: now, Kind: Counted, Left: -1}, "left"},
		{"discarded", Movement{Product: 1, At: now, Kind: Discarded, Change: -5}, ""},
		{"discarded upwards", Movement{Product: 1, At: now, Kind: Discarded, Change: 5}, "change"},
		{"used by hand", Movement{Product: 1, At: now, Kind: Used, Change: -5}, "kind"},
		{"nothing", Movement{Price: -1}, "product at kind price"},
		{"to come", Movement{Product: 1, At: now.Add(time.Hour), Kind: Bought, Change: 1, Price: math.NaN()}, "at price"},
	} {
		t.Run(c.name, func(t *testing.T) { wantFaults(t, c.m.Validate(now), c.fields) })
	}
	for k := Bought; k <= Returned; k++ {
		if k.String() == "no kind" {
			t.Errorf("kind %d has no word", k)
		}
	}
}

func TestPumpValidate(t *testing.T) {
	wantFaults(t, Pump{Name: "p", Heads: []Head{{Number: 1, Smallest: 0.2, Step: 0.1}, {Number: 2}}}.Validate(), "")
	wantFaults(t, Pump{Heads: []Head{{Number: 0}, {Number: 2, Smallest: -1}, {Number: 2, Step: math.NaN()}}}.Validate(),
		"name heads.0.number heads.1.smallest heads.2.number heads.2.step")
	run := Run{Seconds: 60, Millilitres: 42, Graduation: 0.5}
	wantFaults(t, Calibration{Head: 1, At: now, Runs: []Run{run}}.Validate(now), "")
	wantFaults(t, Calibration{}.Validate(now), "head at runs")
	wantFaults(t, Calibration{Head: 1, At: now, Runs: []Run{run, {Seconds: -1, Millilitres: math.Inf(1)}}}.Validate(now),
		"runs.1.seconds runs.1.millilitres runs.1.graduation")
	wantFaults(t, Container{Name: "jug", Product: 1, Capacity: 100, Contents: 100, AsOf: now}.Validate(now), "")
	wantFaults(t, Container{Contents: -1}.Validate(now), "name product capacity contents as_of")
	wantFaults(t, Container{Name: "jug", Product: 1, Capacity: 100, Contents: 101, AsOf: now}.Validate(now), "contents")
}

func TestProgramValidate(t *testing.T) {
	good := Program{Head: 1, System: 1, Container: 1, From: now, Daily: 3, Doses: 12, Start: 1320, End: 480}
	for _, c := range []struct {
		name   string
		p      Program
		fields string
	}{
		{"good, past midnight", good, ""},
		{"whole day", with(good, func(p *Program) { p.Start, p.End = 0, 1440 }), ""},
		{"nothing", Program{}, "head system container from daily doses window"},
		{"ends before it begins", with(good, func(p *Program) { p.Until = now.Add(-1) }), "until"},
		{"too many doses", with(good, func(p *Program) { p.Doses = 1441 }), "doses"},
		{"no time at all", with(good, func(p *Program) { p.Start, p.End = 60, 60 }), "window"},
		{"no time of day", with(good, func(p *Program) { p.Start = 1440 }), "window"},
		{"no volume", with(good, func(p *Program) { p.Daily = math.NaN() }), "daily"},
	} {
		t.Run(c.name, func(t *testing.T) { wantFaults(t, c.p.Validate(), c.fields) })
	}
}

func TestLotValidate(t *testing.T) {
	wantFaults(t, Lot{System: 1, Species: "x"}.Validate(), "")
	wantFaults(t, Lot{ID: 3, Parent: 3}.Validate(), "system parent species")
	for _, c := range []struct {
		name   string
		e      LotEvent
		fields string
	}{
		{"came in", LotEvent{Lot: 1, At: now, Kind: CameIn, Count: 1, Price: 40}, ""},
		{"nothing", LotEvent{Count: -1, Price: -1}, "lot at kind count price"},
		{"none sold", LotEvent{Lot: 1, At: now, Kind: Sold}, "count"},
		{"counted none", LotEvent{Lot: 1, At: now, Kind: CountedLot}, ""},
		{"split into nothing", LotEvent{Lot: 1, At: now, Kind: SplitOff, Count: 2}, "into"},
		{"split into itself", LotEvent{Lot: 1, At: now, Kind: SplitOff, Count: 2, Into: 1}, "into"},
		{"sold into a lot", LotEvent{Lot: 1, At: now, Kind: Sold, Count: 2, Into: 2}, "into"},
		{"moved nowhere", LotEvent{Lot: 1, At: now, Kind: Moved}, "to"},
		{"moved", LotEvent{Lot: 1, At: now, Kind: Moved, To: 2}, ""},
	} {
		t.Run(c.name, func(t *testing.T) { wantFaults(t, c.e.Validate(now), c.fields) })
	}
	for k := CameIn; k <= CountedLot; k++ {
		if k.String() == "no kind" {
			t.Errorf("kind %d has no word", k)
		}
	}
}

func TestCountOf(t *testing.T) {
	events := []LotEvent{
		{Lot: 1, Kind: CameIn, Count: 3}, {Lot: 1, Kind: WentOut, Count: 1}, {Lot: 1, Kind: CountedLot, Count: 10},
		{Lot: 1, Kind: SplitOff, Count: 4, Into: 2},
		{Lot: 2, Kind: Died, Count: 1}, {Lot: 1, Kind: Sold, Count: 2}, {Lot: 1, Kind: Sold, Count: 2, Status: Withdrawn},
		{Lot: 1, Kind: Moved, To: 9, Count: 4},
	}
	for lot, want := range map[LotID]int{1: 4, 2: 3, 3: 0} {
		if got := CountOf(lot, events); got != want {
			t.Errorf("of lot %d there are %d, want %d", lot, got, want)
		}
	}
}

func TestPhotoValidate(t *testing.T) {
	wantFaults(t, Photo{System: 1, At: now}.Validate(now), "")
	wantFaults(t, Photo{At: now.Add(time.Hour)}.Validate(now), "system at")
}

// An uncertainty that came with a value is the whole uncertainty of its
// estimate, whatever the method states.
func TestStatedUncertaintyOfAReading(t *testing.T) {
	m := Method{Name: "kit", Accuracy: 10, Repeatability: 5}
	r := Reading{System: 1, Analyte: 5, At: now, Value: 420}
	if e := EstimateOf(r, m); math.Abs(e.Uncertainty-math.Hypot(5, 10/math.Sqrt(3))) > 1e-9 {
		t.Errorf("by the method: %+v", e)
	}
	for u, scatter := range map[float64]float64{6: 5, 3: 3} {
		r.Uncertainty = u
		e := EstimateOf(r, m)
		near(t, "uncertainty", e.Uncertainty, u, 1e-12)
		near(t, "scatter", e.Scatter, scatter, 1e-12)
		if e.Assumed != "" {
			t.Errorf("%q is assumed", e.Assumed)
		}
	}
	r.Uncertainty = -1
	wantFaults(t, r.Validate(now), "uncertainty")
}
