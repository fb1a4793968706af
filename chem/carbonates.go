package chem

import (
	"maps"
	"math"

	"weirkeeper/assets/words"
	"weirkeeper/chem/seawater"
)

// Carbonates is the carbon dioxide system of a water, for a litre at 25 °C.
type Carbonates struct {
	PH             float64          // on Scale
	Scale          seawater.PHScale // in fresh water always the NBS scale
	Alkalinity     float64          // meq/L
	DIC, HCO3, CO3 float64          // mmol/L
	CO2            float64          // mg/L of free carbon dioxide
	PCO2           float64          // µatm: the air that the water would be in balance with
	// OmegaAragonite and OmegaCalcite are saturation states; of a fresh water
	// whose calcium is not known they are NaN.
	OmegaAragonite, OmegaCalcite float64
	// Equations names the constants that were used.
	Equations string
}

// SaturationIndex returns log10 of the saturation state of calcite: in fresh
// water the Langelier index. Above zero calcite can form, below it dissolves.
func (c Carbonates) SaturationIndex() float64 { return math.Log10(c.OmegaCalcite) }

// AirPCO2 is the partial pressure of carbon dioxide in outdoor air in µatm: the
// yearly mean at Mauna Loa was 425 ppm in 2024 (NOAA, from memory). Air in a closed room often
// has twice as much.
const AirPCO2 = 425

const (
	// brackishSalinity is where the equations of seawater take over from those
	// of fresh water, seaSalinity where K1 and K2 of Lueker et al. 2000 hold, in
	// PSU.
	brackishSalinity = 5
	seaSalinity      = 19

	freshEquations = "Plummer and Busenberg 1982"
)

var (
	molCO2 = molarMass("CO2")
	molNH3 = molarMass("NH3")
)

// salinity returns the salinity, or what the conductivity says of it.
func (a Analysis) salinity() (float64, error) {
	if s, ok := a[Salinity]; ok {
		return s, nil
	}
	if ec, ok := a[Conductivity]; ok {
		return seawater.SalinityFromConductivity(ec/1000, 25)
	}
	return 0, &MissingError{For: "this", Missing: []Analyte{Salinity}}
}

// fresh returns the conditions of a fresh water. Its ionic strength comes from
// the conductivity, or else from the salinity.
func (a Analysis) fresh(s float64) (seawater.Fresh, error) {
	f := seawater.Fresh{Temperature: a[Temperature], Calcium: a[Calcium] / speciesMass[Calcium]}
	ec, known := a[Conductivity]
	if !known {
		f.IonicStrength = 1000 * 19.924 * s / (1000 - 1.005*s)
		return f, nil
	}
	var err error
	f.IonicStrength, err = seawater.IonicStrengthFromConductivity(ec)
	return f, err
}

// sea returns the conditions of a brackish or sea water and its density at 25
// °C in kg/L.
func (a Analysis) sea(s float64) (seawater.Conditions, float64, error) {
	rho, err := WaterOf(s).density()
	if err != nil {
		return seawater.Conditions{}, 0, err
	}
	micro := func(x Analyte) float64 { return a[x] / speciesMass[x] * 1000 / rho }
	c := seawater.Conditions{
		Salinity: s, Temperature: a[Temperature],
		Calcium: micro(Calcium), Phosphate: micro(Phosphate), Silicate: micro(Silicate),
	}
	if s < seaSalinity {
		c.Set = seawater.SetEstuary
	}
	return c, rho, nil
}

// solve runs the equations that hold at the analysis's salinity. alk is
// µmol/kg in the sea and meq/L in fresh water.
func (a Analysis) solve(scale seawater.PHScale, sea func(c seawater.Conditions, alk, rho float64) (seawater.CO2System, error),
	fresh func(f seawater.Fresh, alk float64) (seawater.FreshCO2, error)) (Carbonates, error) {
	if err := a.need("the carbon dioxide system", Alkalinity, Temperature); err != nil {
		return Carbonates{}, err
	}
	s, err := a.salinity()
	if err != nil {
		return Carbonates{}, err
	}
	if s < brackishSalinity {
		f, err := a.fresh(s)
		if err != nil {
			return Carbonates{}, err
		}
		solved, err := fresh(f, a[Alkalinity])
		if err != nil {
			return Carbonates{}, err
		}
		return fromFresh(solved, f.Calcium > 0), nil
	}
	c, rho, err := a.sea(s)
	if err != nil {
		return Carbonates{}, err
	}
	solved, err := sea(c, a[Alkalinity]*1000/rho, rho)
	if err != nil {
		return Carbonates{}, err
	}
	return fromSea(solved, c.Set, rho, scale)
}

func fromFresh(f seawater.FreshCO2, calcium bool) Carbonates {
	c := Carbonates{
		PH: f.PH, Scale: seawater.NBSScale, Alkalinity: f.Alkalinity, DIC: f.DIC, HCO3: f.HCO3, CO3: f.CO3,
		CO2: f.CO2 * molCO2, PCO2: f.PCO2, OmegaAragonite: f.OmegaAragonite, OmegaCalcite: f.OmegaCalcite, Equations: freshEquations,
	}
	if !calcium {
		c.OmegaAragonite, c.OmegaCalcite = none, none
	}
	return c
}

func fromSea(s seawater.CO2System, set seawater.Set, rho float64, scale seawater.PHScale) (Carbonates, error) {
	pH, err := s.PHOn(scale)
	if err != nil {
		return Carbonates{}, err
	}
	milli := rho / 1000 // mmol/L in a µmol/kg
	return Carbonates{
		PH: pH, Scale: scale, Alkalinity: s.Alkalinity * milli, DIC: s.DIC * milli, HCO3: s.HCO3 * milli, CO3: s.CO3 * milli,
		CO2: s.CO2 * milli * molCO2, PCO2: s.PCO2, OmegaAragonite: s.OmegaAragonite, OmegaCalcite: s.OmegaCalcite, Equations: set.String(),
	}, nil
}

