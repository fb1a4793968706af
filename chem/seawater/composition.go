package seawater

// Constituent is one species of reference seawater and how much there is of
// it.
type Constituent struct {
	Species string // formula without its charge: "SO4"
	Charge  int    // elementary charges
	MmolKg  float64
	MmolL   float64
	MgKg    float64
	MgL     float64
}

// Composition is what reference seawater is made of, in the order of Millero et
// al. 2008: the cations, the anions, then the uncharged.
type Composition [15]Constituent

// ReferenceSalinity returns the mass of dissolved material in g per kg of
// reference seawater of practical salinity s, 0 to 42: s·35.16504/35 (Millero
// et al. 2008). Outside it returns a [RangeError].
func ReferenceSalinity(s float64) (float64, error) {
	if err := checkSalinity(s); err != nil {
		return 0, err
	}
	return s * gramsPerKilogram, nil
}

// gramsPerKilogram is reference salinity for practical salinity.
const gramsPerKilogram = 35.16504 / 35

// Mole fractions of cations in sea salt: Table 4 of Millero et al. 2008.
const (
	sodiumShare    = 0.4188071
	magnesiumShare = 0.0471678
	calciumShare   = 0.0091823
	potassiumShare = 0.0091159
)

// species is Table 4 of Millero, Feistel, Wright and McDougall 2008, Deep-Sea
// Res. I 55, 50-72: mole fractions in the sea salt, and molar masses in g/mol by
// the atomic weights of 2005 that go with them. The borate, carbonate and
// hydroxide species are those at 25 °C and S 35.
var species = [15]struct {
	name     string
	charge   int
	fraction float64
	mass     float64
}{
	{"Na", 1, sodiumShare, 22.98976928},
	{"Mg", 2, magnesiumShare, 24.3050},
	{"Ca", 2, calciumShare, 40.078},
	{"K", 1, potassiumShare, 39.0983},
	{"Sr", 2, 0.0000810, 87.62},
	{"Cl", -1, 0.4874839, 35.453},
	{"SO4", -2, 0.0252152, 96.0626},
	{"HCO3", -1, 0.0015340, 61.01684},
	{"Br", -1, 0.0007520, 79.904},
	{"CO3", -2, 0.0002134, 60.0089},
	{"B(OH)4", -1, 0.0000900, 78.84036},
	{"F", -1, 0.0000610, 18.9984032},
	{"OH", -1, 0.0000071, 17.00734},
	{"B(OH)3", 0, 0.0002807, 61.83302},
	{"CO2", 0, 0.0000086, 44.0095},
}

// meanSaltMass is the mean molar mass of sea salt in g/mol.
var meanSaltMass = func() float64 {
	var m float64
	for _, s := range species {
		m += s.fraction * s.mass
	}
	return m
}()

// ReferenceComposition returns the composition of reference seawater of
// practical salinity s, 0 to 42, per kg and, by its EOS-80 density at tC, −2 to
// 40 °C, per litre. The proportions are those of the sea, in which the carbonate
// species belong to one temperature and pH: read them as their sum. Outside the
// range it returns a [RangeError].
func ReferenceComposition(s, tC float64) (Composition, error) {
	rho, err := Density(s, tC)
	if err != nil {
		return Composition{}, err
	}
	var c Composition
	moles := s * gramsPerKilogram / meanSaltMass // mol of salt in a kg
	for i, p := range species {
		mmol := 1000 * moles * p.fraction
		c[i] = Constituent{
			Species: p.name, Charge: p.charge,
			MmolKg: mmol, MmolL: mmol * rho / 1000,
			MgKg: mmol * p.mass, MgL: mmol * p.mass * rho / 1000,
		}
	}
	return c, nil
}

// Alkalinity returns the alkalinity in mmol/kg: HCO3 + 2 CO3 + B(OH)4 + OH.
func (c *Composition) Alkalinity() float64 {
	var sum float64
	for _, p := range c {
		switch p.Species {
		case "HCO3", "B(OH)4", "OH":
			sum += p.MmolKg
		case "CO3":
			sum += 2 * p.MmolKg
		}
	}
	return sum
}
