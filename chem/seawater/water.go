package seawater

import "math"

// Water is any natural water from fresh to the sea. Its equations lead in one
// course from one end to the other:
//
//	PSU        carbonate, minerals                          NBS scale
//	0-1        Plummer and Busenberg 1982, with ion pairs   activity of hydrogen
//	1-5        bridge                                       activity of hydrogen
//	5-20       Millero 2010, Mucci 1983                     bridge
//	20-25      bridge, unless the set is Millero's          Takahashi et al. 1982
//	from 25    the set                                      Takahashi et al. 1982
//
// A bridge lies between two published models that both hold near its ends or a
// little beyond: the logarithms of their constants are mixed by a weight that
// rises smoothly, so that nothing jumps. How far the two models stand apart is the
// doubt of a result, see [CO2Doubt].
//
// Temperatures are 0 to 40 °C below 5 PSU, then those of the sets.
type Water struct {
	Salinity    float64 // PSU
	Temperature float64 // °C
	// IonicStrength, in µmol per kg of water, is known where the ions are; else
	// it follows from the salinity, see [IonicStrength]. It counts below 20 PSU.
	IonicStrength Total
	// Ions that were not measured are the sea's in proportion to salinity. Those
	// but calcium and boron count for ion pairs, below 5 PSU, sulfate for the scales
	// of pH too.
	Calcium, Magnesium, Sodium, Potassium, Sulfate, Boron Total
	Phosphate, Silicate                                   float64 // totals in µmol per kg of water
	Set                                                   Set     // that holds in the sea
}

const (
	// takahashiFrom is where fH of Takahashi et al. 1982 was measured from, in PSU.
	takahashiFrom = 20
	// setFrom is where the chosen set alone holds, in PSU: Lueker et al. 2000
	// measured from 19, and the bridge to it begins at 20.
	setFrom = 25
	// highestFreshIonicStrength is where the activity coefficients of Truesdell and
	// Jones leave the range of the fresh model, in mol/kg of water.
	highestFreshIonicStrength = 0.3
	lowestFreshTemperature    = 0
	highestFreshTemperature   = 40
)

// conditions are those of the water by a set.
func (w Water) conditions(set Set) Conditions {
	return Conditions{Salinity: w.Salinity, Temperature: w.Temperature, Calcium: w.Calcium, Boron: w.Boron, Sulfate: w.Sulfate,
		Phosphate: w.Phosphate, Silicate: w.Silicate, Set: set}
}

func (w Water) check() error {
	if err := w.Set.check(); err != nil {
		return err
	}
	high := float64(MaxSalinity)
	if _, highest, _, _ := w.Set.Limits(); highest > high {
		high = highest
	}
	if !within(w.Salinity, 0, high) {
		return RangeError{"salinity", w.Salinity, 0, high, "PSU"}
	}
	low, highT := lowestFreshTemperature, float64(highestFreshTemperature)
	lowT := float64(low)
	_, _, setLow, setHigh := w.Set.Limits()
	_, _, brackishLow, brackishHigh := w.Set.brackish().Limits()
	switch {
	case w.Salinity >= setFrom:
		lowT, highT = setLow, setHigh
	case w.Salinity > takahashiFrom:
		lowT, highT = max(setLow, brackishLow), min(setHigh, brackishHigh)
	case w.Salinity >= seaFrom:
		lowT, highT = brackishLow, brackishHigh
	}
	if !within(w.Temperature, lowT, highT) {
		return RangeError{"temperature", w.Temperature, lowT, highT, "°C"}
	}
	return w.checkTotals()
}

func (w Water) checkTotals() error {
	if err := w.conditions(w.Set).checkTotals(); err != nil {
		return err
	}
	if err := w.Magnesium.check("magnesium", highestTotal); err != nil {
		return err
	}
	if err := w.Sodium.check("sodium", 10*highestTotal); err != nil {
		return err
	}
	if err := w.Potassium.check("potassium", highestTotal); err != nil {
		return err
	}
	if w.Salinity >= seaFrom {
		return nil
	}
	return w.IonicStrength.check("ionic strength", highestFreshIonicStrength*1e6)
}

// ionic returns the ionic strength in mol/kg of water.
func (w Water) ionic() (float64, error) {
	if w.IonicStrength.Known() {
		return w.IonicStrength.or(0), nil
	}
	return IonicStrength(min(w.Salinity, MaxSalinity))
}

