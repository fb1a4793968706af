package seawater

import "math"

// CO2System is the carbon dioxide system of a water in equilibrium with itself.
// Concentrations are µmol per kg of seawater, pressures µatm.
type CO2System struct {
	PH         float64 // total scale
	Alkalinity float64 // total alkalinity (Dickson 1981)
	DIC        float64 // total dissolved inorganic carbon

	CO2, HCO3, CO3      float64
	BOH4, BOH3          float64
	OH, HFree, HSO4, HF float64 // HFree: free hydrogen ion
	PhosphateAlkalinity float64 // HPO4 + 2 PO4 − H3PO4
	SilicateAlkalinity  float64 // SiO(OH)3
	PCO2, FCO2          float64 // partial pressure and fugacity of CO2
	OmegaAragonite      float64 // saturation states: above 1 the mineral can form
	OmegaCalcite        float64
	Revelle             float64 // dln pCO2/dln DIC at constant alkalinity
	Slopes              Slopes
	Equilibria          Equilibria
}

// Slopes are derivatives of a [CO2System] at constant DIC, per µmol/kg.
// Calcium is no acid or base: pH does not change with it.
type Slopes struct {
	PHPerTA             float64
	OmegaAragonitePerTA float64
	OmegaCalcitePerTA   float64
	OmegaAragonitePerCa float64
	OmegaCalcitePerCa   float64
}

// highestPressure bounds the partial pressure of CO2 in µatm: a tenth of an
// atmosphere, up to which the fugacity factor is good to 0.1 %.
const highestPressure = 100000

// lowestPressure is that of water all but free of carbon dioxide, in µatm.
const lowestPressure = 0.001

// PHOn returns the pH on another scale.
func (s *CO2System) PHOn(scale PHScale) (float64, error) {
	return s.Equilibria.ConvertPH(s.PH, TotalScale, scale)
}

func checkAlkalinity(ta float64) error {
	if !within(ta, 0, highestTotal) {
		return RangeError{"alkalinity", ta, 0, highestTotal, "µmol/kg"}
	}
	return nil
}

// FromPH solves the system from total alkalinity ta in µmol/kg and a pH on the
// given scale. It returns a [RangeError] outside the range of the conditions,
// for a pH outside 3 to 12, and for an alkalinity below what borate, hydroxide
// and the others hold at that pH, where nothing is left for carbon.
func (c Conditions) FromPH(ta, pH float64, scale PHScale) (CO2System, error) {
	if err := checkAlkalinity(ta); err != nil {
		return CO2System{}, err
	}
	e, err := c.Equilibria()
	if err != nil {
		return CO2System{}, err
	}
	return e.fromPH(ta, pH, scale)
}

// fromPH solves the system of a checked alkalinity.
func (e *Equilibria) fromPH(ta, pH float64, scale PHScale) (CO2System, error) {
	total, err := e.ConvertPH(pH, scale, TotalScale)
	if err != nil {
		return CO2System{}, err
	}
	h := exp10(-total)
	rest, _ := e.otherAlkalinity(h)
	carbonate := ta*1e-6 - rest
	if carbonate < 0 {
		return CO2System{}, RangeError{"alkalinity at this pH", ta, rest * 1e6, highestTotal, "µmol/kg"}
	}
	dic := carbonate / e.carbonateShare(h)
	if dic > highestTotal*1e-6 {
		return CO2System{}, RangeError{"inorganic carbon for this alkalinity and pH", dic * 1e6, 0, highestTotal, "µmol/kg"}
	}
	return e.system(total, h, ta*1e-6, dic), nil
}

// FromDIC solves the system from total alkalinity and total dissolved inorganic
// carbon, both 0 to 100 000 µmol/kg. It returns a [RangeError] outside the range of
// the conditions, or when the pH would lie outside 3 to 12.
func (c Conditions) FromDIC(ta, dic float64) (CO2System, error) {
	if err := checkAlkalinity(ta); err != nil {
		return CO2System{}, err
	}
	if err := checkCarbon(dic); err != nil {
		return CO2System{}, err
	}
	e, err := c.Equilibria()
	if err != nil {
		return CO2System{}, err
	}
	return e.fromDIC(ta, dic)
}

