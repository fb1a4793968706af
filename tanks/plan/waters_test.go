package plan

import (
	"math"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// water is a system of one kind with a band of calcium. A marine band holds at
// S 35 and is scaled to the system's own salinity; the fresh one is taken as it
// is.
type water struct {
	name     string
	kind     tanks.Kind
	salinity float64
	band     tanks.Band
	aim      float64 // at the system's salinity
}

var reef = tanks.Band{Analyte: chem.Calcium, Low: 400, Aim: 420, High: 440, MaxRise: 20, TestEvery: 7 * 24 * time.Hour, AtSalinity: 35}

// By hand: 420 × 14 / 35 = 168, 420 × 33.25 / 35 = 399.
var waters = []water{
	{"fresh", tanks.Freshwater, 0.25, tanks.Band{Analyte: chem.Calcium, Low: 30, Aim: 40, High: 50, MaxRise: 10,
		TestEvery: 7 * 24 * time.Hour}, 40},
	{"brackish", tanks.Brackish, 14, reef, 168},
	{"marine", tanks.Marine, 33.25, reef, 399},
}

// holding is the water with a value of calcium and its standard uncertainty.
func (w water) holding(litres, value, u float64) Input {
	in := input(litres, []tanks.Band{w.band}, value)
	in.System.Kind = w.kind
	in.Estimates[chem.Salinity] = tanks.Estimate{Value: w.salinity, Uncertainty: 0.1, At: now, N: 1}
	e := tanks.Estimate{Value: value, Uncertainty: u, Scatter: u, At: now.Add(-time.Hour), N: 1, From: "reading"}
	in.Estimates[chem.Calcium] = e
	in.Verdicts[chem.Calcium] = tanks.Judge(e, w.band, chem.WaterOf(w.salinity), now)
	return in
}

// What is aimed at is the band's aim at the water's own salinity.
func TestAimInThreeWaters(t *testing.T) {
	for _, w := range waters {
		t.Run(w.name, func(t *testing.T) {
			l := one(t, w.holding(200, w.aim-15, 1), options())
			near(t, "gap", l.Gap, 15, 1e-9)
			// 15 mg/L in 200 L are 3 g; 73.0634 mg/mL.
			near(t, "correction", l.Correction, 3000/73.0634, 0.001)
			aim, _ := stepOf(l, "Aim")
			if want := chem.Format(chem.Calcium, w.aim, "mg/L", chem.Water{}).String() + " mg/L"; aim.Value.String() != want {
				t.Errorf("it aims at %q, want %q", aim.Value, want)
			}
			if scaled := aim.Source.String() != "the band"; scaled != (w.band.AtSalinity > 0) {
				t.Errorf("the aim is from %q", aim.Source)
			}
		})
	}
	// Of a water whose salinity nobody measured the band is taken as it stands.
	in := waters[1].holding(200, 405, 1)
	delete(in.Estimates, chem.Salinity)
	near(t, "gap without a salinity", one(t, in, options()).Gap, 15, 1e-9)
}

// A value at the aim of its own salinity asks for nothing, whatever the aim at
// S 35.
func TestNothingIsDosedAtTheAim(t *testing.T) {
	for _, w := range waters {
		t.Run(w.name, func(t *testing.T) {
			if l := one(t, w.holding(200, w.aim, 0.5), options()); !l.Hold() || l.Correction != 0 {
				t.Errorf("at its aim it doses %g mL", l.Daily)
			}
		})
	}
}

// A water change for what is too high leads to the aim of that salinity too.
// By hand: from aim + 60 with water of aim − 40, 60 of 100 parts.
func TestWaterChangeInThreeWaters(t *testing.T) {
	for _, w := range waters {
		t.Run(w.name, func(t *testing.T) {
			in := w.holding(250, w.aim+60, 1)
			in.Fresh = map[chem.Analyte]float64{chem.Calcium: w.aim - 40}
			l := one(t, in, options())
			if l.Dilution == nil || !l.Hold() {
				t.Fatalf("%+v", l)
			}
			near(t, "share", l.Dilution.Share, 0.6, 1e-9)
			near(t, "litres", l.Dilution.Litres, 150, 1e-9)
			near(t, "new water", l.Dilution.Fresh, w.aim-40, 1e-12)
		})
	}
}

// Known truth: a water of known level and uptake, given the doses of the plan
// day by day, stands at its aim at the end, and on each day where the plan said
// it would, and no dose takes it further than a step. What the rounding of a dose leaves
// open is half a millilitre a day and a twentieth a dose.
func TestThePlanLeadsWhereItSays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := rapid.SampledFrom(waters).Draw(t, "water")
		litres := rapid.Float64Range(100, 4000).Draw(t, "litres")
		below := rapid.Float64Range(2, 0.7*w.aim).Draw(t, "below")
		uptake := rapid.Float64Range(0, 0.1*w.aim).Draw(t, "uptake")
		standing := uptake * rapid.Float64Range(0, 1).Draw(t, "standing")
		in := w.holding(litres, w.aim-below, 0.01)
		in.Uptakes[chem.Calcium] = tanks.Uptake{PerDay: uptake, SE: 1e-6}
		in.Standing[chem.Calcium] = standing
		plans := Make([]Input{in}, options())
		l := plans[0].Lines[0]
		level := w.aim - below
		if len(l.Path) != l.Days+1 || math.Abs(l.Path[0].Value-level) > 1e-9 {
			t.Fatalf("a path of %d points over %d days from %g", len(l.Path), l.Days, l.Path[0].Value)
		}
		doses := plans[0].Doses(options())[chem.Calcium]
		if len(doses) != l.Days*l.Parts {
			t.Fatalf("%d doses on %d days of %d", len(doses), l.Days, l.Parts)
		}
		for d := range l.Days {
			for _, dose := range doses[d*l.Parts : (d+1)*l.Parts] {
				grams := dose.Amount * 73.0634 / 1000
				level += 1000 * grams / litres
				if step, _ := w.band.Step(w.kind); 1000*grams/litres > step*withinRounding+0.5*73.0634/litres && l.Parts < mostParts {
					t.Fatalf("a dose raises it by %g, the largest step is %g", 1000*grams/litres, step)
				}
			}
			level += standing - uptake
			if math.Abs(level-l.Path[d+1].Value) > 1e-4*(1+w.aim) {
				t.Fatalf("after day %d it is at %g, the plan said %g", d+1, level, l.Path[d+1].Value)
			}
		}
		if math.Abs(level-l.After) > 1e-4*(1+w.aim) {
			t.Fatalf("it ends at %g, the plan said %g", level, l.After)
		}
		if left := below / w.band.MaxRise; left <= mostDays {
			if open := (0.5+0.05*float64(l.Parts))*73.0634/litres*float64(l.Days) + 1e-6; math.Abs(level-w.aim) > open+1e-4*w.aim {
				t.Fatalf("it ends at %g, aimed at %g, rounding leaves %g", level, w.aim, open)
			}
		}
	})
}