// course is what a water's equilibria are mixed from.
type course struct {
	lower, upper Equilibria
	weight       float64    // of upper, 0 to 1
	model        freshModel // of lower, where it is the fresh one
	fresh        bool
}

// bySetAlone tells whether a published set alone holds.
func (w Water) bySetAlone() bool {
	return w.Salinity >= setFrom || (w.Salinity >= takahashiFrom && w.Set == w.Set.brackish())
}

func (w Water) bySet() Equilibria {
	return w.conditions(w.Set).equilibria(newKelvin(w.Temperature, w.Salinity))
}

// lay sets what the equilibria of a checked water are mixed from.
func (w Water) lay(c *course) error {
	brackish := w.Set.brackish()
	switch {
	case w.bySetAlone():
		c.upper, c.weight = w.bySet(), 1
		return nil
	case w.Salinity >= takahashiFrom:
		c.lower, c.upper = w.conditions(brackish).equilibria(newKelvin(w.Temperature, w.Salinity)), w.bySet()
		c.weight = smooth(w.Salinity, takahashiFrom, setFrom)
		return nil
	}
	ionic, err := w.ionic()
	if err != nil {
		return err
	}
	d := newDebyeHuckel(w.Temperature+zeroCelsius, ionic)
	if w.Salinity > freshUpTo {
		c.upper = w.conditions(brackish).equilibria(newKelvin(w.Temperature, w.Salinity))
		c.lower = c.upper
		c.lower.activity = d.hydrogenActivity(&c.lower, 1-0.001005*w.Salinity)
	}
	if w.Salinity >= seaFrom {
		c.weight = smooth(w.Salinity, seaFrom, takahashiFrom)
		apart := math.Abs(math.Log10(c.upper.activity / c.lower.activity))
		c.upper.nbsDoubt = takahashiDoubt + 4*c.weight*(1-c.weight)*apart + (1-c.weight)*d.hydrogenDoubt()
		return nil
	}
	c.upper.activity = c.lower.activity
	c.model, c.fresh = w.fresh(d, &c.lower), true
	c.model.bind(&c.lower, 0, 0)
	c.weight = smooth(w.Salinity, freshUpTo, seaFrom)
	c.lower.nbsDoubt = takahashiDoubt + d.hydrogenDoubt()
	c.upper.nbsDoubt = c.lower.nbsDoubt
	return nil
}

// mixed returns the equilibria of the water itself.
func (c *course) mixed() Equilibria {
	switch c.weight {
	case 0:
		return c.lower
	case 1:
		return c.upper
	}
	a, b := &c.lower, &c.upper
	e := c.upper
	e.K0, e.KB, e.KW, e.KS, e.KF = c.mix(a.K0, b.K0), c.mix(a.KB, b.KB), c.mix(a.KW, b.KW), c.mix(a.KS, b.KS), c.mix(a.KF, b.KF)
	e.KP1, e.KP2, e.KP3, e.KSi = c.mix(a.KP1, b.KP1), c.mix(a.KP2, b.KP2), c.mix(a.KP3, b.KP3), c.mix(a.KSi, b.KSi)
	e.Borate = a.Borate + c.weight*(b.Borate-a.Borate)
	e.freeToTotal = 1 + e.Sulfate/e.KS
	e.freeToSeawater = e.freeToTotal + e.Fluoride/e.KF
	e.activity = c.mix(a.activity, b.activity)
	c.mixCarbonate(&e)
	return e
}

// mixCarbonate mixes the constants that ion pairs with carbonate move.
func (c *course) mixCarbonate(e *Equilibria) {
	a, b := &c.lower, &c.upper
	e.K1, e.K2 = c.mix(a.K1, b.K1), c.mix(a.K2, b.K2)
	e.KspCalcite, e.KspAragonite = c.mix(a.KspCalcite, b.KspCalcite), c.mix(a.KspAragonite, b.KspAragonite)
}

// mix is the weighted geometric mean.
func (c *course) mix(a, b float64) float64 {
	switch {
	case a == b || c.weight == 0:
		return a
	case c.weight == 1:
		return b
	}
	return a * math.Exp(c.weight*math.Log(b/a))
}

// Equilibria returns the constants and totals of the water with next to no
// carbonate in it. The error is a [RangeError].
func (w Water) Equilibria() (Equilibria, error) {
	if err := w.check(); err != nil {
		return Equilibria{}, err
	}
	var c course
	if err := w.lay(&c); err != nil {
		return Equilibria{}, err
	}
	return c.mixed(), nil
}
