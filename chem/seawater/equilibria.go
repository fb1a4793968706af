package seawater

import (
	"math"
	"weirkeeper/assets/words"
)

// Set is a set of published constants of the carbon dioxide system that belong
// together. They are never mixed. The zero value is [SetUppstrom].
type Set int

// The sets. In all of them KB is that of Dickson 1990, KS of Dickson 1990, K0
// and the fugacity factor of Weiss 1974, the solubility products of Mucci 1983,
// total sulfate of Morris and Riley 1966 and total fluoride of Riley 1965.
const (
	// SetUppstrom is the default: K1 and K2 of Lueker, Dickson and Keeling 2000,
	// total borate of Uppström 1974 as 0.0004157·S/35 mol/kg, KF of Dickson and
	// Riley 1979, KW of Millero 1995 and, for phosphate and silicate, Yao and
	// Millero 1995, these brought from the seawater to the total scale.
	SetUppstrom Set = iota
	// SetLee is SetUppstrom with total borate of Lee et al. 2010,
	// 0.0004326·S/35 mol/kg.
	SetLee
	// SetGuide2007 is the set of Dickson, Sabine and Christian 2007, PICES
	// Special Publication 3, chapter 5: K1 and K2 of Lueker et al. 2000, borate
	// of Uppström 1974, KF of Perez and Fraga 1987, and KW, KP and KSi in their
	// total-scale forms.
	SetGuide2007
	// SetEstuary is SetUppstrom with K1 and K2 of Millero 2010, Marine and
	// Freshwater Research 61, 139-142, for brackish water.
	SetEstuary
	// SetEstuaryLee is SetEstuary with total borate of Lee et al. 2010.
	SetEstuaryLee
)

// Sets lists the sets that can be chosen, the default first.
func Sets() []Set { return []Set{SetUppstrom, SetLee, SetGuide2007, SetEstuary, SetEstuaryLee} }

// Words names the set by what sets it apart.
func (s Set) Words() words.Text {
	switch s {
	case SetUppstrom:
		return words.T("%s, borate of %s", "Lueker 2000", "Uppström 1974")
	case SetLee:
		return words.T("%s, borate of %s", "Lueker 2000", "Lee 2010")
	case SetGuide2007:
		return "Guide to Best Practices 2007"
	case SetEstuary:
		return words.T("%s, borate of %s", "Millero 2010", "Uppström 1974")
	case SetEstuaryLee:
		return words.T("%s, borate of %s", "Millero 2010", "Lee 2010")
	}
	return "no set of constants"
}

// String returns the name in English.
func (s Set) String() string { return s.Words().String() }

// brackish returns the set that goes with this one in brackish water: Millero
// 2010 with the same total borate.
func (s Set) brackish() Set {
	if s == SetLee || s == SetEstuaryLee {
		return SetEstuaryLee
	}
	return SetEstuary
}

// Limits returns the salinities (PSU) and temperatures (°C) that the set is
// valid for. Lueker et al. measured from 19 to 43 PSU and from 2 to 35 °C;
// Millero's K1 and K2 hold from 1 to 50 PSU and 0 to 50 °C, but the constants
// of boric acid and of the minerals that go with them only from 5 PSU and 5 °C.
func (s Set) Limits() (lowS, highS, lowT, highT float64) {
	if s == s.brackish() {
		return 5, 42, 5, 40
	}
	return 19, 43, 2, 35
}

// Conditions are what the equilibria of a water depend on by one published set.
type Conditions struct {
	Salinity    float64 // PSU
	Temperature float64 // °C
	// Calcium, Boron and Sulfate that were not measured are in proportion to
	// salinity: Riley and Tongudai 1967, the set's borate, Morris and Riley 1966.
	// Calcium counts for the saturation states alone.
	Calcium, Boron, Sulfate Total
	Phosphate, Silicate     float64 // totals in µmol per kg of seawater
	Set                     Set
}

// Equilibria are the stoichiometric equilibrium constants and the totals of a
// water at one atmosphere. Hydrogen ions are on the total scale, save in KS and
// KF, which are on the free one. Units are mol per kg of seawater, K0 in
// mol/(kg·atm), products of two concentrations in mol²/kg².
type Equilibria struct {
	K0, K1, K2, KB, KW, KS, KF  float64
	KP1, KP2, KP3, KSi          float64
	KspAragonite, KspCalcite    float64
	Borate, Sulfate, Fluoride   float64 // totals
	Calcium                     float64 // total
	Phosphate, Silicate         float64 // totals
	FugacityFactor              float64 // fugacity of CO2 over its partial pressure
	freeToTotal, freeToSeawater float64
	activity                    float64 // fH, of the NBS scale
	nbsDoubt                    float64 // of pH on the NBS scale against the others
}