// A gap takes as many days as its largest safe rise needs, at most 30. In
// binary 2.1 / 0.7 is a hair over 3; it still takes 3.
func TestDays(t *testing.T) {
	for _, c := range []struct {
		name      string
		gap, rise float64
		want      int
	}{
		{"no safe rise known", 300, 0, 1},
		{"less than a day", 3, 20, 1},
		{"just a day", 20, 20, 1},
		{"a little over a day", 20.1, 20, 2},
		{"32 at 20", 32, 20, 2},
		{"2.1 at 0.7", 2.1, 0.7, 3},
		{"brackish, 0.3 meq/L at 0.1", 0.3, 0.1, 3},
		{"just 30", 600, 20, 30},
		{"30 are the most", 601, 20, 30},
		{"far too much for 30", 6000, 20, 30},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := days(c.gap, c.rise); got != c.want {
				t.Errorf("%d days, want %d", got, c.want)
			}
		})
	}
	band := calciumBand
	band.MaxRise = 10
	l := one(t, input(1000, []tanks.Band{band}, 30), options())
	// 390 mg/L in 1000 L over 30 days: 390,000 / 73.0634 / 30 = 177.9 mL a day.
	if l.Days != 30 || l.Daily != 178 {
		t.Errorf("%d days of %g mL", l.Days, l.Daily)
	}
}

