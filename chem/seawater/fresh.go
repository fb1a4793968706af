package seawater

import "math"

// Fresh is what the carbonate equilibria of fresh water depend on. Its
// equations are those of Plummer and Busenberg 1982, Geochim. Cosmochim. Acta
// 46, 1011-1040, at one atmosphere, with activity coefficients by Davies 1962.
// pH is on the activity (NBS) scale, as meters read it. A litre is taken as a
// kilogram. Ion pairs are not counted: they matter in hard, sulfate-rich water,
// where the saturation state comes out some per cent too high.
type Fresh struct {
	Temperature   float64 // °C, 0 to 40
	IonicStrength float64 // mmol/L, 0 to 100; see [IonicStrengthFromConductivity]
	Calcium       float64 // mmol/L; zero: not known or none, and no saturation state
}

// FreshCO2 is the carbon dioxide system of a fresh water. Concentrations are
// mmol/L.
type FreshCO2 struct {
	PH             float64 // NBS scale
	Alkalinity     float64 // meq/L
	DIC            float64
	CO2, HCO3, CO3 float64
	PCO2           float64 // µatm
	// OmegaCalcite and OmegaAragonite are saturation states, zero when calcium
	// was not given.
	OmegaCalcite, OmegaAragonite float64
}

const (
	// highestIonicStrength is where the Davies equation stops being good to a
	// few per cent, in mmol/L.
	highestIonicStrength = 100
	highestFreshTotal    = 100 // mmol/L
)

// IonicStrengthFromConductivity estimates the ionic strength in mmol/L of a
// natural fresh water from its conductivity at 25 °C, 0 to 6000 µS/cm, as
// 1.6e-5 mol/L for each µS/cm (Russell 1976 in Snoeyink and Jenkins 1980, from
// memory). It is good to about a fifth, which moves a saturation state by a
// few per cent.
func IonicStrengthFromConductivity(microSiemens float64) (float64, error) {
	const high = 6000
	if !within(microSiemens, 0, high) {
		return 0, RangeError{"conductivity of fresh water", microSiemens, 0, high, "µS/cm"}
	}
	return 0.016 * microSiemens, nil
}

func (f Fresh) check() error {
	switch {
	case !within(f.Temperature, 0, 40):
		return RangeError{"temperature", f.Temperature, 0, 40, "°C"}
	case !within(f.IonicStrength, 0, highestIonicStrength):
		return RangeError{"ionic strength", f.IonicStrength, 0, highestIonicStrength, "mmol/L"}
	case !within(f.Calcium, 0, highestFreshTotal):
		return RangeError{"calcium", f.Calcium, 0, highestFreshTotal, "mmol/L"}
	}
	return nil
}

// freshConstants are thermodynamic constants, at zero ionic strength.
type freshConstants struct {
	kh, k1, k2, kw     float64 // mol/(L·atm), mol/L, mol/L, mol²/L²
	calcite, aragonite float64 // mol²/L²
	gamma1, gamma2     float64 // activity coefficients of ions of charge 1 and 2
}

func (f Fresh) constants() freshConstants {
	k := newKelvin(f.Temperature, 0)
	t, log10T := k.t, k.lnT/math.Ln10
	one := davies(t, f.IonicStrength/1000)
	return freshConstants{
		kh:        exp10(108.3865 + 0.01985076*t - 6919.53/t - 40.45154*log10T + 669365/(t*t)),
		k1:        exp10(-356.3094 - 0.06091964*t + 21834.37/t + 126.8339*log10T - 1684915/(t*t)),
		k2:        exp10(-107.8871 - 0.03252849*t + 5151.79/t + 38.92561*log10T - 563713.9/(t*t)),
		kw:        math.Exp(k.lnWater()),
		calcite:   exp10(logKspFresh(-171.9065, 2839.319, t, log10T)),
		aragonite: exp10(logKspFresh(-171.9773, 2903.293, t, log10T)),
		gamma1:    exp10(one),
		gamma2:    exp10(4 * one),
	}
}

// davies returns log10 of the activity coefficient of an ion of charge one at
// t in K and ionic strength i in mol/L (Davies 1962), with the Debye-Hückel
// slope and the permittivity of water as in Standard Methods 2330 B.
func davies(t, i float64) float64 {
	permittivity := 60954/(t+116) - 68.937
	slope := 1.82e6 * math.Pow(permittivity*t, -1.5)
	root := math.Sqrt(i)
	return -slope * (root/(1+root) - 0.3*i)
}

// FromPH solves the system of a fresh water from its alkalinity in meq/L, 0 to
// 100, and its pH on the NBS scale. It returns a [RangeError] outside the
// ranges, and for an alkalinity below what hydroxide alone holds at that pH.
func (f Fresh) FromPH(alkalinity, pH float64) (FreshCO2, error) {
	if err := f.check(); err != nil {
		return FreshCO2{}, err
	}
	if !within(alkalinity, 0, highestFreshTotal) {
		return FreshCO2{}, RangeError{"alkalinity", alkalinity, 0, highestFreshTotal, "meq/L"}
	}
	if err := checkPH(pH); err != nil {
		return FreshCO2{}, err
	}
	k := f.constants()
	activity := exp10(-pH)
	water := k.kw/activity/k.gamma1 - activity/k.gamma1 // OH less H, mol/L
	carbonate := alkalinity/1000 - water
	if carbonate < 0 {
		return FreshCO2{}, RangeError{"alkalinity at this pH", alkalinity, water * 1000, highestFreshTotal, "meq/L"}
	}
	perCO2, perCO2Twice := k.carbonPerCO2(activity)
	co2 := carbonate / (perCO2 + 2*perCO2Twice)
	return k.system(f.Calcium/1000, pH, alkalinity, co2, perCO2*co2, perCO2Twice*co2), nil
}

