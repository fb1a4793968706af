package plan

import (
	"math"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/tanks"
)

var paris = func() *time.Location {
	loc, err := time.LoadLocation("Europe/Paris")
	if err != nil {
		panic(err)
	}
	return loc
}()

// Syringes show 0.1 mL up to 10, beakers whole ones.
func TestRoundAmount(t *testing.T) {
	for v, want := range map[float64]float64{
		0: 0, -1: 0, math.NaN(): 0, 0.04: 0, 0.06: 0.1, 0.11: 0.1, 0.14: 0.1, 3.15: 3.2, 3.21: 3.2, 9.94: 9.9, 9.96: 10, 10.4: 10, 10.6: 11,
		149.3: 149,
	} {
		if got := roundAmount(v); math.Abs(got-want) > 1e-12 {
			t.Errorf("%g becomes %g, want %g", v, got, want)
		}
	}
}

// The caution scales correction and upkeep alike. By hand: 32 mg/L in 341 L are
// 149.35 mL in two days, 6 mg/L a day are 28.00 mL, together 102.68 mL a day: 22.0 mg/L
// in one dose, more than the band's step of 20, so two doses of 51.5.
func TestCaution(t *testing.T) {
	for caution, want := range map[float64]float64{1: 103, 0.75: 77, 0.5: 51, 0.1: 10} {
		in := withUptake(input(341, []tanks.Band{calciumBand}, 388), chem.Calcium, 6, 0.5)
		opt := options()
		opt.Caution = caution
		l := one(t, in, opt)
		if l.Daily != want || l.Proposed != want || l.Days != 2 {
			t.Errorf("at %g it gives %g mL on %d days, want %g", caution, l.Daily, l.Days, want)
		}
		near(t, "correction", l.Correction, 149.35, 0.01)
		near(t, "upkeep", l.Upkeep, 28.00, 0.01)
	}
}

// Upkeep alone is planned to the next test, for a week at the most and where
// there is no interval.
func TestDaysOfUpkeep(t *testing.T) {
	const day = 24 * time.Hour
	for every, want := range map[time.Duration]int{0: 7, 6 * time.Hour: 1, day: 1, 3 * day: 3, 7 * day: 7, 8 * day: 7, 14 * day: 7,
		60 * day: 7} {
		band := calciumBand
		band.TestEvery = every
		l := one(t, withUptake(input(341, []tanks.Band{band}, 420), chem.Calcium, 6, 0.5), options())
		if l.Days != want || l.Daily != 28 {
			t.Errorf("tested every %v it gives %g mL on %d days, want 28 on %d", every, l.Daily, l.Days, want)
		}
	}
}

// Over 2 days of 75 mL of a bottle of 5000 mL for 10: cost, what is left, how
// long it lasts, and what else the bottle changes. By hand: 150 mL of 268 g/L
// are 40.2 g of CaCl2·2H2O (147.01 g/mol), so 0.27345 mol and twice that of
// chloride (35.45 g/mol): 19.388 g in 341 L. Without its water it is 30.35 g of
// salt, in 341 L of 1.0233 kg/L 0.0870 g/kg, or 0.0866 on the practical scale.
func TestWhatADoseBringsAlong(t *testing.T) {
	l := one(t, input(341, []tanks.Band{calciumBand}, 388), options())
	if l.Lasts != 40 || l.Left != 2850 || math.Abs(l.Cost-0.30) > 1e-12 {
		t.Errorf("it lasts %d days, leaves %g and costs %g", l.Lasts, l.Left, l.Cost)
	}
	if len(l.Side) != 2 || l.Side[0].Analyte != chem.Salinity || l.Side[1].Analyte != chem.Chloride {
		t.Fatalf("besides it changes %+v", l.Side)
	}
	near(t, "salinity", l.Side[0].Change, 0.0866, 0.0001)
	near(t, "chloride", l.Side[1].Change, 19388/341.0, 0.02)
	// A hardness that no calcium or magnesium tells is said.
	salt := tanks.Product{ID: 6, Name: "By its label", Stock: 3000, Contents: chem.Product{Form: chem.Liquid, Label: []chem.Strength{
		{Analyte: chem.Alkalinity, Amount: 1, Litres: 100, Raises: 0.01}, {Analyte: chem.Hardness, Amount: 1, Litres: 100, Raises: 0.02}}}}
	opt := options()
	opt.Products = []tanks.Product{salt}
	if l := one(t, input(341, []tanks.Band{alkalinityBand}, dkh(7)), opt); len(l.Side) != 1 || l.Side[0].Analyte != chem.Hardness ||
		!(l.Side[0].Change > 0) {
		t.Errorf("a hardening salt changes besides %+v", l.Side)
	}
	// What is not known is said: no price, no full package.
	free := calcium
	free.Full, free.Stock = 0, 100
	opt.Products = []tanks.Product{free}
	if l := one(t, input(341, []tanks.Band{calciumBand}, 388), opt); l.Cost != 0 || l.Left != 0 || l.Lasts != 1 {
		t.Errorf("of 100 mL it leaves %g, lasts %d days and costs %g", l.Left, l.Lasts, l.Cost)
	}
	if l := one(t, input(341, []tanks.Band{calciumBand}, 420), options()); l.Lasts != -1 || l.Side != nil || l.Left != 3000 || l.Cost != 0 {
		t.Errorf("on hold it lasts %d days, leaves %g and costs %g", l.Lasts, l.Left, l.Cost)
	}
}

