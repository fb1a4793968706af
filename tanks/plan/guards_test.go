package plan

import (
	"slices"
	"strings"
	"testing"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/trend"
)

func said(l Line, rule words.Text) (Guard, bool) {
	i := slices.IndexFunc(l.Guards, func(g Guard) bool { return g.Rule == rule })
	if i < 0 {
		return Guard{}, false
	}
	return l.Guards[i], true
}

// fitted is the uptake of a true course that comes to a value on the day of the
// plan by 2 a day, tested every third day by a kit of 3 mg/L, with one reading off
// by so much.
func fitted(t *testing.T, value float64, bad int, off float64) tanks.Uptake {
	t.Helper()
	var rec trend.Record
	for i := range 8 {
		ago := 3 * (7 - i)
		p := trend.Point{At: now.AddDate(0, 0, -ago), Value: value + 2*float64(ago), Scatter: 3}
		if i == bad {
			p.Value += off
		}
		rec.Points = append(rec.Points, p)
	}
	f, err := trend.FitRecord(rec, trend.Options{Now: now})
	if err != nil {
		t.Fatal(err)
	}
	return f.Uptaken()
}

// A newest reading that does not fit the ones before stops the plan; one of the
// week before does not, and neither does one that fits.
func TestOutlierGuard(t *testing.T) {
	for _, w := range waters {
		for _, c := range []struct {
			name string
			bad  int
			off  float64
			stop bool
		}{
			{"the newest, far too low", 7, -60, true},
			{"the newest, a decimal slip", 7, 9 * w.aim, true},
			{"the newest, two standard deviations off", 7, -6, false},
			{"the one before", 6, -60, false},
			{"one of long ago", 2, 60, false},
			{"none", -1, 0, false},
		} {
			t.Run(w.name+", "+c.name, func(t *testing.T) {
				in := w.holding(200, w.aim-20, 2)
				in.Uptakes[chem.Calcium] = fitted(t, w.aim-20, c.bad, c.off)
				l := one(t, in, options())
				g, ok := said(l, RuleOutlier)
				if ok != c.stop || g.Stops != c.stop || l.Hold() != c.stop {
					t.Errorf("the newest is off %v: %+v, %g mL", in.Uptakes[chem.Calcium].NewestOff, l.Guards, l.Daily)
				}
			})
		}
	}
}

// What stops gives nothing, until a person decides otherwise.
func TestStopsAndDecisions(t *testing.T) {
	in := input(341, []tanks.Band{calciumBand}, 388)
	in.Uptakes[chem.Calcium] = fitted(t, 388, 7, -60)
	l := one(t, in, options())
	if !l.Stopped() || l.Daily != 0 || l.Days != 0 || l.After != 388 {
		t.Fatalf("stopped, it gives %g on %d days up to %g", l.Daily, l.Days, l.After)
	}
	decided := l.WithDaily(30, 2, in, options())
	if _, ok := said(decided, RuleOutlier); !ok || decided.Daily != 30 || decided.Days != 2 || decided.Hold() {
		t.Errorf("decided: %g on %d days, %+v", decided.Daily, decided.Days, decided.Guards)
	}
}

// A day's dose raises the level by its own rise less what the system uses
// beyond its standing doses; two per cent over the safe rise are rounding.
func TestFastRise(t *testing.T) {
	// 1 mL in 341 L is 0.21426 mg/L; the band allows 20 a day.
	for _, c := range []struct {
		name             string
		uptake, standing float64
		fit              bool
		daily            float64
		fast             bool
	}{
		{"20.35, rounding", 0, 0, false, 95, false},
		{"20.57", 0, 0, false, 96, true},
		{"21.43", 0, 0, false, 100, true},
		{"26.35 with an uptake of 6: 20.35", 6, 0, true, 123, false},
		{"26.57 with an uptake of 6: 20.57", 6, 0, true, 124, true},
		{"22.07 with 2 of the uptake of 6 not dosed yet: 20.07", 6, 4, true, 103, false},
		{"26.35, of 6 used 4 are dosed already: 24.35", 6, 4, true, 123, true},
		{"18.21 where it gains 3 a day: 21.21", -3, 0, true, 85, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			in := input(341, []tanks.Band{calciumBand}, 388)
			if c.fit {
				in = withUptake(in, chem.Calcium, c.uptake, 0.5)
			}
			in.Standing[chem.Calcium] = c.standing
			l := one(t, in, options()).WithDaily(c.daily, 1, in, options())
			if g, ok := said(l, RuleFast); ok != c.fast || g.Stops {
				t.Errorf("%g mL a day: %+v", c.daily, l.Guards)
			}
		})
	}
	band := calciumBand
	band.MaxRise, band.MaxStep = 0, 1000
	in := input(341, []tanks.Band{band}, 388)
	if _, ok := said(one(t, in, options()).WithDaily(400, 1, in, options()), RuleFast); ok {
		t.Error("without a safe rise it is said to be too fast")
	}
}

// What the bottle holds is compared with all doses of the line.
func TestStockGuard(t *testing.T) {
	for stock, want := range map[float64]bool{0: false, 74: true, 76: true, 149: true, 150: false, 3000: false} {
		opt := options()
		few := calcium
		few.Stock = stock
		opt.Products = []tanks.Product{few}
		l := one(t, input(341, []tanks.Band{calciumBand}, 388), opt) // 2 × 75 mL
		if g, ok := said(l, RuleStock); ok != want || g.Stops || l.Daily != 75 {
			t.Errorf("of %g mL it says %+v", stock, l.Guards)
		}
	}
}