func checkCarbon(dic float64) error {
	if !within(dic, 0, highestTotal) {
		return RangeError{"inorganic carbon", dic, 0, highestTotal, "µmol/kg"}
	}
	return nil
}

// fromDIC solves the system of a checked alkalinity and carbon.
func (e *Equilibria) fromDIC(ta, dic float64) (CO2System, error) {
	alk, carbon := ta*1e-6, dic*1e-6
	h := descend(func(h float64) (excess, slope float64) {
		rest, restSlope := e.otherAlkalinity(h)
		a1, a2, mean := e.carbonSplit(h)
		return carbon*(a1+2*a2) + rest - alk, carbon*(a1*(1-mean)-2*a2*mean) + restSlope
	})
	pH := -math.Log10(h)
	if err := checkPH(pH); err != nil {
		return CO2System{}, err
	}
	return e.system(pH, h, alk, carbon), nil
}

// FromPCO2 solves the system from total alkalinity in µmol/kg and the partial
// pressure of carbon dioxide, 0.001 to 100 000 µatm (0.1 atm), that
// the water is in equilibrium with. It returns a [RangeError] outside the range
// of the conditions, or when the pH would lie outside 3 to 12.
func (c Conditions) FromPCO2(ta, pCO2 float64) (CO2System, error) {
	if err := checkAlkalinity(ta); err != nil {
		return CO2System{}, err
	}
	if err := checkCO2(pCO2); err != nil {
		return CO2System{}, err
	}
	e, err := c.Equilibria()
	if err != nil {
		return CO2System{}, err
	}
	return e.fromPCO2(ta, pCO2)
}

func checkCO2(pCO2 float64) error {
	if !within(pCO2, lowestPressure, highestPressure) {
		return RangeError{"partial pressure of CO2", pCO2, lowestPressure, highestPressure, "µatm"}
	}
	return nil
}

// fromPCO2 solves the system of a checked alkalinity and pressure.
func (e *Equilibria) fromPCO2(ta, pCO2 float64) (CO2System, error) {
	alk, co2 := ta*1e-6, pCO2*1e-6*e.FugacityFactor*e.K0
	h := descend(func(h float64) (excess, slope float64) {
		rest, restSlope := e.otherAlkalinity(h)
		hco3 := e.K1 * co2 / h
		co3 := e.K2 * hco3 / h
		return hco3 + 2*co3 + rest - alk, -hco3 - 4*co3 + restSlope
	})
	pH := -math.Log10(h)
	if err := checkPH(pH); err != nil {
		return CO2System{}, err
	}
	dic := co2 * (1 + e.K1/h*(1+e.K2/h))
	if dic > highestTotal*1e-6 {
		return CO2System{}, RangeError{"inorganic carbon for this alkalinity and pressure", dic * 1e6, 0, highestTotal, "µmol/kg"}
	}
	return e.system(pH, h, alk, dic), nil
}

// carbonSplit returns the shares of HCO3 and CO3 in the inorganic carbon, and
// the mean number of hydrogen ions on a molecule, 0 to 2.
func (e *Equilibria) carbonSplit(h float64) (hco3, co3, mean float64) {
	d := h*h + e.K1*h + e.K1*e.K2
	hco3, co3 = e.K1*h/d, e.K1*e.K2/d
	return hco3, co3, 2 - hco3 - 2*co3
}

// carbonateShare is the alkalinity that a mole of inorganic carbon holds.
func (e *Equilibria) carbonateShare(h float64) float64 {
	a1, a2, _ := e.carbonSplit(h)
	return a1 + 2*a2
}

// otherAlkalinity returns the alkalinity of all but carbon in mol/kg, and its
// derivative by ln h.
func (e *Equilibria) otherAlkalinity(h float64) (alk, slope float64) {
	borate := e.Borate * e.KB / (e.KB + h)
	oh := e.KW / h
	free := h / e.freeToTotal
	hso4 := e.Sulfate * free / (e.KS + free)
	hf := e.Fluoride * free / (e.KF + free)
	alk = borate + oh - free - hso4 - hf
	slope = -borate*h/(e.KB+h) - oh - free - hso4*e.KS/(e.KS+free) - hf*e.KF/(e.KF+free)
	if e.Silicate > 0 {
		si := e.Silicate * e.KSi / (e.KSi + h)
		alk += si
		slope -= si * h / (e.KSi + h)
	}
	if e.Phosphate > 0 {
		p, pSlope := e.phosphateAlkalinity(h)
		alk += p
		slope += pSlope
	}
	return alk, slope
}

