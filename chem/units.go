package chem

import "weirkeeper/chem/seawater"

// Unit is a unit as it is written beside a value. Only the constants of this
// package are units.
type Unit string

// The units of the catalogue. mg/L without more means of the analyte's own
// species, so that PO4 and PO4-P cannot be taken for one another; "-P", "-N"
// and "Si" mean as the element.
const (
	Celsius      Unit = "°C"
	Fahrenheit   Unit = "°F"
	PSU          Unit = "PSU"
	GramKg       Unit = "g/kg" // of dissolved salt: absolute salinity
	SG25         Unit = "SG 25/25"
	SG20         Unit = "SG 20/20"
	SG60F        Unit = "SG 60/60F"
	MilliSiemens Unit = "mS/cm" // at 25 °C
	MicroSiemens Unit = "µS/cm" // at 25 °C
	PHUnit       Unit = "pH"
	MeqL         Unit = "meq/L"
	UeqKg        Unit = "µeq/kg"
	DKH          Unit = "dKH"
	DGH          Unit = "dGH"
	FrenchDegree Unit = "°fH"
	CaCO3        Unit = "mg/L CaCO3"
	MgL          Unit = "mg/L"
	UgL          Unit = "µg/L"
	MgKg         Unit = "mg/kg"
	UgKg         Unit = "µg/kg"
	MmolL        Unit = "mmol/L"
	UmolL        Unit = "µmol/L"
	UmolKg       Unit = "µmol/kg"
	PO4P         Unit = "mg/L PO4-P"
	UgPO4P       Unit = "µg/L PO4-P"
	NO3N         Unit = "mg/L NO3-N"
	NO2N         Unit = "mg/L NO2-N"
	NH4N         Unit = "mg/L NH4-N"
	NH3          Unit = "mg/L NH3"   // total ammonia, expressed as NH3
	NH3N         Unit = "mg/L NH3-N" // total ammonia as nitrogen, as some kits write it
	Si           Unit = "mg/L Si"
	UgSi         Unit = "µg/L Si"
	// Clark is the English degree, a grain of CaCO3 in an imperial gallon, and
	// GrainGallon one in a US gallon.
	Clark       Unit = "°e"
	GrainGallon Unit = "gpg"
	NgL         Unit = "ng/L"
	GL          Unit = "g/L"
	MlL         Unit = "mL/L" // of a gas at 0 °C and 1 atm
	Saturation  Unit = "%"    // of the oxygen that water holds in balance with the air over it
	// The meters that show dissolved solids measure conductivity and multiply it
	// by a factor that stands on them.
	TDS50         Unit = "mg/L TDS ×0.5"
	TDS64         Unit = "mg/L TDS ×0.64"
	TDS70         Unit = "mg/L TDS ×0.7"
	Millivolt     Unit = "mV"
	Photons       Unit = "µmol/m²/s"
	Centimetre    Unit = "cm"
	Millimetre    Unit = "mm"
	Inch          Unit = "in"
	LitreHour     Unit = "L/h"
	LitreMinute   Unit = "L/min"
	USGallonsHour Unit = "US gal/h"
)

// scale is one unit of one analyte: how values in it become canonical ones,
// and how many decimals are usual.
type scale struct {
	unit     Unit
	decimals int
	factor   float64 // canonical units in one of unit; of perKilogram ones at 1 kg/L
	// perKilogram units need the density of the water.
	perKilogram bool
	// ofWater gives the canonical units in one of unit where they follow from more of
	// the water; factor is then unused.
	ofWater func(Water) (float64, error)
	// curve is set for units that are not proportional; factor is then unused.
	curve *curve
}

// curve is a conversion that is no mere factor.
type curve struct {
	canonical, shown func(float64) (float64, error)
}

var fahrenheit = &curve{
	canonical: func(f float64) (float64, error) { return (f - 32) * 5 / 9, nil },
	shown:     func(c float64) (float64, error) { return c*9/5 + 32, nil },
}

// conductance reads mS/cm at 25 °C as PSS-78 conductivity at that temperature.
var conductance = &curve{
	canonical: func(c float64) (float64, error) { return seawater.SalinityFromConductivity(c, 25) },
	shown:     func(s float64) (float64, error) { return seawater.ConductivityFromSalinity(s, 25) },
}

func gravity(ref seawater.RefTemp) *curve {
	return &curve{
		canonical: func(sg float64) (float64, error) { return seawater.SalinityFromGravity(sg, ref) },
		shown:     func(s float64) (float64, error) { return seawater.GravityFromSalinity(s, ref) },
	}
}

// molarVolumeO2 is the volume of a mole of oxygen at 0 °C and 1 atm in litres:
// Garcia and Gordon 1992, Limnol. Oceanogr. 37, 1307-1312.
const molarVolumeO2 = 22.3916

