package seawater

import (
	"math"

	"weirkeeper/assets/words"
)

// CO2Doubt is how far the two models of a bridge leave a [CO2System] in doubt, in
// the units of its fields: at most half of what the two say apart, in the middle,
// and nothing at the ends and outside the bridges. It does not count what each model
// is good to by itself.
type CO2Doubt struct {
	PH, DIC, CO2, HCO3, CO3      float64
	PCO2                         float64
	OmegaAragonite, OmegaCalcite float64
}

// spread is the doubt of a value that two models give, at a weight of the second.
func spread(a, b, weight float64) float64 { return 2 * weight * (1 - weight) * math.Abs(b-a) }

func doubtBetween(a, b *CO2System, weight float64) CO2Doubt {
	between := func(x, y float64) float64 { return spread(x, y, weight) }
	return CO2Doubt{
		PH: between(a.PH, b.PH), DIC: between(a.DIC, b.DIC), CO2: between(a.CO2, b.CO2), HCO3: between(a.HCO3, b.HCO3),
		CO3: between(a.CO3, b.CO3), PCO2: between(a.PCO2, b.PCO2),
		OmegaAragonite: between(a.OmegaAragonite, b.OmegaAragonite), OmegaCalcite: between(a.OmegaCalcite, b.OmegaCalcite),
	}
}

// pair is what a system is solved from: an alkalinity and one thing more.
type pair struct {
	ta    float64
	with  partner
	value float64
	scale PHScale // of a pH
}

// partner is what an alkalinity is paired with.
type partner int

const (
	withPH partner = iota
	withDIC
	withPCO2
)

func (p pair) solve(e *Equilibria) (CO2System, error) {
	switch p.with {
	case withDIC:
		return e.fromDIC(p.ta, p.value)
	case withPCO2:
		return e.fromPCO2(p.ta, p.value)
	}
	return e.fromPH(p.ta, p.value, p.scale)
}

// bicarbonate is a first guess of it, in µmol/kg.
func (p pair) bicarbonate() float64 {
	if p.with == withDIC {
		return min(p.ta, p.value)
	}
	return p.ta
}

// FromPH solves the system from total alkalinity in µmol/kg and a pH on the given
// scale, as [Conditions.FromPH] does, with the doubt of the bridge. The error is a
// [RangeError].
func (w Water) FromPH(ta, pH float64, scale PHScale) (CO2System, CO2Doubt, error) {
	if err := checkAlkalinity(ta); err != nil {
		return CO2System{}, CO2Doubt{}, err
	}
	return w.solve(pair{ta: ta, with: withPH, value: pH, scale: scale})
}

// FromDIC solves the system from total alkalinity and inorganic carbon, both in
// µmol/kg, as [Conditions.FromDIC] does, with the doubt of the bridge. The error is
// a [RangeError].
func (w Water) FromDIC(ta, dic float64) (CO2System, CO2Doubt, error) {
	if err := checkAlkalinity(ta); err != nil {
		return CO2System{}, CO2Doubt{}, err
	}
	if err := checkCarbon(dic); err != nil {
		return CO2System{}, CO2Doubt{}, err
	}
	return w.solve(pair{ta: ta, with: withDIC, value: dic})
}

// FromPCO2 solves the system from total alkalinity in µmol/kg and a partial
// pressure of carbon dioxide in µatm, as [Conditions.FromPCO2] does, with the doubt
// of the bridge. The error is a [RangeError].
func (w Water) FromPCO2(ta, pCO2 float64) (CO2System, CO2Doubt, error) {
	if err := checkAlkalinity(ta); err != nil {
		return CO2System{}, CO2Doubt{}, err
	}
	if err := checkCO2(pCO2); err != nil {
		return CO2System{}, CO2Doubt{}, err
	}
	return w.solve(pair{ta: ta, with: withPCO2, value: pCO2})
}

// mostTurns bounds the turns between ion pairs and carbonate; some ten settle it.
const mostTurns = 60

// settled is how little, as a share, bicarbonate and carbonate move at the end.
const settled = 1e-12

// solve finds the system of the water, and of both sides of a bridge.
func (w Water) solve(p pair) (CO2System, CO2Doubt, error) {
	if err := w.check(); err != nil {
		return CO2System{}, CO2Doubt{}, err
	}
	if w.bySetAlone() {
		e := w.bySet()
		s, err := p.solve(&e)
		return s, CO2Doubt{}, err
	}
	var c course
	if err := w.lay(&c); err != nil {
		return CO2System{}, CO2Doubt{}, err
	}
	e := c.mixed()
	s, err := c.settle(&e, p)
	if err != nil || c.weight == 0 || c.weight == 1 {
		return s, CO2Doubt{}, err
	}
	lower, err := p.solve(&c.lower)
	if err != nil {
		return CO2System{}, CO2Doubt{}, err
	}
	upper, err := p.solve(&c.upper)
	if err != nil {
		return CO2System{}, CO2Doubt{}, err
	}
	return s, doubtBetween(&lower, &upper, c.weight), nil
}

