package tanks

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/chem/seawater"
)

// The words of the IPCC's 2010 guidance note on uncertainties: "likely" from
// 66 %, "extremely likely", our firm, from 95 %; both ends belong to them.
func TestSurenessStartsAtItsProbability(t *testing.T) {
	for _, c := range []struct {
		name                 string
		below, within, above float64
		word                 Word
		sure                 Sureness
	}{
		{"just firm", 0, 0.95, 0.05, WithinBand, Firm},
		{"just under firm", 0, 0.9499, 0.0501, WithinBand, Likely},
		{"nine in ten", 0.9, 0.1, 0, BelowBand, Likely},
		{"just likely", 0.66, 0.34, 0, BelowBand, Likely},
		{"just under likely", 0.6599, 0.3401, 0, BelowBand, Unsure},
		{"six in ten", 0, 0.4, 0.6, AboveBand, Unsure},
		{"below as probable as within: within", 0.5, 0.5, 0, WithinBand, Unsure},
		{"above as probable as within: within", 0, 0.5, 0.5, WithinBand, Unsure},
	} {
		t.Run(c.name, func(t *testing.T) {
			if word, sure := wordOf(c.below, c.within, c.above); word != c.word || sure != c.sure {
				t.Errorf("%v, %v", word, sure)
			}
		})
	}
}

// Tabulated quantiles of the normal distribution: z(0.95) = 1.6449, z(0.66) =
// 0.4125. Each water has its own band; the brackish and the marine one are judged
// by a band for S 35 at S 14 and S 36.4, 0.4 and 1.04 of it.
func TestFirmAndLikelyInThreeWaters(t *testing.T) {
	waters := []struct {
		name           string
		band           Band
		salinity       float64
		low, high, per float64 // edges and one standard uncertainty in the water as it is
	}{
		{"fresh", Band{Analyte: chem.Nitrate, Low: 10, Aim: 20, High: 40}, 0.2, 10, 40, 2},
		{"brackish", Band{Analyte: chem.Calcium, Low: 400, Aim: 420, High: 450, AtSalinity: 35}, 14, 160, 180, 1},
		{"marine", Band{Analyte: chem.Calcium, Low: 400, Aim: 420, High: 450, AtSalinity: 35}, 36.4, 416, 468, 4},
	}
	places := []struct {
		name     string
		fromLow  float64 // standard uncertainties above the low edge, when low
		fromHigh float64 // or above the high edge
		want     string
	}{
		{"firmly below", -1.645, 0, "below, firm"},
		{"not quite firmly below", -1.644, 0, "below, likely"},
		{"nine tenths below", -1.2816, 0, "below, likely"},
		{"likely below", -0.4126, 0, "below, likely"},
		{"not quite likely below", -0.4123, 0, "below, unsure"},
		{"firmly above", 0, 1.645, "above, firm"},
		{"not quite firmly above", 0, 1.644, "above, likely"},
		{"likely above", 0, 0.4126, "above, likely"},
		{"not quite likely above", 0, 0.4123, "above, unsure"},
		{"firmly within", 1.645, 0, "within, firm"},
		{"likely within", 0, -1.644, "within, likely"},
		{"not quite likely within", 0, -0.4123, "within, unsure"},
	}
	for _, w := range waters {
		for _, p := range places {
			t.Run(w.name+", "+p.name, func(t *testing.T) {
				value := w.low + p.fromLow*w.per
				if p.fromHigh != 0 {
					value = w.high + p.fromHigh*w.per
				}
				got := Judge(Estimate{Value: value, Uncertainty: w.per, At: now}, w.band, chem.WaterOf(w.salinity), now)
				if got.String() != p.want || got.AtSalinity != w.band.AtSalinity {
					t.Errorf("%g ± %g is %v at S %g", value, w.per, got, got.AtSalinity)
				}
			})
		}
	}
}

// Known truth: of waters drawn evenly over far more than the band, read with a
// normal error, as many are where the verdict says as its probability says
// (JCGM 106:2012, section 6, for a prior that is flat beside the error).
func TestVerdictsAreRightAsOftenAsTheySay(t *testing.T) {
	for _, w := range []struct {
		name     string
		band     Band
		salinity float64
		u        float64
	}{
		{"fresh", Band{Analyte: chem.Nitrate, Low: 20, Aim: 25, High: 40}, 0.2, 4},
		{"brackish", Band{Analyte: chem.Calcium, Low: 400, Aim: 420, High: 450, AtSalinity: 35}, 14, 8},
		{"marine", Band{Analyte: chem.Calcium, Low: 400, Aim: 420, High: 450, AtSalinity: 35}, 33, 15},
	} {
		t.Run(w.name, func(t *testing.T) {
			scale := 1.0
			if w.band.AtSalinity > 0 {
				scale = w.salinity / w.band.AtSalinity
			}
			low, high := w.band.Low*scale, w.band.High*scale
			rng := rand.New(rand.NewPCG(3, 5))
			var right, said, all [Firm + 1]float64
			for range 40000 {
				truth := low - 8*w.u + rng.Float64()*(high-low+16*w.u)
				read := truth + w.u*rng.NormFloat64()
				if read < low-4*w.u || read > high+4*w.u {
					continue
				}
				v := Judge(Estimate{Value: read, Uncertainty: w.u, At: now}, w.band, chem.WaterOf(w.salinity), now)
				all[v.Sure]++
				said[v.Sure] += max(v.PBelow, v.PWithin, v.PAbove)
				if is := side(truth, low, high); is == v.Word {
					right[v.Sure]++
				}
			}
			for sure, n := range all {
				near(t, Sureness(sure).String(), right[sure]/n, said[sure]/n, 0.02)
			}
			if all[Firm] == 0 || right[Firm]/all[Firm] < 0.95 {
				t.Errorf("of %g firm verdicts %g are right", all[Firm], right[Firm])
			}
		})
	}
}

