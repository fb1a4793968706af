package tanks

import (
	"math"
	"testing"
	"time"

	"weirkeeper/chem"
)

// Unknown and zero are two things: of a salt water without a reading nothing is
// known, fresh water has none.
func TestWaterOfASystem(t *testing.T) {
	salinity := func(v float64, l Limit) Reading { return Reading{Analyte: chem.Salinity, Value: v, Limit: l} }
	conductivity := func(v float64) Reading { return Reading{Analyte: chem.Conductivity, Value: v} }
	cases := map[string]struct {
		kind     Kind
		newest   []Reading
		psu      float64
		unknown  bool
		purified bool
	}{
		"marine, measured":           {Marine, []Reading{salinity(34.2, Exact)}, 34.2, false, false},
		"marine, never measured":     {Marine, nil, 0, true, false},
		"brackish, never measured":   {Brackish, nil, 0, true, false},
		"fresh, never measured":      {Freshwater, nil, 0, false, false},
		"fresh, with a little salt":  {Freshwater, []Reading{salinity(1.5, Exact)}, 1.5, false, false},
		"a source, never measured":   {Source, nil, 0, true, false},
		"a source, measured as none": {Source, []Reading{salinity(0, Exact)}, 0, false, false},
		"a source, under the meter":  {Source, []Reading{salinity(1, Below)}, 0, true, false},
		"a purified source":          {kind: Source, purified: true},
		"a purified one, measured":   {Source, []Reading{salinity(0.1, Exact)}, 0.1, false, true},
		"fresh, under the meter":     {Freshwater, []Reading{salinity(1, Below)}, 0, false, false},
		"marine, over the meter":     {Marine, []Reading{salinity(40, Above)}, 0, true, false},
		// PSS-78: 42.914 mS/cm at 15 °C, 53.065 at 25
		"by conductivity":               {Marine, []Reading{conductivity(53065)}, 35, false, false},
		"salinity before conductivity":  {Marine, []Reading{conductivity(53065), salinity(30, Exact)}, 30, false, false},
		"fresh, beyond what conducts":   {Freshwater, []Reading{conductivity(90000)}, 0, false, false},
		"marine, beyond what conducts":  {Marine, []Reading{conductivity(90000)}, 0, true, false},
		"fresh, by a low conductivity":  {Freshwater, []Reading{conductivity(0)}, 0, false, false},
		"brackish, by its conductivity": {Brackish, []Reading{conductivity(17600)}, 10.4, false, false},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			water := System{Kind: c.kind, Purified: c.purified}.Water(func(a chem.Analyte) (r Reading, ok bool) {
				for _, n := range c.newest {
					if n.Analyte == a {
						r, ok = n, true
					}
				}
				return r, ok
			})
			psu, known := water.Salinity()
			if known == c.unknown || math.Abs(psu-c.psu) > 0.05 {
				t.Errorf("%g PSU, known %v", psu, known)
			}
		})
	}
}

// What the water can hold of oxygen goes by a temperature within a day before or after,
// and the air of the room: 100 % at 20 °C are 9.092 mg/L in fresh water (APHA Standard
// Methods, table 4500-O:I), 0.8307 times as much at 1500 m.
func TestWaterAtATime(t *testing.T) {
	at := now
	for name, c := range map[string]struct {
		warmth Reading
		room   Room
		want   float64 // zero: the temperature is missing
	}{
		"at once":          {Reading{At: at, Value: 20}, Room{}, 9.092},
		"a day before":     {Reading{At: at.Add(-24 * time.Hour), Value: 20}, Room{}, 9.092},
		"a day after":      {Reading{At: at.Add(24 * time.Hour), Value: 20}, Room{}, 9.092},
		"longer ago":       {Reading{At: at.Add(-24*time.Hour - time.Second), Value: 20}, Room{}, 0},
		"longer after":     {Reading{At: at.Add(24*time.Hour + time.Second), Value: 20}, Room{}, 0},
		"over the meter":   {Reading{At: at, Value: 20, Limit: Above}, Room{}, 0},
		"in the mountains": {Reading{At: at, Value: 20}, Room{Height: HeightOf(1500)}, 9.092 * 0.8307},
	} {
		w := System{Kind: Freshwater}.WaterAt(at, c.room, func(a chem.Analyte) (Reading, bool) { return c.warmth, a == chem.Temperature })
		v, err := ReadTyped(Typed{Analyte: chem.Oxygen, Text: "100 %", Unit: chem.MgL, Water: w})
		if c.want == 0 {
			if err == nil ||
				err.Error() != "oxygen in % of saturation needs the water's temperature: measure it within a day of this value, "+
					"or give the value in mg/L" {
				t.Errorf("%s: %+v, %v", name, v, err)
			}
			continue
		}
		if err != nil || math.Abs(v.Canonical-c.want) > 0.01 || v.Typed != "100 %" || v.Unit != chem.Saturation {
			t.Errorf("%s: %+v, %v, want %g", name, v, err, c.want)
		}
	}
}

// The edges of a band scale with the salinity; a value scaled alike is judged
// alike, and what the band says of the speed of changes stays.
func TestBandInWater(t *testing.T) {
	b := Band{Low: 400, Aim: 420, High: 440, MaxRise: 20, AtSalinity: 35}
	in := b.In(chem.WaterOf(28))
	near(t, "low", in.Low, 320, 1e-9)
	near(t, "aim", in.Aim, 336, 1e-9)
	near(t, "high", in.High, 352, 1e-9)
	near(t, "safe change", in.MaxRise, 20, 0)
	near(t, "in the same water once more", in.In(chem.WaterOf(28)).Low, 320, 1e-9)
	for name, w := range map[string]chem.Water{"not known": {}, "zero": chem.WaterOf(0), "a trace": chem.WaterOf(0.49)} {
		if got := b.In(w); got != b {
			t.Errorf("%s: %+v", name, got)
		}
	}
	if b.AtSalinity = 0; b.In(chem.WaterOf(28)) != b {
		t.Error("a band of any salinity is scaled")
	}
}
