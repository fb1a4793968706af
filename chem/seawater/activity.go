package seawater

import "math"

// debyeHuckel holds what the activity coefficients of ions depend on: the slopes
// of Debye and Hückel at a temperature, by the permittivity of water as in Standard
// Methods 2330 B, and an ionic strength.
type debyeHuckel struct {
	slope, reach float64 // A in (kg/mol)^½, B in (kg/mol)^½ per Å
	ionic        float64 // mol/kg of water
	root         float64 // of ionic
}

func newDebyeHuckel(t, ionic float64) debyeHuckel {
	permittivity := 60954/(t+116) - 68.937
	return debyeHuckel{
		slope: 1.82e6 * math.Pow(permittivity*t, -1.5),
		reach: 50.3 / math.Sqrt(permittivity*t),
		ionic: ionic, root: math.Sqrt(ionic),
	}
}

// ion is an ion of a charge with its parameters of Truesdell and Jones 1974, J.
// Res. U.S. Geol. Survey 2, 233-248, as phreeqc.dat tabulates them (Parkhurst and
// Appelo 2013, USGS Techniques and Methods 6-A43). Without a size it goes by the
// equation of Davies 1962, without a charge by Setchénow's with 0.1 kg/mol.
type ion struct{ charge, size, slope float64 }

var (
	hydrogen    = ion{1, 9, 0}
	hydroxide   = ion{1, 3.5, 0}
	ammonium    = ion{1, 2.5, 0}
	bicarbonate = ion{1, 5.4, 0}
	carbonate   = ion{2, 5.4, 0}
	sulfate     = ion{2, 5, -0.04}
	calcium     = ion{2, 5, 0.165}
	magnesium   = ion{2, 5.5, 0.2}
	sodium      = ion{1, 4.08, 0.082}
	potassium   = ion{1, 3.5, 0.015}
	neutral     = ion{}
	anyPair     = ion{charge: 1}
)

// ln returns the natural logarithm of an ion's activity coefficient.
func (d debyeHuckel) ln(i ion) float64 {
	switch {
	case i.charge == 0:
		return math.Ln10 * 0.1 * d.ionic
	case i.size == 0:
		return -math.Ln10 * d.slope * i.charge * i.charge * (d.root/(1+d.root) - 0.3*d.ionic)
	}
	return math.Ln10 * (-d.slope*i.charge*i.charge*d.root/(1+d.reach*i.size*d.root) + i.slope*d.ionic)
}

// hydrogenDoubt is how far two published equations stand apart on log10 of the
// activity coefficient of hydrogen.
func (d debyeHuckel) hydrogenDoubt() float64 {
	return math.Abs(d.ln(hydrogen)-d.ln(anyPair)) / math.Ln10
}