func side(v, low, high float64) Word {
	switch {
	case v < low:
		return BelowBand
	case v > high:
		return AboveBand
	}
	return WithinBand
}

// A band from zero has no lower side: a reading of nothing, whatever its error, is
// as surely within as it is under the high edge. By hand: Φ(0.1/0.04) = 0.994,
// Φ(0.02/0.03) = 0.748, Φ(−0.05/0.03) = 0.048.
func TestNothingIsNotBelowABandFromZero(t *testing.T) {
	for _, c := range []struct {
		name     string
		b        Band
		value, u float64
		want     string
	}{
		{"fresh, no nitrite", Band{Analyte: chem.Nitrite, Aim: 0.02, High: 0.1}, 0, 0.04, "within, firm"},
		{"brackish, no nitrate", Band{Analyte: chem.Nitrate, Aim: 20, High: 50}, 0, 3, "within, firm"},
		{"marine, no ammonia", Band{Analyte: chem.Ammonia, Aim: 0.02, High: 0.1}, 0, 0.03, "within, firm"},
		{"marine, a fit that says a little less than nothing", Band{Analyte: chem.Phosphate, Aim: 0.02, High: 0.1}, -0.005, 0.01,
			"within, firm"},
		{"marine, some ammonia", Band{Analyte: chem.Ammonia, Aim: 0.02, High: 0.1}, 0.08, 0.03, "within, likely"},
		{"marine, too much ammonia", Band{Analyte: chem.Ammonia, Aim: 0.02, High: 0.1}, 0.15, 0.03, "above, firm"},
		{"a source, pure water by a pen of ±2 µS/cm", Band{Analyte: chem.Conductivity, Aim: 5, High: 20}, 1, 1.2, "within, firm"},
		{"a source, without any uncertainty", Band{Analyte: chem.Conductivity, Aim: 5, High: 20}, 0, 0, "within, firm"},
		{"a low edge above nothing is one", Band{Analyte: chem.Nitrate, Low: 2, Aim: 6, High: 15}, 0, 1, "below, firm"},
		{"temperature can be below zero", Band{Analyte: chem.Temperature, Aim: 2, High: 4}, -0.5, 0.2, "below, firm"},
	} {
		t.Run(c.name, func(t *testing.T) {
			v := Judge(Estimate{Value: c.value, Uncertainty: c.u, At: now}, c.b, chem.Water{}, now)
			if v.String() != c.want {
				t.Errorf("%v", v)
			}
			near(t, "all together", v.PBelow+v.PWithin+v.PAbove, 1, 1e-12)
		})
	}
}

// Half of the interval, at least a day: common practice, no source.
func TestGraceAndStale(t *testing.T) {
	const day = 24 * time.Hour
	for _, c := range []struct {
		name  string
		every time.Duration
		grace time.Duration
	}{
		{"twice a day", 12 * time.Hour, day},
		{"daily", day, day},
		{"every other day", 2 * day, day},
		{"every third day", 3 * day, 36 * time.Hour},
		{"weekly", 7 * day, 84 * time.Hour},
		{"monthly", 30 * day, 15 * day},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := Grace(c.every); got != c.grace {
				t.Errorf("a grace of %v, want %v", got, c.grace)
			}
			band := Band{Low: 1, Aim: 2, High: 3, TestEvery: c.every}
			e := Estimate{Value: 2, Uncertainty: 0.1, At: now.Add(-c.every - c.grace)}
			if v := Judge(e, band, chem.Water{}, now); v.Stale || v.Word != WithinBand {
				t.Errorf("on its last instant it is %v", v)
			}
			if v := Judge(e, band, chem.Water{}, now.Add(1)); !v.Stale || v.Word != WithinBand || v.Sure != Firm {
				t.Errorf("after its last instant it is %v", v)
			}
		})
	}
	if v := Judge(Estimate{Value: 2, At: now.AddDate(-1, 0, 0)}, Band{Low: 1, Aim: 2, High: 3}, chem.Water{}, now); v.Stale {
		t.Error("without an interval it is stale")
	}
}

