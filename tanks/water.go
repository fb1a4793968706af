package tanks

import (
	"weirkeeper/chem"
	"weirkeeper/chem/seawater"
)

// Water returns what the system's newest readings, given by analyte, tell of its
// water: the salinity that was measured, else the one that the conductivity
// tells, else none in fresh water. Of salt water and of a source the salinity is
// not known without a reading; a bound, such as <5, is none.
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
	if s.Kind == Freshwater {
		return chem.WaterOf(0)
	}
	return chem.Water{}
}