// Carbonates solves the carbon dioxide system from alkalinity, pH on the given
// scale, temperature and salinity (or conductivity). Calcium, phosphate and
// silicate count where they are known; without calcium, brackish and sea water
// is taken to have that of its salinity. The equations are those of fresh water
// below 5 PSU, of estuaries up to 19 and of the sea above. The error is a
// *MissingError or a [RangeError].
func (a Analysis) Carbonates(scale seawater.PHScale) (Carbonates, error) {
	if err := a.need("the carbon dioxide system", PH); err != nil {
		return Carbonates{}, err
	}
	return a.solve(scale, func(c seawater.Conditions, alk, _ float64) (seawater.CO2System, error) {
		return c.FromPH(alk, a[PH], scale)
	}, func(f seawater.Fresh, alk float64) (seawater.FreshCO2, error) {
		return f.FromPH(alk, a[PH])
	})
}

// CarbonatesOfDIC solves the system as [Analysis.Carbonates] does, from
// dissolved inorganic carbon in mmol/L in place of pH.
func (a Analysis) CarbonatesOfDIC(dic float64, scale seawater.PHScale) (Carbonates, error) {
	return a.solve(scale, func(c seawater.Conditions, alk, rho float64) (seawater.CO2System, error) {
		return c.FromDIC(alk, dic*1000/rho)
	}, func(f seawater.Fresh, alk float64) (seawater.FreshCO2, error) {
		return f.FromDIC(alk, dic)
	})
}

// CarbonatesInAir solves the system as [Analysis.Carbonates] does, for water in
// balance with air of a partial pressure of carbon dioxide in µatm in place of
// pH.
func (a Analysis) CarbonatesInAir(pCO2 float64, scale seawater.PHScale) (Carbonates, error) {
	return a.solve(scale, func(c seawater.Conditions, alk, _ float64) (seawater.CO2System, error) {
		return c.FromPCO2(alk, pCO2)
	}, func(f seawater.Fresh, alk float64) (seawater.FreshCO2, error) {
		return f.FromPCO2(alk, pCO2)
	})
}

// ErrCarbon is returned for a product whose label gives alkalinity without the
// compounds that it comes from.
var ErrCarbon = words.New("whether its alkalinity is bicarbonate, carbonate or hydroxide is not known: give its compounds")

// AlkalinityDose is what a dose adds to each litre that bears on pH: of an acid
// alkalinity is below zero.
type AlkalinityDose struct {
	Alkalinity float64 // meq/L
	Carbon     float64 // mmol/L of inorganic carbon
	Calcium    float64 // mg/L
}

// AlkalinityDose returns what an amount of the product adds to litres of water,
// both above zero. The error wraps [ErrVolume] or [ErrCarbon], is a
// [RangeError], or says what is wrong in the product's description.
func (p Product) AlkalinityDose(amount, litres float64) (AlkalinityDose, error) {
	if err := checkLitres("a dose for", litres); err != nil {
		return AlkalinityDose{}, err
	}
	if err := checkNumber("amount", amount); err != nil {
		return AlkalinityDose{}, err
	}
	effects, err := p.Effects()
	if err != nil {
		return AlkalinityDose{}, err
	}
	var carbon, alkalinity float64 // mmol and meq in a unit of the product
	for _, in := range p.Ingredients {
		c, _ := Compound(in.Compound)
		mmol := 1000 * in.Amount / c.Formula.MolarMass()
		if p.Form == Liquid {
			mmol /= 1000
		}
		carbon += mmol * c.CarbonPerMol
		alkalinity += mmol * c.AlkPerMol
	}
	switch said := effects[Alkalinity]; {
	case said == alkalinity:
	case alkalinity == 0:
		return AlkalinityDose{}, ErrCarbon
	default: // the label's strength wins, in the ingredients' proportions
		carbon *= said / alkalinity
	}
	per := amount / litres
	return AlkalinityDose{Alkalinity: effects[Alkalinity] * per, Carbon: carbon * per, Calcium: effects[Calcium] * per}, nil
}

// Response is what a dose of alkalinity or acid does to a water.
type Response struct {
	Before Carbonates
	AtOnce Carbonates // mixed in, before any exchange with air
	Aired  Carbonates // in balance with air
}

// Response returns the carbon dioxide system before a dose, right after it,
// when no carbon has come or gone but the dose's own, and in balance with air
// of pCO2 in µatm, such as [AirPCO2]. A dose of hydroxide or acid leaves DIC as
// it is; bicarbonate lowers a high pH a little and raises it as the water
// airs. No precipitation is counted: where aragonite's saturation passes some
// 10, carbonate may fall out (common practice, no source). The error is a
// *MissingError or a [RangeError].
func (a Analysis) Response(d AlkalinityDose, pCO2 float64, scale seawater.PHScale) (Response, error) {
	var r Response
	var err error
	if r.Before, err = a.Carbonates(scale); err != nil {
		return Response{}, err
	}
	dosed := maps.Clone(a)
	dosed[Alkalinity] += d.Alkalinity
	if _, known := a[Calcium]; known {
		dosed[Calcium] += d.Calcium
	}
	if r.AtOnce, err = dosed.CarbonatesOfDIC(r.Before.DIC+d.Carbon, scale); err != nil {
		return Response{}, words.Errorf("right after the dose: %w", err)
	}
	if r.Aired, err = dosed.CarbonatesInAir(pCO2, scale); err != nil {
		return Response{}, words.Errorf("in balance with air: %w", err)
	}
	return r, nil
}
