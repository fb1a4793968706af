package plan

import (
	"slices"
	"strings"
	"testing"

	"weirkeeper/chem"
	"weirkeeper/chem/seawater"
	"weirkeeper/tanks"
)

func stepOf(l Line, name string) (HowRow, bool) {
	steps := l.How()
	i := slices.IndexFunc(steps, func(s HowRow) bool { return s.Name.String() == name })
	if i < 0 {
		return HowRow{}, false
	}
	return steps[i], true
}

// Every number can be followed. By hand: 32 mg/L × 341 L / 73.0634 mg/mL = 149.4
// mL; of an uptake of 6 a day 2 are dosed already, 4 × 341 / 73.0634 = 18.7 mL; of
// 149.4 / 2 + 18.7 half is 46.7 mL; 388 + 2 × (47 × 73.0634 / 341 + 2 − 6) = 400.1.
func TestHowFollowsTheNumbers(t *testing.T) {
	marine := withUptake(input(341, []tanks.Band{calciumBand}, 388), chem.Calcium, 6, 0.5)
	marine.Standing[chem.Calcium] = 2
	half := options()
	half.Caution = 0.5
	brackish := waters[1].holding(200, 150, 1)
	brackish.Methods[chem.Calcium] = tanks.Method{Name: "Drops", Analyte: chem.Calcium, Repeatability: 3}
	unmeasured := input(0, []tanks.Band{calciumBand}, 388)
	free := input(341, []tanks.Band{calciumBand}, 388)
	free.Bands[0].MaxRise, free.Bands[0].MaxStep = 0, 1000
	none := options()
	none.Products = nil
	cases := map[string]struct {
		line Line
		want string
	}{
		"an uptake that is dosed in part, with caution": {one(t, marine, half), `Now: 388 ± 4.0 mg/L (reading of 10 Mar 2026)
Aim: 420 mg/L (the band)
Gap: 32.0 mg/L (aim − now)
Net volume: 341 L (stated)
Product: 73.06 mg Ca/mL (CaCl2·2H2O, 268 g/L)
Correction: 149 mL (gap × volume / strength)
Safe rise: 20.0 mg/L a day (the band)
Days: 2 (gap / safe rise, rounded up)
Uptake: 6.0 ± 1.0 mg/L a day (mass balance of the last 30 days)
Dosed already: 2.0 mg/L a day (regular additions of the last week, taken to go on)
Upkeep: 19 mL a day ((uptake − dosed already) × volume / strength)
Caution: 50 % (of what was computed, to begin with)
Daily: 47 mL ((correction / days + upkeep) × caution, rounded)
Largest step: 20.0 mg/L in one dose (the band)
After: 400 mg/L (now + (all doses − uptake) × 2 d)
`},
		"brackish, decided by a person": {one(t, brackish, options()).WithDaily(30, 2, brackish, options()),
			`Now: 150 ± 2.0 mg/L (reading of 10 Mar 2026, Drops)
Aim: 168 mg/L (the band's 420 at S 35, at this salinity)
Gap: 18.0 mg/L (aim − now)
Net volume: 200 L (stated)
Product: 73.06 mg Ca/mL (CaCl2·2H2O, 268 g/L)
Correction: 49 mL (gap × volume / strength)
Safe rise: 20.0 mg/L a day (the band)
Days: 2 (decided by you)
Uptake: not enough to tell (too few readings, or too noisy; none is dosed for)
Daily: 30 mL (decided by you)
Largest step: 10.0 mg/L in one dose (common practice, no source)
Doses a day: 2 of 15 mL (what a day's amount changes / largest step, rounded up)
After: 172 mg/L (now + (all doses − uptake) × 2 d)
`},
		"an amount decided for as many days": {one(t, brackish, options()).WithDaily(9.5, 0, brackish, options()),
			`Now: 150 ± 2.0 mg/L (reading of 10 Mar 2026, Drops)
Aim: 168 mg/L (the band's 420 at S 35, at this salinity)
Gap: 18.0 mg/L (aim − now)
Net volume: 200 L (stated)
Product: 73.06 mg Ca/mL (CaCl2·2H2O, 268 g/L)
Correction: 49 mL (gap × volume / strength)
Safe rise: 20.0 mg/L a day (the band)
Days: 1 (gap / safe rise, rounded up)
Uptake: not enough to tell (too few readings, or too noisy; none is dosed for)
Daily: 9.5 mL (decided by you)
Largest step: 10.0 mg/L in one dose (common practice, no source)
After: 153 mg/L (now + (all doses − uptake) × 1 d)
`},
		"no safe rise known": {one(t, free, options()),
			`Now: 388 ± 4.0 mg/L (reading of 10 Mar 2026)
Aim: 420 mg/L (the band)
Gap: 32.0 mg/L (aim − now)
Net volume: 341 L (stated)
Product: 73.06 mg Ca/mL (CaCl2·2H2O, 268 g/L)
Correction: 149 mL (gap × volume / strength)
Safe rise: not known (the band names none: all in one day)
Days: 1 (gap / safe rise, rounded up)
Uptake: not enough to tell (too few readings, or too noisy; none is dosed for)
Daily: 149 mL (correction / days + upkeep, rounded)
Largest step: 1000.0 mg/L in one dose (the band)
After: 420 mg/L (now + (all doses − uptake) × 1 d)
`},
		"no volume": {one(t, unmeasured, options()),
			`Now: 388 ± 4.0 mg/L (reading of 10 Mar 2026)
Aim: 420 mg/L (the band)
Gap: 32.0 mg/L (aim − now)
Net volume: not known (give dimensions or a volume in Setup)
`},
		"no product": {one(t, input(341, []tanks.Band{calciumBand}, 388), none), `Now: 388 ± 4.0 mg/L (reading of 10 Mar 2026)
Aim: 420 mg/L (the band)
Gap: 32.0 mg/L (aim − now)
Net volume: 341 L (stated)
Product: none (nothing on the shelf raises it)
`},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			if got := c.line.howText().String() + "\n"; got != c.want {
				t.Errorf("%s\nwant\n%s", got, c.want)
			}
		})
	}
}

