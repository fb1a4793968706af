package chem

import "math"

// solution is a mixture of ions at 25 °C by its activities.
type solution struct {
	activity map[string]float64 // mol/L by ion
}

// highestDavies is the ionic strength in mol/L at which the coefficients of Davies
// 1962 are held: beyond it they would rise again, and those of strong stocks are
// then good to a factor of a few only.
const highestDavies = 0.5

// Acidity constants at 25 °C and no ionic strength: Plummer and Busenberg 1982 for
// carbonate, minteq.v4.dat for the others.
const (
	pKCarbonic    = 6.352
	pKBicarbonate = 10.329
	pKBoric       = 9.236
	pKPhosphoric1 = 2.148
	pKPhosphoric2 = 7.198
	pKPhosphoric3 = hydrogenPhosphate
	pKAmmonium    = 9.244
	pKWater       = hydrogenToHydroxide / 2
)

// dissolve brings ions in mol/L into equilibrium with one another's acidity, all
// of them in solution.
func dissolve(molar map[string]float64) solution {
	var ionic float64
	for ion, c := range molar {
		z := float64(mustFormula(ion).Charge())
		ionic += c * z * z / 2
	}
	root := math.Sqrt(min(ionic, highestDavies))
	const slope = 0.509 // of Debye and Hückel at 25 °C
	one := math.Pow(10, -slope*(root/(1+root)-0.3*root*root))
	gamma := func(charge int) float64 { return math.Pow(one, float64(charge*charge)) }
	w := weakAcids{
		carbon: molar["HCO3^-"] + molar["CO3^2-"], boron: molar["H3BO3"] + 4*molar["B4O7^2-"],
		phosphorus: molar["HPO4^2-"] + molar["H2PO4^-"], ammonia: molar["NH4^+"], gamma: gamma,
	}
	w.alkalinity = molar["HCO3^-"] + 2*molar["CO3^2-"] + molar["OH^-"] - molar["H^+"] + 2*molar["B4O7^2-"] + molar["HPO4^2-"]
	h := w.hydrogen()
	out := solution{activity: map[string]float64{}}
	for ion, c := range molar {
		out.activity[ion] = c * gamma(mustFormula(ion).Charge())
	}
	_, carbonate := w.carbonates(h)
	_, hydrogenPO4, phosphate := w.phosphates(h)
	out.activity["CO3^2-"] = carbonate * gamma(2)
	out.activity["B(OH)4^-"] = w.borate(h) * gamma(1)
	out.activity["HPO4^2-"], out.activity["PO4^3-"] = hydrogenPO4*gamma(2), phosphate*gamma(3)
	out.activity["OH^-"] = math.Pow(10, -pKWater) / h
	return out
}

// saturation is log10 of the product of a solid's activities over that of its
// saturated solution.
func (s solution) saturation(x mineral) float64 {
	return x.metals*math.Log10(s.activity[x.metal]) + x.with*math.Log10(s.activity[x.partner]) - x.logK
}

// weakAcids are the totals in mol/L of what gives and takes hydrogen ions.
type weakAcids struct {
	alkalinity, carbon, boron, phosphorus, ammonia float64
	gamma                                          func(charge int) float64
}

// hydrogen returns the activity of hydrogen ions, by halving a bracket of pH.
func (w weakAcids) hydrogen() float64 {
	low, high := -1.0, 15.0
	for range 60 {
		middle := (low + high) / 2
		if w.excess(math.Pow(10, -middle)) > 0 {
			high = middle
		} else {
			low = middle
		}
	}
	return math.Pow(10, -low)
}

// excess is the alkalinity that the acids hold at an activity of hydrogen above what
// there is; it rises with pH. The zero level of phosphate is H2PO4.
func (w weakAcids) excess(h float64) float64 {
	hco3, co3 := w.carbonates(h)
	h3po4, hpo4, po4 := w.phosphates(h)
	oh := math.Pow(10, -pKWater) / h / w.gamma(1)
	nh3 := w.ammonia * ratio(pKAmmonium, h, w.gamma(1), 1)
	return hco3 + 2*co3 + w.borate(h) + hpo4 + 2*po4 - h3po4 + nh3 + oh - h/w.gamma(1) - w.alkalinity
}

// ratio is the share of a base beside its acid.
func ratio(pK, h, acid, base float64) float64 {
	k := math.Pow(10, -pK) * acid / base
	return k / (k + h)
}

func (w weakAcids) borate(h float64) float64 { return w.boron * ratio(pKBoric, h, 1, w.gamma(1)) }

func (w weakAcids) carbonates(h float64) (hco3, co3 float64) {
	one := math.Pow(10, -pKCarbonic) / w.gamma(1) / h
	two := one * math.Pow(10, -pKBicarbonate) * w.gamma(1) / w.gamma(2) / h
	all := 1 + one + two
	return w.carbon * one / all, w.carbon * two / all
}

func (w weakAcids) phosphates(h float64) (h3po4, hpo4, po4 float64) {
	one := math.Pow(10, -pKPhosphoric1) / w.gamma(1) / h
	two := one * math.Pow(10, -pKPhosphoric2) * w.gamma(1) / w.gamma(2) / h
	three := two * math.Pow(10, -pKPhosphoric3) * w.gamma(2) / w.gamma(3) / h
	all := 1 + one + two + three
	return w.phosphorus / all, w.phosphorus * two / all, w.phosphorus * three / all
}