// The path's error grows with the uptake's: √(scatter² + (days × se)²).
func TestPathWidens(t *testing.T) {
	in := withUptake(input(341, []tanks.Band{calciumBand}, 388), chem.Calcium, 6, 1.5)
	in.Estimates[chem.Calcium] = tanks.Estimate{Value: 388, Uncertainty: 5, Scatter: 3, Trueness: 4, At: now, N: 1}
	l := one(t, in, options()).WithDaily(50, 4, in, options())
	for d, want := range []float64{3, math.Sqrt(9 + 2.25), math.Sqrt(9 + 9), math.Sqrt(9 + 20.25), math.Sqrt(9 + 36)} {
		near(t, "se", l.Path[d].SE, want, 1e-9)
		if !l.Path[d].At.Equal(now.AddDate(0, 0, d)) {
			t.Errorf("point %d is at %v", d, l.Path[d].At)
		}
	}
}

// The next test is when the change stands out from 2·√2 of the method's scatter,
// tomorrow at the earliest and by the schedule at the latest, at nine in the
// morning of the room. The doses change calcium by 16.07 mg/L a day.
func TestRetestDay(t *testing.T) {
	for _, c := range []struct {
		name  string
		s     float64 // repeatability, mg/L; 0: no method named
		value float64
		every time.Duration
		now   time.Time
		zone  *time.Location
		want  string
	}{
		{"seen after a day", 5, 388, 7 * 24 * time.Hour, now, time.UTC, "2026-03-11 09:00"},
		{"16.07 a day: 5.68 is just seen", 5.68, 388, 7 * 24 * time.Hour, now, time.UTC, "2026-03-11 09:00"},
		{"and 5.69 is not", 5.69, 388, 7 * 24 * time.Hour, now, time.UTC, "2026-03-12 09:00"},
		{"a coarse kit waits for the schedule", 60, 388, 7 * 24 * time.Hour, now, time.UTC, "2026-03-17 09:00"},
		{"and no longer than that", 60, 388, 4 * 24 * time.Hour, now, time.UTC, "2026-03-14 09:00"},
		{"a week where there is no schedule", 60, 388, 0, now, time.UTC, "2026-03-17 09:00"},
		{"nothing changes: by the schedule", 5, 420, 5 * 24 * time.Hour, now, time.UTC, "2026-03-15 09:00"},
		{"in the room's morning", 5, 388, 7 * 24 * time.Hour, now, paris, "2026-03-11 09:00"},
		{"of the room's day", 5, 388, 7 * 24 * time.Hour, time.Date(2026, 3, 10, 23, 30, 0, 0, time.UTC), paris, "2026-03-12 09:00"},
		{"over the clock change", 12, 388, 7 * 24 * time.Hour, time.Date(2026, 3, 28, 8, 0, 0, 0, paris), paris, "2026-03-31 09:00"},
		{"by the estimate's scatter without a method", 0, 388, 7 * 24 * time.Hour, now, time.UTC, "2026-03-11 09:00"},
	} {
		t.Run(c.name, func(t *testing.T) {
			band := calciumBand
			band.TestEvery = c.every
			in := input(341, []tanks.Band{band}, c.value)
			if c.s > 0 {
				in.Methods[chem.Calcium] = tanks.Method{Analyte: chem.Calcium, Accuracy: 30, Repeatability: c.s}
			}
			opt := options()
			opt.Now, opt.Zone = c.now, c.zone
			if got := one(t, in, opt).Retest.In(c.zone).Format("2006-01-02 15:04"); got != c.want {
				t.Errorf("test again at %s, want %s", got, c.want)
			}
		})
	}
}

// One dose a day at the hour of the plan, also where the clocks are changed;
// each further line half an hour later.
func TestDosesKeepTheirHour(t *testing.T) {
	for name, from := range map[string]time.Time{
		"winter": time.Date(2026, 1, 10, 8, 20, 31, 0, paris),
		"spring": time.Date(2026, 3, 28, 8, 20, 31, 0, paris),
		"autumn": time.Date(2026, 10, 24, 8, 20, 31, 0, paris),
	} {
		t.Run(name, func(t *testing.T) {
			opt := options()
			opt.Now, opt.Zone = from, paris
			opt.Analytes = []chem.Analyte{chem.Calcium, chem.Magnesium, chem.Alkalinity}
			in := input(341, []tanks.Band{calciumBand, magnesiumBand, alkalinityBand}, 370, 1320, dkh(6))
			p := Make([]Input{in}, opt)[0]
			doses := p.Doses(opt)
			// Calcium 50 at 20 a day: 3 days; alkalinity 2.3 dKH at 0.7 a day: 4.
			for a, want := range map[chem.Analyte]struct {
				days  int
				first string
			}{chem.Calcium: {3, "08:20"}, chem.Alkalinity: {4, "08:50"}} {
				if len(doses[a]) != want.days {
					t.Fatalf("%v has %d doses", a, len(doses[a]))
				}
				for d, dose := range doses[a] {
					at := dose.Due.In(paris)
					if at.Format("15:04") != want.first || at.Day() != from.AddDate(0, 0, d).Day() || dose.Due.Location() != time.UTC {
						t.Errorf("dose %d of %v is due at %v", d, a, at)
					}
				}
			}
			if len(doses[chem.Magnesium]) != 0 {
				t.Errorf("magnesium at its aim gets %+v", doses[chem.Magnesium])
			}
		})
	}
}

// Without a fit nothing is known of the uptake, so standing doses lead nowhere by
// themselves: what is shown is what the plan's own doses do.
func TestStandingDosesWithoutAFit(t *testing.T) {
	in := input(341, []tanks.Band{calciumBand}, 388)
	in.Standing[chem.Calcium] = 5
	l := one(t, in, options())
	near(t, "after", l.After, 388+2*75*73.0634/341, 0.01)
	near(t, "upkeep", l.Upkeep, 0, 0)
}