// Sodium bicarbonate: 8.73 % by mass at 20 °C (CRC Handbook 2010) are about 93 g in a
// litre of solution; the guard names where that is from.
func TestSolubilityGuard(t *testing.T) {
	for strength, want := range map[float64]bool{75: false, 90: false, 96: true, 150: true} {
		opt := options()
		opt.Products = []tanks.Product{liquid(2, "Bicarbonate", "NaHCO3", strength)}
		l := one(t, input(341, []tanks.Band{alkalinityBand}, dkh(7)), opt)
		if g, ok := said(l, RuleSoluble); ok != want || g.Stops != want || l.Hold() != want {
			t.Errorf("at %g g/L: %+v", strength, l.Guards)
		} else if ok && !strings.Contains(g.Message.String(), "CRC Handbook of Chemistry and Physics, 91st edition 2010") {
			t.Errorf("it says %q", g.Message)
		}
	}
	opt := options()
	opt.Products = []tanks.Product{solid(2, "Bicarbonate", "NaHCO3")}
	if g, ok := said(one(t, input(341, []tanks.Band{alkalinityBand}, dkh(7)), opt), RuleSoluble); ok {
		t.Errorf("of a powder it says %q", g.Message)
	}
}

// Calcium meets carbonate, or sulfate: chalk and gypsum fall out. Two that keep
// each other clear, or one that is not given, say nothing.
func TestClash(t *testing.T) {
	epsom := liquid(3, "Magnesium sulfate stock", "MgSO4·7H2O", 300)
	for _, c := range []struct {
		name      string
		magnesium tanks.Product
		levels    [3]float64 // calcium, dKH, magnesium
		want      [3]string
	}{
		{"calcium and carbonate", magnesium, [3]float64{388, 7, 1320},
			[3]string{"calcium carbonate falls out", "calcium carbonate falls out", ""}},
		{"calcium and sulfate", epsom, [3]float64{388, 8.3, 1200}, [3]string{"gypsum falls out", "", "gypsum falls out"}},
		{"calcium and magnesium chloride", magnesium, [3]float64{388, 8.3, 1200}, [3]string{}},
		{"carbonate and magnesium", magnesium, [3]float64{420, 7, 1200}, [3]string{}},
		{"carbonate, calcium on hold", magnesium, [3]float64{420, 7, 1320}, [3]string{}},
		{"all three", epsom, [3]float64{388, 7, 1200},
			[3]string{"calcium carbonate falls out gypsum falls out", "calcium carbonate falls out", "gypsum falls out"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			opt := options()
			opt.Products = []tanks.Product{calcium, bicarbonate, c.magnesium}
			bands := []tanks.Band{calciumBand, alkalinityBand, magnesiumBand}
			in := input(341, bands, c.levels[0], dkh(c.levels[1]), c.levels[2])
			p := Make([]Input{in}, opt)[0]
			for range 2 { // checked anew, it says the same
				for i, l := range p.Lines {
					if got := clashes(l); got != c.want[i] {
						t.Errorf("%v: %q, want %q", l.Analyte, got, c.want[i])
					}
				}
				p.Check(in, opt)
			}
			p.Lines[0].Daily = 0
			p.Check(in, opt)
			for _, l := range p.Lines {
				if got := clashes(l); got != "" {
					t.Errorf("calcium is taken out, yet %v says %q", l.Analyte, got)
				}
			}
		})
	}
}

func clashes(l Line) string {
	var what []string
	for _, g := range l.Guards {
		if g.Rule != RuleSeparate {
			continue
		}
		text := g.Message.String()
		open, end := strings.Index(text, "("), strings.Index(text, ")")
		what = append(what, text[open+1:end])
	}
	return strings.Join(what, " ")
}

// A shelf without a product is told of where something should be raised, not of
// what stands high enough.
func TestNothingToRaiseItWith(t *testing.T) {
	opt := options()
	opt.Products = []tanks.Product{bicarbonate}
	for value, want := range map[float64]bool{388: true, 419: true, 420: false, 430: false, 480: false} {
		if g, ok := said(one(t, input(341, []tanks.Band{calciumBand}, value), opt), RuleNoDoseFor); ok != want || g.Stops != want {
			t.Errorf("at %g: %+v", value, g)
		}
	}
}

// How to handle what is given is said as the compound and as the label have it,
// and of nothing that is not given.
func TestHandling(t *testing.T) {
	opt := options()
	labelled := calcium
	labelled.Caution = "Keep it locked away."
	opt.Products = []tanks.Product{labelled}
	of := func(value float64) string {
		var texts []string
		for _, g := range one(t, input(341, []tanks.Band{calciumBand}, value), opt).Guards {
			if g.Rule == RuleHandling {
				texts = append(texts, g.Message.String())
			}
		}
		return strings.Join(texts, " | ")
	}
	if got := of(388); !strings.HasPrefix(got, "Gets hot as it dissolves") || !strings.HasSuffix(got, " | Keep it locked away.") {
		t.Errorf("it says %q", got)
	}
	if got := of(420); got != "" {
		t.Errorf("of nothing it says %q", got)
	}
}

// Whether something is proposed says whether the room has a plan for it.
func TestTouches(t *testing.T) {
	for value, want := range map[float64]bool{388: true, 420: false, 480: false} {
		if got := Make([]Input{input(341, []tanks.Band{calciumBand}, value)}, options())[0].Touches(); got != want {
			t.Errorf("at %g it touches the system: %v", value, got)
		}
	}
}
