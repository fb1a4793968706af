package chem

import "weirkeeper/chem/seawater"

// Unionized is how much of the ammonia is NH3, the form that harms fish.
type Unionized struct {
	Share float64 // of total ammonia, 0 to 1
	MgL   float64 // mg/L NH3
	// Doubt is how far the two models of a bridge leave MgL in doubt, Scale what the
	// step between scales of pH is good to, in pH.
	Doubt, Scale float64
}

// UnionizedAmmonia returns the NH3 of an analysis from total ammonia, pH,
// temperature and salinity (or conductivity), by [seawater.Water.UnionizedAmmonia].
// The error is a *MissingError or a [RangeError].
func (a Analysis) UnionizedAmmonia(by Conventions) (Unionized, error) {
	if err := a.need("un-ionised ammonia", Ammonia, PH, Temperature); err != nil {
		return Unionized{}, err
	}
	if err := plausible(Ammonia, a[Ammonia]); err != nil {
		return Unionized{}, err
	}
	w, _, err := a.water(by)
	if err != nil {
		return Unionized{}, err
	}
	share, doubt, err := w.UnionizedAmmonia(a[PH], by.Scale)
	if err != nil {
		return Unionized{}, err
	}
	step, err := w.ScaleDoubt(by.Scale)
	if err != nil {
		return Unionized{}, err
	}
	perShare := a[Ammonia] / speciesMass[Ammonia] * molNH3
	return Unionized{Share: share, MgL: share * perShare, Doubt: doubt * perShare, Scale: step}, nil
}

// OxygenSaturation returns the oxygen of an analysis as a percentage of what
// the water would hold in balance with air of the barometric pressure, by
// temperature and salinity (or conductivity): Benson and Krause 1984. The error
// is a *MissingError or a [RangeError].
func (a Analysis) OxygenSaturation(by Conventions) (float64, error) {
	if err := a.need("oxygen saturation", Oxygen, Temperature); err != nil {
		return 0, err
	}
	s, err := a.salinity()
	if err != nil {
		return 0, err
	}
	return seawater.OxygenSaturation(a[Oxygen], s, a[Temperature], by.pressure())
}
