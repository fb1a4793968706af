package changes_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/changes"
)

// fresh is a fresh system with nitrate 110 mg/L and tap water with 5.
func fresh() changes.Plan {
	return changes.Plan{
		Kind: tanks.Freshwater, Now: chem.Analysis{chem.Nitrate: 110}, New: chem.Analysis{chem.Nitrate: 5},
		Goal: chem.Nitrate, To: 40, Share: 0.2, Every: 1,
	}
}

// with changes a plan.
func with(p changes.Plan, change func(*changes.Plan)) changes.Plan {
	change(&p)
	return p
}

// By hand: of 105 mg/L too much 35 may stay, a third; 0.8⁵ is 0.328, 0.8⁴ 0.410.
func TestNitrateFrom110To40(t *testing.T) {
	c, err := fresh().Run()
	if err != nil || c.Changes != 5 || math.Abs(c.Volumes-1) > 1e-12 || len(c.Steps) != 5 {
		t.Fatalf("%+v, %v", c, err)
	}
	for i, want := range []float64{89, 72.2, 58.76, 48.008, 39.4064} {
		if got := c.Steps[i].After[chem.Nitrate]; math.Abs(got-want) > 1e-9 || c.Steps[i].Day != i || c.Steps[i].Number != i+1 {
			t.Errorf("change %d leaves %g, want %g: %+v", i+1, got, want, c.Steps[i])
		}
	}
	// Usual in fresh water: 20 mg/L a day and in a step; the first change is 21.
	if !c.Limited || !c.Nearest.Broken() || c.Nearest.Analyte != chem.Nitrate || c.Nearest.Most != 20 || c.Nearest.Change != -21 {
		t.Errorf("the nearest limit is %+v", c.Nearest)
	}
	largest, by, ok := fresh().Largest()
	if !ok || math.Abs(largest-20.0/105) > 1e-12 || by.Analyte != chem.Nitrate {
		t.Errorf("the largest share is %g by %+v, %v", largest, by, ok)
	}
}

func TestChanges(t *testing.T) {
	for name, c := range map[string]struct {
		plan changes.Plan
		want int
	}{
		"at the goal":        {with(fresh(), func(p *changes.Plan) { p.To = 110 }), 0},
		"one of all":         {with(fresh(), func(p *changes.Plan) { p.Share, p.To = 1, 5 }), 1},
		"one is enough":      {with(fresh(), func(p *changes.Plan) { p.Share = 0.7 }), 1},
		"met exactly by two": {with(fresh(), func(p *changes.Plan) { p.Share, p.To = 0.5, 31.25 }), 2},
		"upwards":            {with(fresh(), func(p *changes.Plan) { p.Now, p.New = p.New, p.Now; p.To = 75 }), 5},
		// ln 3 / 0.2 = 5.49
		"days of a drip": {with(fresh(), func(p *changes.Plan) { p.Way = changes.Continuous }), 6},
		// 89, 74.6, 63.1, 53.9, 46.5, 40.6, 35.9
		"with what fish add": {with(fresh(), func(p *changes.Plan) { p.Gains = map[chem.Analyte]float64{chem.Nitrate: 3} }), 7},
		// 57.5, 38.25
		"weekly, with the same": {with(fresh(), func(p *changes.Plan) {
			p.Share, p.Every = 0.5,
				7
			p.Gains = map[chem.Analyte]float64{chem.Nitrate: 2}
		}), 2},
		"drip with what is used": {with(fresh(), func(p *changes.Plan) {
			p.Way = changes.Continuous
			p.Gains = map[chem.Analyte]float64{chem.Nitrate: -4}
		}), 5},
	} {
		got, err := c.plan.Changes()
		if err != nil || got != c.want {
			t.Errorf("%s: %d changes, %v, want %d", name, got, err, c.want)
		}
	}
}

