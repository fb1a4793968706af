package tanks

import (
	"testing"

	"weirkeeper/chem"
	"weirkeeper/chem/seawater"
)

// At 1000 m the standard atmosphere (ISO 2533:1975) has 0.887 atm; at the sea, and where
// no height is said, nothing is said of it. The set and the scale are passed on.
func TestConventions(t *testing.T) {
	r := Room{Constants: seawater.SetLee, Height: HeightOf(1000)}
	c := r.Conventions(seawater.NBSScale)
	if c.Set != seawater.SetLee || c.Scale != seawater.NBSScale {
		t.Errorf("by %+v", c)
	}
	near(t, "pressure at 1000 m", c.Pressure, 0.887, 0.0005)
	// 577.28 hPa at 4500 m (ISO 2533:1975, from memory).
	near(t, "pressure at 4500 m", Room{Height: HeightOf(4500)}.Conventions(seawater.TotalScale).Pressure, 577.28/1013.25, 0.0005)
	for _, r := range []Room{{}, {Height: HeightOf(0)}} {
		if c := r.Conventions(seawater.TotalScale); c != (chem.Conventions{}) {
			t.Errorf("by the sea: %+v", c)
		}
	}
}