const (
	zeroCelsius = 273.15

	// molarGasConstant is R in cm³·bar/(mol·K) (CODATA 2018).
	molarGasConstant = 83.14462618
	atmosphereInBar  = 1.01325

	// highestTotal bounds calcium, boron, sulfate, alkalinity and inorganic carbon in
	// µmol/kg.
	highestTotal = 100000
	// highestNutrient bounds phosphate and silicate in µmol/kg.
	highestNutrient = 2000
)

func (c Conditions) check() error {
	if err := c.Set.check(); err != nil {
		return err
	}
	lowS, highS, lowT, highT := c.Set.Limits()
	switch {
	case !within(c.Salinity, lowS, highS):
		return RangeError{"salinity", c.Salinity, lowS, highS, "PSU"}
	case !within(c.Temperature, lowT, highT):
		return RangeError{"temperature", c.Temperature, lowT, highT, "°C"}
	}
	return c.checkTotals()
}

func (s Set) check() error {
	if s < SetUppstrom || s > SetEstuaryLee {
		return RangeError{"set of constants", float64(s), float64(SetUppstrom), float64(SetEstuaryLee), ""}
	}
	return nil
}

func (c Conditions) checkTotals() error {
	if err := c.Calcium.check("calcium", highestTotal); err != nil {
		return err
	}
	if err := c.Boron.check("boron", highestTotal); err != nil {
		return err
	}
	if err := c.Sulfate.check("sulfate", highestTotal); err != nil {
		return err
	}
	switch {
	case !within(c.Phosphate, 0, highestNutrient):
		return RangeError{"phosphate", c.Phosphate, 0, highestNutrient, "µmol/kg"}
	case !within(c.Silicate, 0, highestNutrient):
		return RangeError{"silicate", c.Silicate, 0, highestNutrient, "µmol/kg"}
	}
	return nil
}

// Equilibria returns the constants and totals at the conditions. Temperature
// goes into the equations as it is, without conversion to IPTS-68: they were
// fitted to data of mixed scales, and the step is below their uncertainty.
// Outside the limits of the set, or with a total that is negative or absurd,
// it returns a [RangeError].
func (c Conditions) Equilibria() (Equilibria, error) {
	if err := c.check(); err != nil {
		return Equilibria{}, err
	}
	return c.equilibria(newKelvin(c.Temperature, c.Salinity)), nil
}

// equilibria computes the constants of k and the totals of the conditions, without
// a look at the limits of the set.
func (c Conditions) equilibria(k kelvin) Equilibria {
	var e Equilibria
	e.Phosphate, e.Silicate = c.Phosphate*1e-6, c.Silicate*1e-6
	e.Calcium = c.Calcium.or(0.02128 / 40.087 * c.Salinity / 1.80655)
	e.Sulfate = c.Sulfate.or(0.14 / 96.062 * c.Salinity / 1.80655)
	e.Fluoride = 0.000067 / 18.998 * c.Salinity / 1.80655
	e.Borate = c.Boron.or(borate(c.Set, c.Salinity))

	e.KS = k.bisulfate()
	e.freeToTotal = 1 + e.Sulfate/e.KS
	if c.Set == SetGuide2007 {
		e.KF = k.fluoridePerezFraga() / e.freeToTotal
	} else {
		e.KF = k.fluorideDicksonRiley()
	}
	e.freeToSeawater = e.freeToTotal + e.Fluoride/e.KF
	e.activity = 1.2948 - 0.002036*k.t + (0.0004607-0.000001475*k.t)*k.s*k.s
	e.nbsDoubt = takahashiDoubt

	k.setAcids(&e, c.Set)
	e.KB = k.boricAcid()
	e.K0 = k.solubilityWeiss()
	e.FugacityFactor = k.fugacityFactor()
	e.KspCalcite, e.KspAragonite = k.minerals()
	return e
}