// system puts together what follows from the species in mol/L.
func (k freshConstants) system(calcium, pH, alkalinity, co2, hco3, co3 float64) FreshCO2 {
	product := calcium * k.gamma2 * co3 * k.gamma2
	return FreshCO2{
		PH: pH, Alkalinity: alkalinity, DIC: (co2 + hco3 + co3) * 1000,
		CO2: co2 * 1000, HCO3: hco3 * 1000, CO3: co3 * 1000,
		PCO2:           co2 / k.kh * 1e6,
		OmegaCalcite:   product / k.calcite,
		OmegaAragonite: product / k.aragonite,
	}
}

// FromPCO2 solves the system of a fresh water from its alkalinity in meq/L, 0
// to 100, and the partial pressure of carbon dioxide, 0.001 to 100 000
// µatm, that it is in equilibrium with. It returns a [RangeError] outside the
// ranges, or when the pH would lie outside 3 to 12.
func (f Fresh) FromPCO2(alkalinity, pCO2 float64) (FreshCO2, error) {
	if err := f.check(); err != nil {
		return FreshCO2{}, err
	}
	if !within(alkalinity, 0, highestFreshTotal) {
		return FreshCO2{}, RangeError{"alkalinity", alkalinity, 0, highestFreshTotal, "meq/L"}
	}
	if !within(pCO2, lowestPressure, highestPressure) {
		return FreshCO2{}, RangeError{"partial pressure of CO2", pCO2, lowestPressure, highestPressure, "µatm"}
	}
	k := f.constants()
	alk, co2 := alkalinity/1000, pCO2*1e-6*k.kh
	activity := descend(func(a float64) (excess, slope float64) {
		perCO2, perCO2Twice := k.carbonPerCO2(a)
		hco3, co3 := perCO2*co2, perCO2Twice*co2
		oh, h := k.kw/(a*k.gamma1), a/k.gamma1
		return hco3 + 2*co3 + oh - h - alk, -hco3 - 4*co3 - oh - h
	})
	pH := -math.Log10(activity)
	if err := checkPH(pH); err != nil {
		return FreshCO2{}, err
	}
	perCO2, perCO2Twice := k.carbonPerCO2(activity)
	return k.system(f.Calcium/1000, pH, alkalinity, co2, perCO2*co2, perCO2Twice*co2), nil
}

// FromDIC solves the system of a fresh water from its alkalinity in meq/L and
// its dissolved inorganic carbon in mmol/L, both 0 to 100. It returns a
// [RangeError] outside the ranges, or when the pH would lie outside 3 to 12.
func (f Fresh) FromDIC(alkalinity, dic float64) (FreshCO2, error) {
	if err := f.check(); err != nil {
		return FreshCO2{}, err
	}
	if !within(alkalinity, 0, highestFreshTotal) {
		return FreshCO2{}, RangeError{"alkalinity", alkalinity, 0, highestFreshTotal, "meq/L"}
	}
	if !within(dic, 0, highestFreshTotal) {
		return FreshCO2{}, RangeError{"inorganic carbon", dic, 0, highestFreshTotal, "mmol/L"}
	}
	k := f.constants()
	alk, carbon := alkalinity/1000, dic/1000
	activity := descend(func(a float64) (excess, slope float64) {
		co2, hco3, co3 := k.split(carbon, a)
		oh, h := k.kw/(a*k.gamma1), a/k.gamma1
		mean := (2*co2 + hco3) // hydrogen ions on the carbon, mol/L
		if carbon > 0 {
			mean /= carbon
		}
		return hco3 + 2*co3 + oh - h - alk, hco3*(1-mean) - 2*co3*mean - oh - h
	})
	pH := -math.Log10(activity)
	if err := checkPH(pH); err != nil {
		return FreshCO2{}, err
	}
	co2, hco3, co3 := k.split(carbon, activity)
	return k.system(f.Calcium/1000, pH, alkalinity, co2, hco3, co3), nil
}

// split shares out inorganic carbon in mol/L among its species at an activity
// of hydrogen ions.
func (k freshConstants) split(carbon, activity float64) (co2, hco3, co3 float64) {
	perCO2, perCO2Twice := k.carbonPerCO2(activity)
	co2 = carbon / (1 + perCO2 + perCO2Twice)
	return co2, perCO2 * co2, perCO2Twice * co2
}

// carbonPerCO2 returns the moles of HCO3 and of CO3 beside a mole of CO2:
// K1/(a·γ1) and K1·K2/(a²·γ2).
func (k freshConstants) carbonPerCO2(activity float64) (hco3, co3 float64) {
	return k.k1 / (activity * k.gamma1), k.k1 * k.k2 / (activity * activity * k.gamma2)
}

// LangelierIndex returns the saturation index log10 Ω of calcite, which is pH less
// the pH at which the water would be in equilibrium with calcite (Langelier
// 1936; Standard Methods 2330 B). Above zero calcite can form, below it the
// water dissolves it. Without calcium or carbonate it is minus infinity.
func (s FreshCO2) LangelierIndex() float64 { return math.Log10(s.OmegaCalcite) }
