package seawater

import "math"

// freshModel is the carbonate chemistry of fresh water: Plummer and Busenberg
// 1982, Geochim. Cosmochim. Acta 46, 1011-1040, with the activity coefficients of
// Truesdell and Jones 1974 and ion pairs, at one atmosphere.
type freshModel struct {
	pairs     pairs
	perMolal  float64 // kg of water in a kg
	k1, k2    float64 // total scale, mol/kg, of what is not in pairs
	calcite   float64 // mol²/kg², likewise
	aragonite float64
}

// fresh returns the model of a water by its activity coefficients, and sets in e the
// equilibria that are not the model's own: boric acid, water, phosphate.
func (w Water) fresh(d debyeHuckel, e *Equilibria) freshModel {
	k := newKelvin(w.Temperature, salinityOfIonicStrength(d.ionic))
	t, log10T := k.t, k.lnT/math.Ln10
	*e = w.conditions(w.Set.brackish()).equilibria(k)
	m := freshModel{perMolal: 1 - 0.001005*w.Salinity}
	gamma := func(ln float64) float64 { return math.Exp(ln) }
	h, hco3, co3, co2 := d.ln(hydrogen), d.ln(bicarbonate), d.ln(carbonate), d.ln(neutral)
	scale := e.freeToTotal * m.perMolal
	m.k1 = scale * gamma(co2-h-hco3) *
		exp10(-356.3094-0.06091964*t+21834.37/t+126.8339*log10T-1684915/(t*t))
	m.k2 = scale * gamma(hco3-h-co3) *
		exp10(-107.8871-0.03252849*t+5151.79/t+38.92561*log10T-563713.9/(t*t))
	products := m.perMolal * m.perMolal * gamma(-d.ln(calcium)-co3)
	m.calcite = products * exp10(logKspFresh(-171.9065, 2839.319, t, log10T))
	m.aragonite = products * exp10(logKspFresh(-171.9773, 2903.293, t, log10T))
	e.activity = d.hydrogenActivity(e, m.perMolal)
	m.pairs = newPairs(t, d, w.cationsIn(m.perMolal), e.Sulfate/m.perMolal)
	return m
}

// hydrogenActivity is fH of the NBS scale by the activity coefficient of hydrogen:
// activity for a mol/kg on the seawater scale.
func (d debyeHuckel) hydrogenActivity(e *Equilibria, perMolal float64) float64 {
	return math.Exp(d.ln(hydrogen)) / (e.freeToSeawater * perMolal)
}

// bind sets the constants that pairs move, with so much bicarbonate and carbonate in
// all, in µmol/kg, as they bind calcium and magnesium too.
func (m *freshModel) bind(e *Equilibria, hco3, co3 float64) {
	over1, over2, overCa := m.pairs.bound(hco3*1e-6/m.perMolal, co3*1e-6/m.perMolal)
	e.K1 = m.k1 * over1
	e.K2 = m.k2 * over2 / over1
	e.KspCalcite = m.calcite * over2 * overCa
	e.KspAragonite = m.aragonite * over2 * overCa
}

// cationsIn returns the totals of the cations that pair, in mol/kg of water.
func (w Water) cationsIn(perMolal float64) [cations]float64 {
	moles := w.Salinity * gramsPerKilogram / meanSaltMass // mol of sea salt in a kg
	var out [cations]float64
	for i, c := range [cations]struct {
		total Total
		share float64
	}{ofCa: {w.Calcium, calciumShare}, ofMg: {w.Magnesium, magnesiumShare}, ofNa: {w.Sodium, sodiumShare},
		ofK: {w.Potassium, potassiumShare}} {
		out[i] = c.total.or(moles*c.share) / perMolal
	}
	return out
}