func TestRefusals(t *testing.T) {
	gain := func(daily float64) func(*changes.Plan) {
		return func(p *changes.Plan) { p.Gains = map[chem.Analyte]float64{chem.Nitrate: daily} }
	}
	for name, c := range map[string]struct {
		change func(*changes.Plan)
		says   string
		is     error
	}{
		"goal below the new water": {func(p *changes.Plan) { p.To = 2 }, "between the two waters", chem.ErrFreshCant},
		"goal is the new water":    {func(p *changes.Plan) { p.To = 5 }, "between the two waters", chem.ErrFreshCant},
		"goal above the system":    {func(p *changes.Plan) { p.To = 120 }, "between the two waters", chem.ErrFreshCant},
		"no share":                 {func(p *changes.Plan) { p.Share = 0 }, "share of the water is 0 %", nil},
		"more than all":            {func(p *changes.Plan) { p.Share = 1.2 }, "120 %", nil},
		"no days":                  {func(p *changes.Plan) { p.Every = 0 }, "days between changes is 0", nil},
		"a drip of a river":        {func(p *changes.Plan) { p.Way, p.Share = changes.Continuous, 30 }, "volumes a day is 30", nil},
		"new water not measured":   {func(p *changes.Plan) { p.New = chem.Analysis{} }, "not known in both", changes.ErrUnknown},
		"pH": {func(p *changes.Plan) { p.Goal, p.Now[chem.PH], p.New[chem.PH] = chem.PH, 7, 8 },
			"not known in both", changes.ErrUnknown},
		"fish add as much":             {gain(20), "change 37 % or more each time", nil},
		"a drip against too much":      {func(p *changes.Plan) { gain(20)(p); p.Way = changes.Continuous }, "change more often", nil},
		"a goal where it would settle": {gain(8.75), "change 20 % or more", nil},
	} {
		_, err := with(fresh(), c.change).Run()
		if err == nil || !strings.Contains(err.Error(), c.says) || c.is != nil && !errors.Is(err, c.is) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// What is used up between two changes is nothing before the next, which leaves what it
// brings itself; what the days between add counts with a change that goes the same way;
// steps are days apart.
func TestDaysBetweenChanges(t *testing.T) {
	p := with(fresh(), func(p *changes.Plan) {
		p.Every, p.Share = 3, 0.1
		p.Now[chem.Phosphate], p.New[chem.Phosphate] = 0.5, 0.2
		p.Gains = map[chem.Analyte]float64{chem.Phosphate: -10}
	})
	c, err := p.Run()
	if err != nil || len(c.Steps) < 3 || c.Steps[2].Day != 6 {
		t.Fatalf("%+v, %v", c, err)
	}
	if got := c.Steps[2].After[chem.Phosphate]; math.Abs(got-0.02) > 1e-12 {
		t.Errorf("of what is used up a change leaves %g", got)
	}
	p = with(fresh(), func(p *changes.Plan) {
		p.Now[chem.Alkalinity], p.New[chem.Alkalinity] = 1, 2
		p.Gains = map[chem.Analyte]float64{chem.Alkalinity: 0.6}
	})
	if c, err = p.Run(); err != nil || c.Steps[0].Nearest.Analyte != chem.Alkalinity || math.Abs(c.Steps[0].Nearest.Change-0.8) > 1e-12 {
		t.Errorf("a rise of 0.2 and 0.6 a day are %+v, %v", c.Steps[0].Nearest, err)
	}
}

// What runs in all day makes no step.
func TestDripMakesNoStep(t *testing.T) {
	p := with(fresh(), func(p *changes.Plan) {
		p.Way = changes.Continuous
		p.Bands = []tanks.Band{{Analyte: chem.Nitrate, Low: 0, Aim: 20, High: 40, MaxRise: 50, MaxStep: 1}}
	})
	c, err := p.Run()
	if err != nil || !c.Nearest.Day || c.Nearest.Broken() {
		t.Errorf("%+v, %v", c.Nearest, err)
	}
}

// The closed forms are what goes on step by step: use it up or add to it, change, and
// so on; a drip in a thousand parts of a day comes within a thousandth.
func TestStepByStep(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := changes.Plan{
			Kind: tanks.Freshwater, Goal: chem.Nitrate, Every: rapid.IntRange(1, 10).Draw(t, "every"),
			Share: rapid.Float64Range(0.02, 0.9).Draw(t, "share"),
			Now:   chem.Analysis{chem.Nitrate: rapid.Float64Range(50, 200).Draw(t, "now"), chem.Phosphate: 2},
			New:   chem.Analysis{chem.Nitrate: rapid.Float64Range(0, 10).Draw(t, "new"), chem.Phosphate: 0.1},
			To:    rapid.Float64Range(20, 45).Draw(t, "to"),
			Gains: map[chem.Analyte]float64{chem.Nitrate: rapid.Float64Range(-5, 5).Draw(t, "gain")},
		}
		c, err := p.Run()
		var settles *changes.SettlesError
		if errors.As(err, &settles) {
			if settles.Level < p.To-1e-9 {
				t.Fatalf("it settles at %g, below the goal of %g: %v", settles.Level, p.To, err)
			}
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		level := p.Now[chem.Nitrate]
		for i, s := range c.Steps {
			if i > 0 {
				level = max(0, level+p.Gains[chem.Nitrate]*float64(p.Every))
			}
			level = (1-p.Share)*level + p.Share*p.New[chem.Nitrate]
			if math.Abs(s.After[chem.Nitrate]-level) > 1e-6 {
				t.Fatalf("after %d it has %g, step by step %g", i+1, s.After[chem.Nitrate], level)
			}
			if last := i == len(c.Steps)-1; level < p.To-1e-6 != last && math.Abs(level-p.To) > 1e-6 {
				t.Fatalf("%d changes, and after %d it has %g of %g", c.Changes, i+1, level, p.To)
			}
		}
	})
}

func TestDripStepByStep(t *testing.T) {
	p := with(fresh(), func(p *changes.Plan) {
		p.Way = changes.Continuous
		p.Gains = map[chem.Analyte]float64{chem.Nitrate: 3}
	})
	c, err := p.Run()
	if err != nil {
		t.Fatal(err)
	}
	level := 110.0
	for _, s := range c.Steps {
		for range 1000 {
			level += (3 + p.Share*(5-level)) / 1000
		}
		if math.Abs(s.After[chem.Nitrate]-level) > 0.02 {
			t.Errorf("after day %d it has %g, step by step %g", s.Number, s.After[chem.Nitrate], level)
		}
	}
	if got := c.Steps[len(c.Steps)-1].After[chem.Nitrate]; got > 40 {
		t.Errorf("it ends at %g", got)
	}
}

// The share for a number of changes brings the goal with the last and not before.
func TestShareForANumber(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := fresh()
		p.Way = rapid.SampledFrom([]changes.Way{changes.Several, changes.Continuous}).Draw(t, "way")
		p.Gains = map[chem.Analyte]float64{chem.Nitrate: rapid.SampledFrom([]float64{0, -2, 2}).Draw(t, "gain")}
		n := rapid.IntRange(2, 12).Draw(t, "n")
		share, err := p.ShareFor(n)
		if err != nil {
			t.Fatal(err)
		}
		p.Share = share * (1 + 1e-9)
		got, err := p.Changes()
		if err != nil || got != n {
			t.Fatalf("%d changes of %g, %v, want %d", got, share, err, n)
		}
	})
	for _, n := range []int{0, 1001} {
		if _, err := fresh().ShareFor(n); !errors.As(err, new(chem.RangeError)) {
			t.Errorf("%d changes: %v", n, err)
		}
	}
	hard := with(fresh(), func(p *changes.Plan) {
		p.Way, p.Gains = changes.Continuous, map[chem.Analyte]float64{chem.Nitrate: 900}
	})
	if _, err := hard.ShareFor(3); !errors.As(err, new(*changes.SettlesError)) {
		t.Errorf("against 900 mg/L a day: %v", err)
	}
}

