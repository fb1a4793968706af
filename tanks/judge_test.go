package tanks

import (
	"math"
	"strconv"
	"testing"
	"time"

	"pgregory.net/rapid"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
)

// GUM, JCGM 100:2008, 4.3.7: a rectangular ±a has the standard uncertainty
// a/√3; F.2.2.1: a resolution δ has δ/√12.
func TestTruenessAndScatter(t *testing.T) {
	for _, c := range []struct {
		name              string
		m                 Method
		v                 float64
		trueness, scatter float64
		assumed           bool
	}{
		{"absolute", Method{Accuracy: 6, Repeatability: 2}, 420, 6 / math.Sqrt(3), 2, false},
		{"share", Method{AccuracyShare: 0.05, Repeatability: 2}, 420, 21 / math.Sqrt(3), 2, false},
		{"both", Method{Accuracy: 3, AccuracyShare: 0.01, Repeatability: 2}, 400, 5 / math.Sqrt(3), 2, false},
		{"resolution adds", Method{Accuracy: 6, Repeatability: 2, Resolution: 6}, 420, 6 / math.Sqrt(3), math.Sqrt(7), false},
		{"half of the trueness", Method{Accuracy: 6}, 420, 6 / math.Sqrt(3), 3 / math.Sqrt(3), true},
		{"nothing stated", Method{Analyte: chem.Calcium}, 420, 21, 10.5, true},
		{"pH", Method{Analyte: chem.PH}, 8.2, 0.1, 0.05, true},
		{"temperature", Method{Analyte: chem.Temperature}, 25, 0.5, 0.25, true},
		{"salinity", Method{Analyte: chem.Salinity}, 35, 1, 0.5, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			near(t, "trueness", c.m.Trueness(c.v), c.trueness, 1e-12)
			s, assumed := c.m.Scatter(c.v)
			near(t, "scatter", s, c.scatter, 1e-12)
			if assumed != c.assumed {
				t.Errorf("assumed %v", assumed)
			}
		})
	}
}

func TestEstimateOf(t *testing.T) {
	r := Reading{Analyte: chem.Calcium, At: now, Value: 420}
	stated := Method{Name: "drops", Accuracy: 6, Repeatability: 2}
	for _, c := range []struct {
		name     string
		limit    Limit
		m        Method
		value, u float64
		assumed  string
	}{
		{"stated", Exact, stated, 420, 4, ""},
		{"no method", Exact, Method{}, 420, math.Hypot(21, 10.5), "no method named: 5 % assumed, common practice, no source"},
		{"no accuracy", Exact, Method{Name: "strip"}, 420, math.Hypot(21, 10.5),
			"strip states no accuracy: 5 % assumed, common practice, no source"},
		{"no repeatability", Exact, Method{Name: "drops", Accuracy: 6}, 420, math.Sqrt(15),
			"drops states no repeatability: half of its trueness assumed"},
		{"below", Below, stated, 210, 420 / (2 * math.Sqrt(3)), ""},
		{"above", Above, stated, 420, 0, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			r.Limit = c.limit
			e := EstimateOf(r, c.m)
			near(t, "value", e.Value, c.value, 1e-12)
			near(t, "uncertainty", e.Uncertainty, c.u, 1e-12)
			near(t, "parts", math.Hypot(e.Scatter, e.Trueness), e.Uncertainty, 1e-12)
			if e.Assumed.String() != c.assumed || e.From != "reading" || e.N != 1 || !e.At.Equal(now) || e.Limit != c.limit {
				t.Errorf("%+v", e)
			}
		})
	}
	for a, want := range map[chem.Analyte]string{chem.PH: "0.1 pH", chem.Temperature: "0.5 °C", chem.Salinity: "1 PSU"} {
		e := EstimateOf(Reading{Analyte: a, Value: 8}, Method{})
		if e.Assumed.String() != "no method named: "+want+" assumed, common practice, no source" {
			t.Errorf("%q", e.Assumed)
		}
	}
}