// phosphateAlkalinity is HPO4 + 2 PO4 − H3PO4 and its derivative by ln h.
func (e *Equilibria) phosphateAlkalinity(h float64) (alk, slope float64) {
	a3 := h * h * h // H3PO4, then H2PO4, HPO4, PO4
	a2 := a3 / h * e.KP1
	a1 := a2 / h * e.KP2
	a0 := a1 / h * e.KP3
	d := a0 + a1 + a2 + a3
	mean := (a1 + 2*a2 + 3*a3) / d
	charge := (a1 + 2*a0 - a3) / d
	squares := (a1*(1-mean) + 2*a0*(0-mean) - a3*(3-mean)) / d
	return e.Phosphate * charge, e.Phosphate * squares
}

// descend finds the h, between 1e-14 and 1, where a function that falls with
// ln h crosses zero. It is Newton's rule in ln h, kept within a bracket that
// every step narrows: it cannot run away, and where Newton's step leaves the
// bracket it halves it.
func descend(f func(h float64) (value, slope float64)) float64 {
	low, high := -14*math.Ln10, 0.0
	x := -8 * math.Ln10
	for range 100 {
		h := math.Exp(x)
		value, slope := f(h)
		if value > 0 {
			low = x
		} else {
			high = x
		}
		step := value / slope
		if math.Abs(step) < 1e-14*-x {
			return h
		}
		next := x - step
		if !(next > low && next < high) {
			next = (low + high) / 2
			if next == x {
				return h
			}
		}
		x = next
	}
	return math.Exp(x)
}

// system fills in what follows from pH, alkalinity and inorganic carbon.
func (e *Equilibria) system(pH, h, alk, dic float64) CO2System {
	const micro = 1e6
	a1, a2, mean := e.carbonSplit(h)
	co2 := dic * h * h / (h*h + e.K1*h + e.K1*e.K2)
	co3 := dic * a2
	free := h / e.freeToTotal
	s := CO2System{
		PH: pH, Alkalinity: alk * micro, DIC: dic * micro,
		CO2: co2 * micro, HCO3: dic * a1 * micro, CO3: co3 * micro,
		BOH4: e.Borate * e.KB / (e.KB + h) * micro, BOH3: e.Borate * h / (e.KB + h) * micro,
		OH: e.KW / h * micro, HFree: free * micro,
		HSO4: e.Sulfate * free / (e.KS + free) * micro,
		HF:   e.Fluoride * free / (e.KF + free) * micro,
		FCO2: co2 / e.K0 * micro,

		OmegaAragonite: e.Calcium * co3 / e.KspAragonite,
		OmegaCalcite:   e.Calcium * co3 / e.KspCalcite,
		Equilibria:     *e,
	}
	s.PCO2 = s.FCO2 / e.FugacityFactor
	if e.Silicate > 0 {
		s.SilicateAlkalinity = e.Silicate * e.KSi / (e.KSi + h) * micro
	}
	if e.Phosphate > 0 {
		p, _ := e.phosphateAlkalinity(h)
		s.PhosphateAlkalinity = p * micro
	}
	_, restSlope := e.otherAlkalinity(h)
	share := a1 + 2*a2
	shareSlope := a1*(1-mean) - 2*a2*mean
	byLnH := dic*shareSlope + restSlope // dTA/dln h at constant DIC
	s.Revelle = 1 - dic*share/byLnH*(2-mean)
	lnHPerTA := 1 / byLnH / micro
	s.Slopes = Slopes{
		PHPerTA:             -lnHPerTA / math.Ln10,
		OmegaAragonitePerTA: s.OmegaAragonite * -mean * lnHPerTA,
		OmegaCalcitePerTA:   s.OmegaCalcite * -mean * lnHPerTA,
		OmegaAragonitePerCa: co3 / e.KspAragonite / micro,
		OmegaCalcitePerCa:   co3 / e.KspCalcite / micro,
	}
	return s
}
