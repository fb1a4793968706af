package chem

import (
	"maps"
	"math"

	"weirkeeper/assets/words"
	"weirkeeper/chem/seawater"
)

// Conventions are what a computation goes by where there is a choice. The zero
// value takes pH on the total scale, the default set, and air at the sea's level.
type Conventions struct {
	Scale    seawater.PHScale // of pH, both given and found
	Set      seawater.Set     // constants and borate
	Pressure float64          // barometric, atm; zero: one
}

func (c Conventions) pressure() float64 {
	if c.Pressure == 0 {
		return 1
	}
	return c.Pressure
}

// Carbonates is the carbon dioxide system of a water, for a litre at 25 °C.
type Carbonates struct {
	PH             float64          // on Scale
	Scale          seawater.PHScale // that was asked for
	Alkalinity     float64          // meq/L
	DIC, HCO3, CO3 float64          // mmol/L, with what is bound in ion pairs
	CO2            float64          // mg/L of free carbon dioxide
	PCO2           float64          // µatm: the air that the water would be in balance with
	// OmegaAragonite and OmegaCalcite are saturation states; of water below 5 PSU
	// whose calcium is not known they are NaN.
	OmegaAragonite, OmegaCalcite float64
	// Equations names the constants that were used.
	Equations words.Text
	Doubt     CarbonateDoubt
}

// CarbonateDoubt is how far the equations themselves leave [Carbonates] in doubt, in
// their units: the two models of a bridge, and the step between scales of pH.
type CarbonateDoubt struct {
	PH, CO2, PCO2, OmegaAragonite, OmegaCalcite float64
	// Scale is what the step from the given pH to the scale of the constants is
	// good to, in pH; it is not in the others.
	Scale float64
}

// SaturationIndex returns log10 of the saturation state of calcite: in fresh
// water the Langelier index. Above zero calcite can form, below it dissolves;
// without any calcium it is minus infinity.
func (c Carbonates) SaturationIndex() float64 { return math.Log10(c.OmegaCalcite) }

// AirCO2 is the carbon dioxide of outdoor air when dry in ppm: the yearly mean at
// Mauna Loa was 425 ppm in 2024 (NOAA, from memory). Air in a closed room often has
// twice as much.
const AirCO2 = 425

// seaCalcium is the salinity in PSU from which calcium that was not measured is
// taken to be that of the sea.
const seaCalcium = 5

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

// ionicStrength returns the ionic strength that the measured ions tell, or else the
// conductivity; without them it follows from the salinity. perLitre is kg of water
// in a litre.
func (a Analysis) ionicStrength(perLitre float64) (seawater.Total, error) {
	const micro = 1e6
	if a.need("", majorIonsOfBalance...) == nil {
		mmol := a[Alkalinity] // of charge one, as bicarbonate
		for _, r := range rows {
			if v, known := a[r.analyte]; known && charges[r.analyte] != 0 {
				mmol += charges[r.analyte] * charges[r.analyte] * v / speciesMass[r.analyte]
			}
		}
		return seawater.Measured(mmol / 2 / 1000 / perLitre * micro), nil
	}
	ec, known := a[Conductivity]
	if !known {
		return seawater.Total{}, nil
	}
	molal, err := seawater.IonicStrengthFromConductivity(ec)
	return seawater.Measured(molal * micro), err
}

// water returns the analysis as the equations take it, and its density at 25 °C in
// kg/L.
func (a Analysis) water(by Conventions) (seawater.Water, float64, error) {
	s, err := a.salinity()
	if err != nil {
		return seawater.Water{}, 0, err
	}
	rho, err := WaterOf(s).density()
	if err != nil {
		return seawater.Water{}, 0, err
	}
	grams, err := seawater.ReferenceSalinity(s)
	if err != nil {
		return seawater.Water{}, 0, err
	}
	ionic, err := a.ionicStrength(rho * (1 - grams/1000))
	if err != nil {
		return seawater.Water{}, 0, err
	}
	micro := func(x Analyte) float64 { return a[x] / speciesMass[x] * 1000 / rho }
	total := func(x Analyte) seawater.Total {
		if _, known := a[x]; !known {
			return seawater.Total{}
		}
		return seawater.Measured(micro(x))
	}
	return seawater.Water{
		Salinity: s, Temperature: a[Temperature], IonicStrength: ionic,
		Calcium: total(Calcium), Magnesium: total(Magnesium), Sodium: total(Sodium), Potassium: total(Potassium),
		Sulfate: total(Sulfate), Boron: total(Boron), Phosphate: micro(Phosphate), Silicate: micro(Silicate), Set: by.Set,
	}, rho, nil
}

// found is what the equations find of a water.
type found func(w seawater.Water, alk, rho float64) (seawater.CO2System, seawater.CO2Doubt, error)