func borate(set Set, s float64) float64 {
	switch set {
	case SetLee, SetEstuaryLee:
		return 0.0004326 * s / 35
	case SetGuide2007:
		return 0.000232 / 10.811 * s / 1.80655
	}
	return 0.0004157 * s / 35
}

// kelvin holds the powers of temperature and salinity that the equations share.
type kelvin struct {
	t, lnT    float64 // K
	s, rootS  float64 // PSU
	ionic     float64 // ionic strength in mol per kg of water
	rootIonic float64
	molal     float64 // ln of kg water in a kg of seawater
}

func newKelvin(tC, s float64) kelvin {
	k := kelvin{t: tC + zeroCelsius, s: s, rootS: math.Sqrt(s)}
	k.lnT = math.Log(k.t)
	k.ionic = 19.924 * s / (1000 - 1.005*s)
	k.rootIonic = math.Sqrt(k.ionic)
	k.molal = math.Log(1 - 0.001005*s)
	return k
}

func exp10(x float64) float64 { return math.Exp(x * math.Ln10) }

// bisulfate is KS: Dickson 1990, J. Chem. Thermodyn. 22, 113-127; free scale.
func (k kelvin) bisulfate() float64 {
	return math.Exp(-4276.1/k.t + 141.328 - 23.093*k.lnT +
		(-13856/k.t+324.57-47.986*k.lnT)*k.rootIonic +
		(35474/k.t-771.54+114.723*k.lnT)*k.ionic -
		2698/k.t*k.rootIonic*k.ionic + 1776/k.t*k.ionic*k.ionic + k.molal)
}

// fluorideDicksonRiley is KF on the free scale: Dickson and Riley 1979, Mar.
// Chem. 7, 89-99.
func (k kelvin) fluorideDicksonRiley() float64 {
	return math.Exp(1590.2/k.t - 12.641 + 1.525*k.rootIonic + k.molal)
}

// fluoridePerezFraga is KF on the total scale: Perez and Fraga 1987, Mar. Chem.
// 21, 161-168.
func (k kelvin) fluoridePerezFraga() float64 {
	return math.Exp(874/k.t - 9.68 + 0.111*k.rootS)
}

// boricAcid is KB: Dickson 1990, Deep-Sea Res. 37, 755-766; total scale.
func (k kelvin) boricAcid() float64 {
	s, r := k.s, k.rootS
	return math.Exp((-8966.90-2890.53*r-77.942*s+1.728*s*r-0.0996*s*s)/k.t +
		148.0248 + 137.1942*r + 1.62142*s +
		(-24.4344-25.085*r-0.2474*s)*k.lnT + 0.053105*r*k.t)
}

// totalScaleForm is what the Guide of 2007 takes off the constant term of
// ln K to bring KW, KP and KSi from the seawater to the total scale.
const totalScaleForm = 0.015

// setAcids sets K1, K2, KW, KP and KSi on the total scale. Those published on
// the seawater scale are multiplied by [H]total/[H]seawater, save in the Guide's
// set, whose forms have a constant step in place of that factor.
func (k kelvin) setAcids(e *Equilibria, set Set) {
	toTotal, step := e.freeToTotal/e.freeToSeawater, 0.0
	if set == SetGuide2007 {
		toTotal, step = 1, totalScaleForm
	}
	if set == set.brackish() {
		k1, k2 := k.carbonicMillero()
		e.K1, e.K2 = k1*toTotal, k2*toTotal
	} else {
		e.K1, e.K2 = k.carbonicLueker()
	}
	e.KW = toTotal * math.Exp(k.lnWater()-step)
	if e.Phosphate > 0 || e.Silicate > 0 {
		p1, p2, p3 := k.lnPhosphoric()
		e.KP1, e.KP2, e.KP3 = toTotal*math.Exp(p1-step), toTotal*math.Exp(p2-step), toTotal*math.Exp(p3-step)
		e.KSi = toTotal * math.Exp(k.lnSilicic()-step)
	}
}

// carbonicLueker is K1 and K2: Lueker, Dickson and Keeling 2000, Mar. Chem. 70,
// 105-119; total scale.
func (k kelvin) carbonicLueker() (k1, k2 float64) {
	s := k.s
	pK1 := 3633.86/k.t - 61.2172 + 9.67770*k.lnT - 0.011555*s + 0.0001152*s*s
	pK2 := 471.78/k.t + 25.9290 - 3.16967*k.lnT - 0.01781*s + 0.0001122*s*s
	return exp10(-pK1), exp10(-pK2)
}

