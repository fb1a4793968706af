package seawater_test

import (
	"fmt"
	"math"

	"weirkeeper/chem/seawater"
)

// A hydrometer marked for 25/25 °C reads 1.0264 in water of 25 °C.
func ExampleSalinityFromGravity() {
	s, err := seawater.SalinityFromGravity(1.0264, seawater.Ref25C)
	fmt.Printf("%.1f %v\n", s, err)
	_, err = seawater.SalinityFromGravity(1.26, seawater.Ref25C)
	fmt.Println(err != nil)
	// Output:
	// 35.0 <nil>
	// true
}

// The same hydrometer in water of 21 °C.
func ExampleSalinityFromHydrometer() {
	s, err := seawater.SalinityFromHydrometer(1.0264, 21, seawater.Ref25C)
	fmt.Printf("%.1f %v\n", s, err)
	// Output: 33.7 <nil>
}

// A meter without temperature compensation reads 50 mS/cm at 22 °C.
func ExampleSalinityFromConductivity() {
	s, err := seawater.SalinityFromConductivity(50, 22)
	fmt.Printf("%.2f %v\n", s, err)
	// Output: 35.03 <nil>
}

// A meter that compensates by 2 % per °C to 25 °C shows 53 mS/cm at 18 °C.
func ExampleCompensation_Measured() {
	c, err := seawater.Compensation{PerDegree: 0.02, Reference: 25}.Measured(53, 18)
	fmt.Printf("%.2f %v\n", c, err)
	// Output: 45.58 <nil>
}

// A refractometer scaled for 20 °C reads 33 in a sample of 25 °C.
func ExampleSalinityFromRefractometer() {
	s, err := seawater.SalinityFromRefractometer(33, 25, 20)
	fmt.Printf("%.1f %v\n", s, err)
	// Output: 36.0 <nil>
}

func ExampleDensity() {
	rho, err := seawater.Density(35, 25)
	fmt.Printf("%.3f kg/m³ %v\n", rho, err)
	// Output: 1023.341 kg/m³ <nil>
}

// How much magnesium has the sea at 33 PSU?
func ExampleReferenceComposition() {
	c, err := seawater.ReferenceComposition(33, 25)
	mg := c[1]
	fmt.Printf("%s %.0f mg/L %v\n", mg.Species, mg.MgL, err)
	// Output: Mg 1237 mg/L <nil>
}

// Alkalinity and pH on the total scale, as a laboratory reports them.
func ExampleConditions_FromPH() {
	s, err := seawater.Conditions{Salinity: 35, Temperature: 25}.FromPH(2300, 8.05, seawater.TotalScale)
	fmt.Printf("DIC %.0f µmol/kg, pCO2 %.0f µatm, aragonite %.2f, Revelle %.1f, %v\n", s.DIC, s.PCO2, s.OmegaAragonite, s.Revelle, err)
	nbs, _ := s.PHOn(seawater.NBSScale)
	fmt.Printf("pH %.2f on the NBS scale\n", nbs)
	// Output:
	// DIC 1998 µmol/kg, pCO2 392 µatm, aragonite 3.41, Revelle 9.6, <nil>
	// pH 8.19 on the NBS scale
}

// What would the pH be in balance with outdoor air?
func ExampleConditions_FromPCO2() {
	s, err := seawater.Conditions{Salinity: 35, Temperature: 25}.FromPCO2(2300, 425)
	fmt.Printf("pH %.2f total, %v\n", s.PH, err)
	// Output: pH 8.02 total, <nil>
}

// Free carbon dioxide of a fresh water from its alkalinity and pH, with the calcium
// that was measured.
func ExampleWater_FromPH() {
	w := seawater.Water{Salinity: 0.2, Temperature: 25, Calcium: seawater.Measured(1200)}
	s, _, err := w.FromPH(2000, 7.2, seawater.NBSScale)
	fmt.Printf("%s: CO2 %.0f µmol/kg, index %.1f, %v\n", w.Equations(), s.CO2, math.Log10(s.OmegaCalcite), err)
	w.Salinity = 3
	s, doubt, err := w.FromPH(2000, 7.8, seawater.NBSScale)
	fmt.Printf("%s: CO2 %.1f ± %.1f µmol/kg, %v\n", w.Equations(), s.CO2, doubt.CO2, err)
	// Output:
	// Plummer and Busenberg 1982: CO2 256 µmol/kg, index -0.5, <nil>
	// between Plummer and Busenberg 1982 and Millero 2010, borate of Uppström 1974: CO2 53.5 ± 0.1 µmol/kg, <nil>
}

// Oxygen of 6.1 mg/L in a reef at 26 °C, at 500 m above the sea.
func ExampleOxygenSaturation() {
	p, _ := seawater.PressureAtAltitude(500)
	percent, err := seawater.OxygenSaturation(6.1, 35, 26, p)
	fmt.Printf("%.0f %% %v\n", percent, err)
	// Output: 97 % <nil>
}

func ExampleWater_UnionizedAmmonia() {
	share, _, err := seawater.Water{Salinity: 35, Temperature: 25}.UnionizedAmmonia(8.0, seawater.TotalScale)
	fmt.Printf("%.1f %% %v\n", 100*share, err)
	// Output: 5.4 % <nil>
}