// solve runs the equations on the analysis. They take alkalinity in µmol/kg.
func (a Analysis) solve(by Conventions, find found) (Carbonates, error) {
	if err := a.need("the carbon dioxide system", Alkalinity, Temperature); err != nil {
		return Carbonates{}, err
	}
	w, rho, err := a.water(by)
	if err != nil {
		return Carbonates{}, err
	}
	s, doubt, err := find(w, a[Alkalinity]*1000/rho, rho)
	if err != nil {
		return Carbonates{}, err
	}
	pH, err := s.PHOn(by.Scale)
	if err != nil {
		return Carbonates{}, err
	}
	milli := rho / 1000 // mmol/L in a µmol/kg
	c := Carbonates{
		PH: pH, Scale: by.Scale, Alkalinity: s.Alkalinity * milli, DIC: s.DIC * milli, HCO3: s.HCO3 * milli, CO3: s.CO3 * milli,
		CO2: s.CO2 * milli * molCO2, PCO2: s.PCO2, OmegaAragonite: s.OmegaAragonite, OmegaCalcite: s.OmegaCalcite,
		Equations: w.Equations(),
		Doubt: CarbonateDoubt{
			PH: doubt.PH, CO2: doubt.CO2 * milli * molCO2, PCO2: doubt.PCO2,
			OmegaAragonite: doubt.OmegaAragonite, OmegaCalcite: doubt.OmegaCalcite,
		},
	}
	if !w.Calcium.Known() && w.Salinity < seaCalcium {
		c.OmegaAragonite, c.OmegaCalcite, c.Doubt.OmegaAragonite, c.Doubt.OmegaCalcite = none, none, none, none
	}
	if by.Scale == seawater.NBSScale {
		c.Doubt.PH = math.Hypot(c.Doubt.PH, s.Equilibria.NBSDoubt())
	}
	return c, nil
}

// Carbonates solves the carbon dioxide system from alkalinity, pH, temperature and
// salinity (or conductivity), by the equations of [seawater.Water], which lead from
// fresh water to the sea. Calcium, boron, phosphate, silicate and, in fresh water,
// the other ions count where they are known; what is not known is the sea's in
// proportion to salinity. The ionic strength is that of the ions, if all that a
// charge balance needs are known, else it follows from the conductivity, else from
// the salinity. The error is a *MissingError or a [RangeError].
func (a Analysis) Carbonates(by Conventions) (Carbonates, error) {
	if err := a.need("the carbon dioxide system", PH); err != nil {
		return Carbonates{}, err
	}
	var step float64
	c, err := a.solve(by, func(w seawater.Water, alk, _ float64) (seawater.CO2System, seawater.CO2Doubt, error) {
		s, doubt, err := w.FromPH(alk, a[PH], by.Scale)
		if err == nil {
			step, err = w.ScaleDoubt(by.Scale)
		}
		return s, doubt, err
	})
	if err != nil {
		return Carbonates{}, err
	}
	c.PH, c.Doubt.PH, c.Doubt.Scale = a[PH], 0, step
	return c, nil
}

// CarbonatesOfDIC solves the system as [Analysis.Carbonates] does, from
// dissolved inorganic carbon in mmol/L in place of pH.
func (a Analysis) CarbonatesOfDIC(dic float64, by Conventions) (Carbonates, error) {
	return a.solve(by, func(w seawater.Water, alk, rho float64) (seawater.CO2System, seawater.CO2Doubt, error) {
		return w.FromDIC(alk, dic*1000/rho)
	})
}

// CarbonatesAt solves the system as [Analysis.Carbonates] does, for water in
// balance with a partial pressure of carbon dioxide in µatm in place of pH.
func (a Analysis) CarbonatesAt(pCO2 float64, by Conventions) (Carbonates, error) {
	return a.solve(by, func(w seawater.Water, alk, _ float64) (seawater.CO2System, seawater.CO2Doubt, error) {
		return w.FromPCO2(alk, pCO2)
	})
}

// CarbonatesInAir solves the system as [Analysis.Carbonates] does, for water in
// balance with air that has ppm of carbon dioxide when dry, such as [AirCO2], in
// place of pH.
func (a Analysis) CarbonatesInAir(ppm float64, by Conventions) (Carbonates, error) {
	pCO2, err := a.AirPCO2(ppm, by)
	if err != nil {
		return Carbonates{}, err
	}
	return a.CarbonatesAt(pCO2, by)
}

// AirPCO2 returns the partial pressure in µatm that ppm of carbon dioxide in dry
// air have over the water: less than ppm, as the air is moist and the higher up the
// thinner. The error is a *MissingError or a [RangeError].
func (a Analysis) AirPCO2(ppm float64, by Conventions) (float64, error) {
	if err := a.need("the balance with air", Temperature); err != nil {
		return 0, err
	}
	s, err := a.salinity()
	if err != nil {
		return 0, err
	}
	return seawater.AirPCO2(ppm, s, a[Temperature], by.pressure())
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
// that has ppm of CO2 when dry, such as [AirCO2]. A dose of hydroxide or acid leaves DIC as
// it is; bicarbonate lowers a high pH a little and raises it as the water
// airs. No precipitation is counted: where aragonite's saturation passes some
// 10, carbonate may fall out (common practice, no source). The error is a
// *MissingError or a [RangeError].
func (a Analysis) Response(d AlkalinityDose, ppm float64, by Conventions) (Response, error) {
	var r Response
	var err error
	if r.Before, err = a.Carbonates(by); err != nil {
		return Response{}, err
	}
	dosed := maps.Clone(a)
	dosed[Alkalinity] += d.Alkalinity
	if _, known := a[Calcium]; known {
		dosed[Calcium] += d.Calcium
	}
	if r.AtOnce, err = dosed.CarbonatesOfDIC(r.Before.DIC+d.Carbon, by); err != nil {
		return Response{}, words.Errorf("right after the dose: %w", err)
	}
	if r.Aired, err = dosed.CarbonatesInAir(ppm, by); err != nil {
		return Response{}, words.Errorf("in balance with air: %w", err)
	}
	return r, nil
}