// The largest share keeps every limit, a hair more breaks one.
func TestLargestShare(t *testing.T) {
	p := fresh()
	p.Now[chem.Alkalinity], p.New[chem.Alkalinity] = 1, 4 // 3 meq/L apart: 2 dKH a day are 0.71, 1 in a step 0.36
	p.Now[chem.Hardness], p.New[chem.Hardness] = 2, 2.1
	share, by, ok := p.Largest()
	if !ok || by.Analyte != chem.Alkalinity || by.Day || math.Abs(share-0.11888) > 1e-4 {
		t.Fatalf("%g by %+v", share, by)
	}
	for _, c := range []struct {
		share  float64
		broken bool
	}{{share, false}, {share * 1.001, true}} {
		p.Share = c.share
		course, err := p.Run()
		if err != nil || course.Nearest.Broken() != c.broken || course.Nearest.Analyte != chem.Alkalinity {
			t.Errorf("of %g: %+v, %v", c.share, course.Nearest, err)
		}
	}
	p.Bands = []tanks.Band{{Analyte: chem.Alkalinity, Low: 1, Aim: 3, High: 5, MaxRise: 0.15, MaxStep: 0.15}}
	if share, by, _ := p.Largest(); by.Source != "the band" || math.Abs(share-0.05) > 1e-12 {
		t.Errorf("by the band %g, %+v", share, by)
	}
	p.Way = changes.Continuous
	if share, by, _ := p.Largest(); !by.Day || math.Abs(share+math.Log(1-0.15/3)) > 1e-12 {
		t.Errorf("of a drip %g, %+v", share, by)
	}
	// What uses up alkalinity goes the other way; what adds to it takes of the day's room.
	p.Way, p.Bands[0].MaxStep, p.Bands[0].MaxRise = changes.Several, 0.3, 0.3
	p.Gains = map[chem.Analyte]float64{chem.Alkalinity: 0.1}
	if share, _, _ := p.Largest(); math.Abs(share-0.2/3) > 1e-12 {
		t.Errorf("with a gain of 0.1 a day %g", share)
	}
	p.Gains = map[chem.Analyte]float64{chem.Alkalinity: 0.5}
	if share, by, ok := p.Largest(); share != 0 || !ok || !by.Day {
		t.Errorf("with a gain beyond the limit %g, %+v", share, by)
	}
	if share, _, ok := (changes.Plan{Kind: tanks.Source, Now: p.Now, New: p.New}).Largest(); share != 1 || ok {
		t.Errorf("without a limit %g, %v", share, ok)
	}
}

