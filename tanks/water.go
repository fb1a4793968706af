package tanks

import (
	"time"

	"weirkeeper/chem"
	"weirkeeper/chem/seawater"
)

// Water returns what the system's newest readings, given by analyte, tell of its
// water: the salinity that was measured, else the one that the conductivity
// tells, else none in fresh water and in a purified source. Of salt water and of other
// sources the salinity is not known without a reading; a bound, such as <5, is none.
func (s System) Water(newest func(chem.Analyte) (Reading, bool)) chem.Water {
	if r, ok := newest(chem.Salinity); ok && r.Limit == Exact {
		return chem.WaterOf(r.Value)
	}
	if r, ok := newest(chem.Conductivity); ok && r.Limit == Exact {
		const microInMilli = 1000
		if psu, err := seawater.SalinityFromConductivity(r.Value/microInMilli, 25); err == nil {
			return chem.WaterOf(psu)
		}
	}
	if s.Kind == Freshwater || s.Purified {
		return chem.WaterOf(0)
	}
	return chem.Water{}
}

// sameWater is how far in time from a reading the temperature of its water may have been
// measured.
const sameWater = 24 * time.Hour

// WaterAt is Water with what a share of saturation goes by besides: the temperature that
// was measured within a day of a time, and the air of the room.
func (s System) WaterAt(at time.Time, in Room, newest func(chem.Analyte) (Reading, bool)) chem.Water {
	w := s.Water(newest)
	if t, ok := newest(chem.Temperature); ok && t.Limit == Exact && t.At.Sub(at).Abs() <= sameWater {
		w = w.Under(t.Value, in.pressure())
	}
	return w
}