// Per-kilogram units go by the system's own water: 2300 µeq/kg of water of 12 PSU
// (1.00606 kg/L at 25 °C) are 2.3139 meq/L, and are shown as 2300 again.
func TestHowShowsItsOwnWater(t *testing.T) {
	band := alkalinityBand
	in := input(300, []tanks.Band{band}, 2.3139)
	in.Estimates[chem.Salinity] = tanks.Estimate{Value: 12, At: now}
	opt := options()
	opt.Unit = func(chem.Analyte) chem.Unit { return chem.UeqKg }
	got, ok := stepOf(one(t, in, opt), "Now")
	if !ok || !strings.HasPrefix(got.Value.String(), "2300 ± ") {
		t.Errorf("it says %q", got.Value)
	}
}

// A day of bicarbonate for 300 L at 7.9 dKH and pH 8.2: the step is what
// chem.Analysis.Response says of it.
func TestHowTellsOfPH(t *testing.T) {
	in := input(300, []tanks.Band{alkalinityBand}, dkh(7.9))
	for a, v := range map[chem.Analyte]float64{chem.PH: 8.2, chem.Temperature: 25, chem.Salinity: 35} {
		in.Estimates[a] = tanks.Estimate{Value: v, At: now}
	}
	in.By.Scale = seawater.NBSScale
	opt := options()
	opt.Analytes = []chem.Analyte{chem.Alkalinity}
	l := one(t, in, opt)
	if l.Daily <= 0 {
		t.Fatalf("nothing is dosed: %+v", l)
	}
	got, ok := stepOf(l, "pH")
	if want := "8.20 → 8.18 at once, 8.25 aired"; !ok || got.Value.String() != want {
		t.Errorf("the step is %+v, want %q", got, want)
	}
	delete(in.Estimates, chem.PH)
	if got, ok := stepOf(one(t, in, opt), "pH"); !ok || got.Value != "not known" ||
		got.Source.String() != "the carbon dioxide system needs pH: measure it in the same water" {
		t.Errorf("without pH the step is %+v", got)
	}
	secret := tanks.Product{ID: 4, Name: "By its label", Stock: 3000,
		Contents: chem.Product{Form: chem.Liquid, Label: []chem.Strength{{Analyte: chem.Alkalinity, Amount: 1, Litres: 100, Raises: 0.01}}}}
	opt.Products = []tanks.Product{secret}
	if got, ok := stepOf(one(t, in, opt), "pH"); !ok || got.Source.String() != chem.ErrCarbon.Error() {
		t.Errorf("of a secret product the step is %+v", got)
	}
	// Acetate is alkalinity to a titration, and moves pH by nothing at once.
	in.Estimates[chem.PH] = tanks.Estimate{Value: 8.2, At: now}
	opt.Products = []tanks.Product{liquid(5, "Acetate", "NaCH3COO", 80)}
	if got, ok := stepOf(one(t, in, opt), "pH"); !ok || !strings.HasPrefix(got.Value.String(), "8.20 → 8.20 at once") {
		t.Errorf("of acetate the step is %+v", got)
	}
	opt = options()
	opt.Analytes = []chem.Analyte{chem.Calcium}
	if _, ok := stepOf(one(t, input(300, []tanks.Band{calciumBand}, 400), opt), "pH"); ok {
		t.Error("calcium is said to move pH")
	}
}