// carbonicMillero is K1 and K2: Millero 2010, Mar. Freshw. Res. 61, 139-142;
// seawater scale. The coefficients are from memory.
func (k kelvin) carbonicMillero() (k1, k2 float64) {
	s, r := k.s, k.rootS
	pK1 := -126.34048 + 6320.813/k.t + 19.568224*k.lnT +
		13.4038*r + 0.03206*s - 5.242e-5*s*s + (-530.659*r-5.8210*s)/k.t - 2.0664*r*k.lnT
	pK2 := -90.18333 + 5143.692/k.t + 14.613358*k.lnT +
		21.3728*r + 0.1218*s - 3.688e-4*s*s + (-788.289*r-19.189*s)/k.t - 3.374*r*k.lnT
	return exp10(-pK1), exp10(-pK2)
}

// lnWater is ln KW: Millero 1995, Geochim. Cosmochim. Acta 59, 661-677;
// seawater scale. At S = 0 it is the ion product of pure water.
func (k kelvin) lnWater() float64 {
	return 148.9802 - 13847.26/k.t - 23.6521*k.lnT +
		(-5.977+118.67/k.t+1.0495*k.lnT)*k.rootS - 0.01615*k.s
}

// lnPhosphoric is ln KP1 to KP3: Yao and Millero 1995, Aquat. Geochem. 1,
// 53-88; seawater scale.
func (k kelvin) lnPhosphoric() (p1, p2, p3 float64) {
	p1 = -4576.752/k.t + 115.54 - 18.453*k.lnT + (-106.736/k.t+0.69171)*k.rootS + (-0.65643/k.t-0.01844)*k.s
	p2 = -8814.715/k.t + 172.1033 - 27.927*k.lnT + (-160.34/k.t+1.3566)*k.rootS + (0.37335/k.t-0.05778)*k.s
	p3 = -3070.75/k.t - 18.126 + (17.27039/k.t+2.81197)*k.rootS + (-44.99486/k.t-0.09984)*k.s
	return p1, p2, p3
}

// lnSilicic is ln KSi: Yao and Millero 1995; seawater scale.
func (k kelvin) lnSilicic() float64 {
	return -8904.2/k.t + 117.4 - 19.334*k.lnT + (-458.79/k.t+3.5913)*k.rootIonic +
		(188.74/k.t-1.5998)*k.ionic + (-12.1652/k.t+0.07871)*k.ionic*k.ionic + k.molal
}

// solubilityWeiss is K0: Weiss 1974, Mar. Chem. 2, 203-215.
func (k kelvin) solubilityWeiss() float64 {
	h := k.t / 100
	return math.Exp(-60.2409 + 93.4517/h + 23.3585*math.Log(h) + k.s*(0.023517-0.023656*h+0.0047036*h*h))
}

// fugacityFactor is fCO2/pCO2 at a total pressure of one atmosphere: Weiss
// 1974, with the square of the share of other gases taken as one.
func (k kelvin) fugacityFactor() float64 {
	t := k.t
	b := -1636.75 + t*(12.0408+t*(-0.0327957+t*3.16528e-5))
	delta := 57.7 - 0.118*t
	return math.Exp((b + 2*delta) * atmosphereInBar / (molarGasConstant * t))
}

// minerals are the solubility products of calcite and aragonite: Mucci 1983,
// Am. J. Sci. 283, 780-799.
func (k kelvin) minerals() (calcite, aragonite float64) {
	log10T, r, s := k.lnT/math.Ln10, k.rootS, k.s
	c := logKspFresh(-171.9065, 2839.319, k.t, log10T) +
		(-0.77712+0.0028426*k.t+178.34/k.t)*r - 0.07711*s + 0.0041249*s*r
	a := logKspFresh(-171.945, 2903.293, k.t, log10T) +
		(-0.068393+0.0017276*k.t+88.135/k.t)*r - 0.10018*s + 0.0059415*s*r
	return exp10(c), exp10(a)
}

// logKspFresh is the form that Plummer and Busenberg 1982 and Mucci 1983 share
// for the minerals at zero ionic strength; t in K.
func logKspFresh(constant, perT, t, log10T float64) float64 {
	return constant - 0.077993*t + perT/t + 71.595*log10T
}