// settle solves the system of e, and of a fresh water in turns with the calcium and
// magnesium that its carbonate binds.
func (c *course) settle(e *Equilibria, p pair) (CO2System, error) {
	if !c.fresh {
		return p.solve(e)
	}
	var h, alk float64
	if p.with == withPH { // which leaves the alkalinity of carbon whatever its constants
		total, err := e.ConvertPH(p.value, p.scale, TotalScale)
		if err != nil {
			return CO2System{}, err
		}
		h = exp10(-total)
		rest, _ := e.otherAlkalinity(h)
		alk = max(0, p.ta-rest*1e6)
	}
	hco3, co3 := p.bicarbonate(), 0.0
	for range mostTurns {
		c.model.bind(&c.lower, hco3, co3)
		c.mixCarbonate(e)
		was := hco3 + co3
		if p.with == withPH {
			hco3 = alk / (1 + 2*e.K2/h)
			co3 = hco3 * e.K2 / h
		} else {
			s, err := p.solve(e)
			if err != nil {
				return CO2System{}, err
			}
			hco3, co3 = s.HCO3, s.CO3
		}
		if math.Abs(hco3+co3-was) <= settled*was {
			break
		}
	}
	return p.solve(e)
}

// Equations names the equations that hold for the water.
func (w Water) Equations() words.Text {
	brackish := w.Set.brackish()
	fresh := "Plummer and Busenberg 1982"
	switch s := w.Salinity; {
	case s <= freshUpTo:
		return words.T("%s", fresh)
	case s < seaFrom:
		return words.T("between %s and %s", fresh, brackish.Words())
	case s <= takahashiFrom:
		return brackish.Words()
	case s < setFrom && w.Set != brackish:
		return words.T("between %s and %s", brackish.Words(), w.Set.Words())
	}
	return w.Set.Words()
}

// UnionizedAmmonia returns the share of total ammonia, 0 to 1, that is NH3 at a pH
// on the given scale, and the doubt of the bridge: Emerson et al. 1975 brought to
// the water's ionic strength up to 1 PSU, Clegg and Whitfield 1995 from 5 to 40
// PSU, a bridge between. The error is a [RangeError].
func (w Water) UnionizedAmmonia(pH float64, scale PHScale) (share, doubt float64, err error) {
	if err := checkAmmonia(w.Salinity, w.Temperature); err != nil {
		return 0, 0, err
	}
	if err := w.check(); err != nil {
		return 0, 0, err
	}
	var c course
	if err := w.lay(&c); err != nil {
		return 0, 0, err
	}
	lowerK, upperK := pKClegg(w.Salinity, w.Temperature), pKClegg(w.Salinity, w.Temperature)
	if c.fresh {
		ionic, err := w.ionic()
		if err != nil {
			return 0, 0, err
		}
		lowerK = w.pKEmerson(&c.lower, ionic)
	}
	e := c.mixed()
	share, err = e.ammonia(pH, scale, lowerK+c.weight*(upperK-lowerK))
	if err != nil || c.weight == 0 || c.weight == 1 {
		return share, 0, err
	}
	lower, err := c.lower.ammonia(pH, scale, lowerK)
	if err != nil {
		return 0, 0, err
	}
	upper, err := c.upper.ammonia(pH, scale, upperK)
	if err != nil {
		return 0, 0, err
	}
	return share, spread(lower, upper, c.weight), nil
}

// ammonia returns the share of NH3 by a pKa on the total scale.
func (e *Equilibria) ammonia(pH float64, scale PHScale, pKa float64) (float64, error) {
	total, err := e.ConvertPH(pH, scale, TotalScale)
	if err != nil {
		return 0, err
	}
	return shareOfBase(total, pKa), nil
}

// pKEmerson is pKa of ammonium by Emerson et al. 1975 on the total scale in
// concentrations, at an ionic strength in mol/kg of water.
func (w Water) pKEmerson(e *Equilibria, ionic float64) float64 {
	t := w.Temperature + zeroCelsius
	d := newDebyeHuckel(t, ionic)
	activity := d.ln(ammonium) - d.ln(hydrogen) - d.ln(neutral)
	return emerson(t) - activity/math.Ln10 - math.Log10(e.freeToTotal*(1-0.001005*w.Salinity))
}

// ScaleDoubt returns what bringing a pH from a scale to that of the water's
// constants is good to: in fresh water they take the activity of hydrogen, which is
// the NBS scale, in the sea its concentration, which the other scales count. The
// error is a [RangeError].
func (w Water) ScaleDoubt(scale PHScale) (float64, error) {
	e, err := w.Equilibria()
	if err != nil {
		return 0, err
	}
	inTheSea := smooth(w.Salinity, freshUpTo, seaFrom)
	if scale == NBSScale {
		return inTheSea * e.nbsDoubt, nil
	}
	return (1 - inTheSea) * e.nbsDoubt, nil
}
