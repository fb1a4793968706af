package chem

import (
	"weirkeeper/chem/seawater"
)

// naturalWater are the factors that turn a conductivity measured at 0, 1, ... 35
// °C into that at 25 °C: ISO 7888:1985 (EN 27888:1993) for natural waters, the
// table as a maker's manual reprints it (second-hand).
var naturalWater = [...]float64{
	1.918, 1.857, 1.800, 1.745, 1.693, 1.643, 1.596, 1.551, 1.508, 1.467, 1.428, 1.390, 1.354, 1.320, 1.287, 1.256, 1.225, 1.196,
	1.168, 1.141, 1.116, 1.091, 1.067, 1.044, 1.021, 1.000, 0.979, 0.959, 0.940, 0.921, 0.903, 0.886, 0.869, 0.853, 0.837, 0.822,
}

// naturalFactor goes straight between the degrees, within 0.001 of the table's
// tenths.
func naturalFactor(tC float64) (float64, error) {
	const hottest = float64(len(naturalWater) - 1)
	if !(tC >= 0 && tC <= hottest) {
		return 0, RangeError{Quantity: "temperature", Value: tC, Low: 0, High: hottest, Unit: "°C"}
	}
	i := min(int(tC), len(naturalWater)-2)
	part := tC - float64(i)
	return naturalWater[i]*(1-part) + naturalWater[i+1]*part, nil
}

// ConductivityAt25 returns in the unit of measured what a natural water measured
// without compensation at tC, 0 to 35 °C, has at 25 °C, by the non-linear table of
// ISO 7888. It is made for ground, spring, tap and surface water of some 60 to
// 1000 µS/cm; salt water follows PSS-78. The error is a [RangeError].
func ConductivityAt25(measured, tC float64) (float64, error) {
	f, err := naturalFactor(tC)
	if err != nil {
		return 0, err
	}
	if high := catalogue[Conductivity].High; !(measured >= 0 && measured <= high) {
		return 0, RangeError{Quantity: Conductivity.InSentence(), Value: measured, Low: 0, High: high, Unit: "µS/cm"}
	}
	return measured * f, nil
}

// SolidsOf returns the dissolved solids in mg/L that a meter of a factor, 0.3 to
// 1, shows for a conductivity in µS/cm: common factors are 0.5 for a sodium
// chloride scale, 0.64 and 0.7 for natural waters (common practice, no source).
// The error is a [RangeError].
func SolidsOf(conductivity, factor float64) (float64, error) {
	if err := plausible(Conductivity, conductivity); err != nil {
		return 0, err
	}
	if err := checkSolidsFactor(factor); err != nil {
		return 0, err
	}
	return conductivity * factor, nil
}

// ConductivityOf returns the conductivity in µS/cm at which a meter of a factor
// shows mg/L of dissolved solids: [SolidsOf] the other way round.
func ConductivityOf(solids, factor float64) (float64, error) {
	if err := plausible(TDS, solids); err != nil {
		return 0, err
	}
	if err := checkSolidsFactor(factor); err != nil {
		return 0, err
	}
	return solids / factor, nil
}

func checkSolidsFactor(factor float64) error {
	if factor >= 0.3 && factor <= 1 {
		return nil
	}
	return RangeError{Quantity: "factor of the meter", Value: factor, Low: 0.3, High: 1}
}

// saltRise is how much a g/kg of sodium chloride raises the refractive index of
// water at 20 °C and 589 nm: 1.3330 to 1.3418 at 50 g/kg (CRC Handbook,
// concentrative properties of aqueous solutions; the figures from memory).
const saltRise = (1.3418 - 1.3330) / 50

// highestSaltScale is where the scales of such instruments end, in g/kg.
const highestSaltScale = 44

// SalinityFromSaltScale returns the practical salinity of a sea water that a
// refractometer scaled for sodium chloride, in g/kg and 0 to 43, shows at 20 °C: sea
// salt bends light more, so that 35 PSU reads near 36.5. The error is a
// [RangeError].
func SalinityFromSaltScale(reading float64) (float64, error) {
	const at = 20
	pure, err := seawater.RefractiveIndex(0, at, seawater.SodiumLine)
	if err != nil {
		return 0, err
	}
	if !(reading >= 0 && reading < highestSaltScale) {
		return 0, RangeError{Quantity: "reading of the refractometer", Value: reading, Low: 0, High: highestSaltScale, Unit: "g/kg"}
	}
	return seawater.SalinityFromRefraction(pure+saltRise*reading, at, seawater.SodiumLine)
}

// OxygenFrom returns the oxygen in mg/L of a water that a meter shows as a
// percentage of saturation, 0 to 300, at the barometric pressure: the other way
// round of [Analysis.OxygenSaturation]. It needs temperature and salinity (or
// conductivity). The error is a *MissingError or a [RangeError].
func (a Analysis) OxygenFrom(percent float64, by Conventions) (float64, error) {
	const most = 300
	if !(percent >= 0 && percent <= most) {
		return 0, RangeError{Quantity: "oxygen saturation", Value: percent, Low: 0, High: most, Unit: "%"}
	}
	if err := a.need("oxygen in mg/L", Temperature); err != nil {
		return 0, err
	}
	s, err := a.salinity()
	if err != nil {
		return 0, err
	}
	return Convert(Oxygen, percent, Saturation, MgL, WaterOf(s).Under(a[Temperature], by.Pressure))
}