var (
	molCaO   = molarMass("CaO")
	molCaCO3 = molarMass("CaCO3")

	// A grain is 64.79891 mg (NIST SP 811, 2008).
	mgPerClark = 64.79891 / ImperialGallon.Litres()
	mgPerGrain = 64.79891 / USGallon.Litres()

	// seaSolids is the dissolved salt of reference seawater in mg/L at 25 °C.
	seaSolids = 35.16504 * 1023.3412

	// A degree of German hardness is 10 mg/L CaO; CaO takes two equivalents.
	alkalinityScales = []scale{
		{unit: DKH, decimals: 1, factor: 20 / molCaO},
		{unit: MeqL, decimals: 2, factor: 1},
		{unit: CaCO3, decimals: 0, factor: 2 / molCaCO3},
		{unit: UeqKg, decimals: 0, factor: 1e-3, perKilogram: true},
		{unit: FrenchDegree, decimals: 1, factor: 20 / molCaCO3},
		{unit: Clark, decimals: 1, factor: 2 * mgPerClark / molCaCO3},
		{unit: GrainGallon, decimals: 1, factor: 2 * mgPerGrain / molCaCO3},
	}
	// A French degree is 10 mg/L CaCO3.
	hardnessScales = []scale{
		{unit: DGH, decimals: 1, factor: 10 / molCaO},
		{unit: MmolL, decimals: 2, factor: 1},
		{unit: CaCO3, decimals: 0, factor: 1 / molCaCO3},
		{unit: FrenchDegree, decimals: 1, factor: 10 / molCaCO3},
		{unit: Clark, decimals: 1, factor: mgPerClark / molCaCO3},
		{unit: GrainGallon, decimals: 1, factor: mgPerGrain / molCaCO3},
		{unit: MeqL, decimals: 2, factor: 0.5},
	}
	temperatureScales = []scale{
		{unit: Celsius, decimals: 1, factor: 1},
		{unit: Fahrenheit, decimals: 1, curve: fahrenheit},
	}
	salinityScales = []scale{
		{unit: PSU, decimals: 1, factor: 1},
		// Millero et al. 2008: sea salt of 35 PSU is 35.16504 g in a kg.
		{unit: GramKg, decimals: 1, factor: 35 / 35.16504},
		{unit: SG25, decimals: 4, curve: gravity(seawater.Ref25C)},
		{unit: SG20, decimals: 4, curve: gravity(seawater.Ref20C)},
		{unit: SG60F, decimals: 4, curve: gravity(seawater.Ref60F)},
		{unit: MilliSiemens, decimals: 1, curve: conductance},
	}
	conductivityScales = []scale{
		{unit: MicroSiemens, decimals: 0, factor: 1},
		{unit: MilliSiemens, decimals: 2, factor: 1000},
		{unit: TDS50, decimals: 0, factor: 1 / 0.5},
		{unit: TDS64, decimals: 0, factor: 1 / 0.64},
		{unit: TDS70, decimals: 0, factor: 1 / 0.7},
	}
	solidsScales = []scale{{unit: MgL, decimals: 0, factor: 1}, {unit: GL, decimals: 2, factor: 1000},
		{unit: MgKg, decimals: 0, factor: 1, perKilogram: true}}
	redoxScales = []scale{{unit: Millivolt, decimals: 0, factor: 1}}
	lightScales = []scale{{unit: Photons, decimals: 0, factor: 1}}
	levelScales = []scale{{unit: Centimetre, decimals: 1, factor: 1}, {unit: Millimetre, decimals: 0, factor: 0.1},
		{unit: Inch, decimals: 1, factor: 2.54}}
	flowScales = []scale{{unit: LitreHour, decimals: 0, factor: 1}, {unit: LitreMinute, decimals: 1, factor: 60},
		{unit: USGallonsHour, decimals: 0, factor: USGallon.Litres()}}
	pHScales = []scale{{unit: PHUnit, decimals: 2, factor: 1}}
)

// dissolved lists the units of an analyte that is kept in mg/L of a species;
// decimals are those of mg/L.
func dissolved(species string, decimals int, more ...scale) []scale {
	m := molarMass(species)
	all := append([]scale{{unit: MgL, decimals: decimals, factor: 1}}, more...)
	return append(all,
		scale{unit: UgL, decimals: max(0, decimals-2), factor: 1e-3},
		scale{unit: MgKg, decimals: decimals, factor: 1, perKilogram: true},
		scale{unit: MmolL, decimals: decimals + 1, factor: m},
		scale{unit: UmolL, decimals: max(0, decimals-1), factor: m / 1000},
		scale{unit: UmolKg, decimals: max(0, decimals-1), factor: m / 1000, perKilogram: true},
	)
}

// trace lists the units of an analyte that is kept in µg/L of an element.
func trace(element string) []scale {
	m := molarMass(element)
	return []scale{
		{unit: UgL, decimals: 1, factor: 1},
		{unit: MgL, decimals: 4, factor: 1000},
		{unit: NgL, decimals: 0, factor: 1e-3},
		{unit: UgKg, decimals: 1, factor: 1, perKilogram: true},
		{unit: UmolL, decimals: 3, factor: m},
		{unit: UmolKg, decimals: 3, factor: m, perKilogram: true},
	}
}

// asOther is a unit in mg/L of another species with the same number of the
// central atom: PO4-P for PO4.
func asOther(u Unit, species, other string, decimals int) scale {
	return scale{unit: u, decimals: decimals, factor: molarMass(species) / molarMass(other)}
}