func TestJudge(t *testing.T) {
	band := Band{Low: 400, Aim: 420, High: 450, TestEvery: 96 * time.Hour}
	major := with(band, func(b *Band) { b.AtSalinity = 35 })
	old := func(h float64) time.Time { return now.Add(-time.Duration(h * float64(time.Hour))) }
	for _, c := range []struct {
		name string
		e    Estimate
		b    Band
		w    chem.Water
		want string
	}{
		{"well within", Estimate{Value: 425, Uncertainty: 5, At: now}, band, chem.Water{}, "within, firm"},
		{"well below", Estimate{Value: 380, Uncertainty: 10, At: now}, band, chem.Water{}, "below, firm"},
		{"likely below", Estimate{Value: 390, Uncertainty: 10, At: now}, band, chem.Water{}, "below, likely"},
		{"likely above", Estimate{Value: 460, Uncertainty: 10, At: now}, band, chem.Water{}, "above, likely"},
		{"at the edge", Estimate{Value: 401, Uncertainty: 10, At: now}, band, chem.Water{}, "within, unsure"},
		{"no uncertainty, on the low edge", Estimate{Value: 400, At: now}, band, chem.Water{}, "within, firm"},
		{"no uncertainty, on the high edge", Estimate{Value: 450, At: now}, band, chem.Water{}, "within, firm"},
		{"no uncertainty, over it", Estimate{Value: 450.1, At: now}, band, chem.Water{}, "above, firm"},
		{"within grace", Estimate{Value: 425, Uncertainty: 5, At: old(143)}, band, chem.Water{}, "within, firm"},
		{"stale", Estimate{Value: 425, Uncertainty: 5, At: old(145)}, band, chem.Water{}, "within, firm, stale"},
		{"no edges", Estimate{Value: 425, Uncertainty: 5, At: now}, Band{TestEvery: time.Hour}, chem.Water{}, "none"},
		{"no edges, stale", Estimate{Value: 425, At: old(26)}, Band{TestEvery: time.Hour}, chem.Water{}, "none, stale"},
		{"not a number", Estimate{Value: math.NaN(), At: now}, band, chem.Water{}, "none"},
		{"scaled to the band's salinity", Estimate{Value: 385, Uncertainty: 5, At: now}, major, chem.WaterOf(31.5), "within, firm"},
		{"salinity unknown", Estimate{Value: 385, Uncertainty: 5, At: now}, major, chem.Water{}, "below, firm"},
		{"of a salinity of zero", Estimate{Value: 385, Uncertainty: 5, At: now}, major, chem.WaterOf(0), "below, firm"},
		{"of fresh water with a trace of salt", Estimate{Value: 425, Uncertainty: 5, At: now}, major, chem.WaterOf(0.4), "within, firm"},
		{"band without salinity", Estimate{Value: 385, Uncertainty: 5, At: now}, band, chem.WaterOf(31.5), "below, firm"},
		{"below the limit, band over it", Estimate{Value: 0.01, Limit: Below, At: now}, Band{Low: 0.03, High: 0.1}, chem.Water{},
			"below, firm"},
		{"below the limit, band from zero", Estimate{Value: 0.01, Limit: Below, At: now}, Band{High: 0.1}, chem.Water{}, "within, firm"},
		{"below the limit, edge at 1/4", Estimate{Value: 0.01, Limit: Below, At: now}, Band{Low: 0.005, High: 0.1}, chem.Water{},
			"within, likely"},
		{"below the limit, edge at 1/2", Estimate{Value: 0.01, Limit: Below, At: now}, Band{Low: 0.011, High: 0.1}, chem.Water{},
			"below, unsure"},
		{"below the limit, narrow low band", Estimate{Value: 0.05, Limit: Below, At: now}, Band{High: 0.03}, chem.Water{}, "above, likely"},
		{"above range, over the band", Estimate{Value: 450, Limit: Above, At: now}, band, chem.Water{}, "above, firm"},
		{"above range, in the band", Estimate{Value: 420, Limit: Above, At: now}, band, chem.Water{}, "above, unsure"},
		{"above range, under the band", Estimate{Value: 300, Limit: Above, At: now}, band, chem.Water{}, "none"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := Judge(c.e, c.b, c.w, now).String(); got != c.want {
				t.Errorf("%s, want %s", got, c.want)
			}
		})
	}
}

// JCGM 106:2012, 7.3.3: Φ at the tolerance limits; Φ(−1) = 0.158655 and
// Φ(1.644854) = 0.95 are tabulated values.
func TestJudgeProbabilities(t *testing.T) {
	v := Judge(Estimate{Value: 410, Uncertainty: 10, At: now}, Band{Low: 400, High: 420}, chem.Water{}, now)
	near(t, "below", v.PBelow, 0.158655, 1e-6)
	near(t, "above", v.PAbove, 0.158655, 1e-6)
	near(t, "within", v.PWithin, 0.682690, 2e-6)
	v = Judge(Estimate{Value: 400 - 16.44854, Uncertainty: 10, At: now}, Band{Low: 400, High: 4000}, chem.Water{}, now)
	near(t, "below", v.PBelow, 0.95, 1e-6)
	v = Judge(Estimate{Value: 351, Uncertainty: 9, At: now}, Band{Low: 400, High: 420, AtSalinity: 35}, chem.WaterOf(31.5), now)
	near(t, "scaled to 390 ± 10", v.PBelow, 0.841345, 1e-6)
	near(t, "salinity", v.AtSalinity, 35, 0)
}

func TestJudgeLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		low := draw("low", 0, 100)
		b := Band{Low: low, High: low + draw("width", 0.1, 50)}
		e := Estimate{Value: draw("value", 0, 200), Uncertainty: draw("u", 0, 30), At: now,
			Limit: rapid.SampledFrom([]Limit{Exact, Below}).Draw(t, "limit")}
		v := Judge(e, b, chem.Water{}, now)
		if sum := v.PBelow + v.PWithin + v.PAbove; math.Abs(sum-1) > 1e-9 || v.PBelow < 0 || v.PAbove < 0 {
			t.Fatalf("%g + %g + %g", v.PBelow, v.PWithin, v.PAbove)
		}
		e.Value++
		if up := Judge(e, b, chem.Water{}, now); up.PBelow > v.PBelow+1e-12 || up.PAbove < v.PAbove-1e-12 {
			t.Fatalf("a higher value is more probably below: %v then %v", v, up)
		}
	})
}

func show(v float64) words.Text { return words.Text(strconv.FormatFloat(v, 'f', 2, 64)) }

func asItIs(v float64) (float64, error) { return v, nil }

// A slip happens in the unit that is typed in: 5.3 for 53.0 mS/cm is 2.9 PSU, and ten
// times those are no 35. What the unit cannot turn into a value is no slip.
func TestSlipIsOfTheTypedNumber(t *testing.T) {
	in := func(mS float64) (float64, error) {
		return chem.Convert(chem.Salinity, mS, chem.MilliSiemens, chem.PSU, chem.Water{})
	}
	typed, err := in(5.3)
	if err != nil {
		t.Fatal(err)
	}
	f := Surprise(typed, 0.1, Expectation{35, 0.4}, 5.3, in)
	if !f.Surprising || f.Places != 1 || math.Abs(f.Slip-34.95) > 0.05 {
		t.Errorf("%+v", f)
	}
	if f := Surprise(typed, 0.1, Expectation{35, 0.4}, typed, asItIs); f.Places != 0 {
		t.Errorf("in PSU it would be a slip: %+v", f)
	}
}

func TestSurprise(t *testing.T) {
	e := Expectation{0.11, 0.03}
	for _, c := range []struct {
		name     string
		typed, u float64
		e        Expectation
		places   int
		sentence string
	}{
		{"as expected", 0.12, 0.01, e, 0, ""},
		{"high, not yet a surprise", 0.21, 0.005, e, 0, ""},
		{"ten times", 1.2, 0.06, e, -1, "Expected 0.11 ± 0.03. A slip of the decimal point would give 0.12."},
		{"a tenth", 0.83, 0.02, Expectation{8.2, 0.2}, 1, "Expected 8.20 ± 0.20. A slip of the decimal point would give 8.30."},
		{"hundred times", 820, 8, Expectation{8.2, 0.2}, -2, "Expected 8.20 ± 0.20. A slip of the decimal point would give 8.20."},
		{"a thousand times", 1026, 1, Expectation{1.025, 0.001}, -3, "Expected 1.02 ± 0.00. A slip of the decimal point would give 1.03."},
		{"nearest of several slips", 1, 0, Expectation{0.05, 0.05}, -2,
			"Expected 0.05 ± 0.05. A slip of the decimal point would give 0.01."},
		{"no slip fits", 0.4, 0.02, e, 0, "Expected 0.11 ± 0.03."},
		{"zero", 0, 0.02, Expectation{8.2, 0.2}, 0, "Expected 8.20 ± 0.20."},
		{"nothing to go by", 5, 0, Expectation{8, 0}, 0, ""},
		{"not a number", math.NaN(), 1, e, 0, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := Surprise(c.typed, c.u, c.e, c.typed, asItIs)
			if f.Surprising != (c.sentence != "") || f.Places != c.places || f.Sentence(show).String() != c.sentence {
				t.Errorf("%+v: %q", f, f.Sentence(show))
			}
		})
	}
}

func TestExpect(t *testing.T) {
	e, ok := Expect([]float64{8.1, 9.9, 8.3, 8.2}, 0.05)
	near(t, "value", e.Value, 8.25, 1e-12)
	near(t, "spread", e.Uncertainty, 1.4826*0.1*math.Sqrt(1.25), 1e-9)
	if !ok {
		t.Error("four values are enough")
	}
	e, ok = Expect([]float64{8, 8, 8}, 0.3)
	near(t, "scatter of the method", e.Uncertainty, 0.3*math.Sqrt(4.0/3), 1e-12)
	if !ok {
		t.Error("three values are enough")
	}
	if _, ok = Expect([]float64{8, 8}, 0.3); ok {
		t.Error("two values are not enough")
	}
	if got := (Estimate{Value: 8, Uncertainty: 0.2}).Expectation(); got != (Expectation{8, 0.2}) {
		t.Errorf("%v", got)
	}
}