// A result above the method's range counts by where the range ends.
func TestAboveRangeAtTheEdges(t *testing.T) {
	band := Band{Low: 400, Aim: 420, High: 450}
	for _, c := range []struct {
		name         string
		bound        float64
		want         string
		within, over float64
	}{
		{"at the high edge", 450, "above, firm", 0, 1},
		{"under the high edge", 449.9, "above, unsure", 0.5, 0.5},
		{"at the low edge", 400, "above, unsure", 0.5, 0.5},
		{"under the low edge", 399.9, "none", 0, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			v := Judge(Estimate{Value: c.bound, Limit: Above, At: now}, band, chem.Water{}, now)
			if v.String() != c.want || v.PWithin != c.within || v.PAbove != c.over || v.PBelow != 0 {
				t.Errorf("%v: %+v", v, v)
			}
		})
	}
}

// Three and a half combined standard uncertainties are no surprise yet.
func TestSurpriseAtItsLimit(t *testing.T) {
	for _, c := range []struct {
		name     string
		typed, u float64
		e        Expectation
		want     bool
	}{
		{"calcium of a marine water", 434, 3, Expectation{420, 0}, true},
		{"at the limit", 427, 2, Expectation{420, 0}, false},
		{"a hair over it", 427.001, 2, Expectation{420, 0}, true},
		{"below it", 406, 0, Expectation{420, 4}, false},
		{"uncertainties in quadrature, √(3² + 4²) = 5: at the limit", 437.5, 3, Expectation{420, 4}, false},
		{"uncertainties in quadrature, over it", 437.6, 3, Expectation{420, 4}, true},
		{"hardness of a fresh water", 6.3, 0.3, Expectation{4, 0.4}, true},
		{"and within", 5.7, 0.3, Expectation{4, 0.4}, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			if f := Surprise(c.typed, c.u, c.e, c.typed, asItIs); f.Surprising != c.want {
				t.Errorf("%g standard uncertainties off: %v", f.Off, f.Surprising)
			}
		})
	}
	// A slip is proposed within two standard uncertainties of what is expected:
	// 0.45 is 2.2 of them from 0.1, 0.045 is 0.3.
	if f := Surprise(4.5, 0, Expectation{0.1, 0.16}, 4.5, asItIs); !f.Surprising || f.Places != -2 {
		t.Errorf("of 4.5: %+v", f)
	}
	if f := Surprise(45, 0, Expectation{10, 2.2}, 45, asItIs); !f.Surprising || f.Places != 0 {
		t.Errorf("of 45, where 4.5 is 2.5 off: %+v", f)
	}
	if f := Surprise(60, 0, Expectation{10, 2.2}, 60, asItIs); !f.Surprising || f.Places != -1 || f.Slip != 6 {
		t.Errorf("of 60, where 6 is 1.8 off: %+v", f)
	}
}

// The clock may be five minutes off, and no more.
func TestClockSlack(t *testing.T) {
	type dated struct {
		what  string
		err   func(at time.Time) error
		field string
	}
	for _, d := range []dated{
		{"reading", func(at time.Time) error {
			return Reading{System: 1, Analyte: chem.Calcium, At: at, Value: 420, Unit: "mg/L"}.Validate(now)
		}, "at"},
		{"sample", func(at time.Time) error { return Sample{System: 1, Code: "K", Drawn: at}.Validate(now) }, "drawn"},
		{"addition", func(at time.Time) error { return Addition{System: 1, Product: 1, At: at, Amount: 1}.Validate(now) }, "at"},
		{"water change", func(at time.Time) error { return WaterChange{System: 1, At: at, Litres: 1, Share: 1}.Validate(now) }, "at"},
		{"note", func(at time.Time) error { return Observation{System: 1, At: at, Text: "x"}.Validate(now) }, "at"},
	} {
		t.Run(d.what, func(t *testing.T) {
			wantFaults(t, d.err(now.Add(5*time.Minute)), "")
			wantFaults(t, d.err(now.Add(5*time.Minute+time.Second)), d.field)
		})
	}
}

// What cannot be is refused at both ends of the catalogue's range, and the ends
// themselves are not.
func TestReadingAtTheEndsOfItsRange(t *testing.T) {
	for _, c := range []struct {
		name      string
		a         chem.Analyte
		low, high float64
	}{
		{"pH", chem.PH, 3, 11},
		{"temperature", chem.Temperature, -2, 45},
		{"salinity, fresh to brine", chem.Salinity, 0, 42},
		{"calcium", chem.Calcium, 0, 1500},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := Reading{System: 1, Analyte: c.a, At: now}
			for v, fields := range map[float64]string{
				c.low: "", c.high: "", c.low - 0.1: "value", c.high + 0.1: "value", math.Inf(-1): "value",
			} {
				r.Value = v
				wantFaults(t, r.Validate(now), fields)
			}
		})
	}
}

// Laboratories report pH on the total scale; what is set with buffers reads on
// the NBS scale.
func TestPHScaleOfEachKind(t *testing.T) {
	for _, k := range MethodKinds() {
		want := seawater.NBSScale
		if k == Lab {
			want = seawater.TotalScale
		}
		if got := (Method{Kind: k}).PHScale(); got != want {
			t.Errorf("a %v reads on the %v scale, want %v", k, got, want)
		}
	}
}