// A gap is worth closing when the value is likely below its band, or when it
// stands out from twice the standard uncertainty of the value.
func TestSmallGapsAreNoise(t *testing.T) {
	for _, w := range waters {
		for _, c := range []struct {
			name       string
			below, u   float64
			word       tanks.Word
			sure       tanks.Sureness
			correction bool
		}{
			{"half of u", 2, 4, tanks.WithinBand, tanks.Likely, false},
			{"one and a half u", 6, 4, tanks.WithinBand, tanks.Likely, false},
			{"1.99 u", 7.96, 4, tanks.WithinBand, tanks.Likely, false},
			{"2.01 u", 8.04, 4, tanks.WithinBand, tanks.Likely, true},
			{"likely below, whatever u", 6, 8, tanks.BelowBand, tanks.Likely, true},
			{"firmly below", 6, 8, tanks.BelowBand, tanks.Firm, true},
			{"unsure below", 6, 8, tanks.BelowBand, tanks.Unsure, false},
			{"unsure below, far off", 17, 8, tanks.BelowBand, tanks.Unsure, true},
		} {
			t.Run(w.name+", "+c.name, func(t *testing.T) {
				in := w.holding(200, w.aim-c.below, c.u)
				in.Verdicts[chem.Calcium] = tanks.Verdict{Word: c.word, Sure: c.sure}
				want := 0.0
				if c.correction {
					want = c.below * 200 / 73.0634
				}
				near(t, "correction", one(t, in, options()).Correction, want, 1e-4)
			})
		}
	}
}

// The edges of the band are those of the water's own salinity too: a plan that
// would pass its high edge stops, and the record keeps the aim that was meant.
// By hand: the high edge of 440 at S 35 is 176 at S 14 and 418 at S 33.25.
func TestEdgesInThreeWaters(t *testing.T) {
	for i, high := range []float64{50, 176, 418} {
		w := waters[i]
		t.Run(w.name, func(t *testing.T) {
			in := w.holding(200, w.aim-15, 1)
			l := one(t, in, options())
			near(t, "high edge", l.Band.High, high, 1e-9)
			// 2.7374 mL raise 200 L by 1 mg/L.
			for over, want := range map[float64]bool{-0.1: false, 0.1: true} {
				ml := (high - w.aim + 15 + over) * 200 / 73.0634
				decided := l.WithDaily(ml, 1, in, options())
				near(t, "after", decided.After, high+over, 0.001)
				if g, ok := said(decided, RuleHigh); ok != want || g.Stops {
					t.Errorf("at %g it says %+v", high+over, decided.Guards)
				} else if want && !strings.HasPrefix(g.Message.String(), "After 1 day calcium would stand at ") {
					t.Errorf("it says %q", g.Message)
				}
			}
			record := DosingPlanOf([]SystemPlan{{System: in.System, Lines: []Line{l}}}, options(), "JM")
			near(t, "aim on record", record.Lines[0].Aim, w.aim, 1e-9)
			chosen := options()
			chosen.Chosen = map[chem.Analyte]tanks.ProductID{chem.Calcium: 1}
			other := one(t, in, chosen)
			near(t, "aim with another product", other.Band.Aim, w.aim, 1e-9)
			near(t, "as it was set", other.AsSet.Aim, w.band.Aim, 0)
		})
	}
}

// A dose so coarse that it passes the edge by itself is stopped, not given: of a
// jar of 150 mL the gap of 25 mg/L takes 0.051 mL, and the 0.1 mL that a syringe
// shows are 48.7 mg/L.
func TestPassingTheHighEdgeStops(t *testing.T) {
	for _, w := range waters {
		t.Run(w.name, func(t *testing.T) {
			w.band.MaxRise = 0
			l := one(t, w.holding(0.15, w.aim-25, 0.5), options())
			if g, ok := said(l, RuleHigh); !ok || !g.Stops || !l.Hold() || l.After != w.aim-25 {
				t.Errorf("%g mL a day: %+v", l.Proposed, l.Guards)
			}
		})
	}
}