// The usual limits are those of the kind of water: 5 mg/L of nitrate where corals live.
func TestLimitsByKind(t *testing.T) {
	for kind, want := range map[tanks.Kind]float64{tanks.Freshwater: 20, tanks.Brackish: 20, tanks.Marine: 5} {
		p := with(fresh(), func(p *changes.Plan) { p.Kind = kind })
		share, by, ok := p.Largest()
		if !ok || by.Most != want || math.Abs(share-want/105) > 1e-12 {
			t.Errorf("%v: %g by %+v", kind, share, by)
		}
	}
}

// New water that lacks hardness says so against the band's aim, else against what the
// system has; what it has enough of is not named.
func TestLacking(t *testing.T) {
	p := fresh()
	p.Now[chem.Alkalinity], p.New[chem.Alkalinity] = 2, 0.5
	p.Now[chem.Hardness], p.New[chem.Hardness] = 2, 2.5
	if got := p.Lacking(); len(got) != 1 || got[0].Analyte != chem.Alkalinity || got[0].Lacks() != 1.5 {
		t.Errorf("%+v", got)
	}
	p.Bands = []tanks.Band{{Analyte: chem.Hardness, Low: 2, Aim: 3, High: 4}, {Analyte: chem.Alkalinity, Low: 0.2, Aim: 0.4, High: 1}}
	if got := p.Lacking(); len(got) != 1 || got[0].Analyte != chem.Hardness || got[0].Lacks() != 0.5 {
		t.Errorf("by the bands %+v", got)
	}
	p.New = chem.Analysis{chem.Nitrate: 5}
	if got := p.Lacking(); got != nil {
		t.Errorf("of a new water not measured %+v", got)
	}
}

// A course of more changes than anybody makes shows the first of them.
func TestLongCourse(t *testing.T) {
	c, err := with(fresh(), func(p *changes.Plan) { p.Share = 0.001 }).Run()
	if err != nil || c.Changes != 1099 || len(c.Steps) != 400 {
		t.Errorf("%d changes, %d steps, %v", c.Changes, len(c.Steps), err)
	}
}
