package chem

import "weirkeeper/chem/seawater"

// Unionized is how much of the ammonia is NH3, the form that harms fish.
type Unionized struct {
	Share float64 // of total ammonia, 0 to 1
	MgL   float64 // mg/L NH3
}

// UnionizedAmmonia returns the NH3 of an analysis from total ammonia, pH on the
// given scale, temperature and salinity (or conductivity): Emerson et al. 1975
// below 5 PSU, where pH is taken as on the NBS scale, Clegg and Whitfield 1995
// above. The error is a *MissingError or a [RangeError].
func (a Analysis) UnionizedAmmonia(scale seawater.PHScale) (Unionized, error) {
	if err := a.need("un-ionised ammonia", Ammonia, PH, Temperature); err != nil {
		return Unionized{}, err
	}
	if err := plausible(Ammonia, a[Ammonia]); err != nil {
		return Unionized{}, err
	}
	s, err := a.salinity()
	if err != nil {
		return Unionized{}, err
	}
	var share float64
	if s < brackishSalinity {
		share, err = seawater.UnionizedFresh(a[Temperature], a[PH])
	} else {
		share, err = a.unionizedSea(s, scale)
	}
	if err != nil {
		return Unionized{}, err
	}
	return Unionized{share, share * a[Ammonia] / speciesMass[Ammonia] * molNH3}, nil
}

func (a Analysis) unionizedSea(s float64, scale seawater.PHScale) (float64, error) {
	c, _, err := a.sea(s)
	if err != nil {
		return 0, err
	}
	e, err := c.Equilibria()
	if err != nil {
		return 0, err
	}
	pH, err := e.ConvertPH(a[PH], scale, seawater.TotalScale)
	if err != nil {
		return 0, err
	}
	return seawater.UnionizedSeawater(s, a[Temperature], pH)
}

// OxygenSaturation returns the oxygen of an analysis as a percentage of what
// the water would hold in balance with air of a barometric pressure in atm, by
// temperature and salinity (or conductivity): Benson and Krause 1984. The error
// is a *MissingError or a [RangeError].
func (a Analysis) OxygenSaturation(pressure float64) (float64, error) {
	if err := a.need("oxygen saturation", Oxygen, Temperature); err != nil {
		return 0, err
	}
	s, err := a.salinity()
	if err != nil {
		return 0, err
	}
	return seawater.OxygenSaturation(a[Oxygen], s, a[Temperature], pressure)
}
