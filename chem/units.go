package chem

// Unit is a unit as it is written beside a value. Only the constants of this
// package are units.
type Unit string

// The units of the catalogue. mg/L without more means of the analyte's own
// species; "-P", "-N" and "Si" mean as the element.
const (
	Celsius      Unit = "°C"
	Fahrenheit   Unit = "°F"
	PSU          Unit = "PSU"
	SG25         Unit = "SG 25/25"
	SG20         Unit = "SG 20/20"
	SG60F        Unit = "SG 60/60F"
	MilliSiemens Unit = "mS/cm" // at 25 °C
	MicroSiemens Unit = "µS/cm" // at 25 °C
	PHUnit       Unit = "pH"
	MeqL         Unit = "meq/L"
	DKH          Unit = "dKH"
	CaCO3        Unit = "mg/L CaCO3"
	MgL          Unit = "mg/L"
	UgL          Unit = "µg/L"
	MgKg         Unit = "mg/kg"
	UmolKg       Unit = "µmol/kg"
	MmolL        Unit = "mmol/L"
	UmolL        Unit = "µmol/L"
	DGH          Unit = "dGH"
	PO4P         Unit = "mg/L PO4-P"
	UgPO4P       Unit = "µg/L PO4-P"
	NO3N         Unit = "mg/L NO3-N"
	NO2N         Unit = "mg/L NO2-N"
	NH4N         Unit = "mg/L NH4-N"
	Si           Unit = "mg/L Si"
)
