package derive

import (
	"math"
	"slices"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// Quantity is one thing that follows from readings.
type Quantity struct {
	Name        words.Text
	Value       float64
	Uncertainty float64 // standard uncertainty, passed on from the readings and by the equations
	// Model is the part of the uncertainty that is the equations' own, where two
	// models meet; zero where one published set holds.
	Model     float64
	Equations words.Text // that the value goes by; empty where there is no choice
	Unit      string     // empty: a pure number
	Decimals  int        // that are shown at most
	Remark    words.Text // what the value means, in plain words
	From      []chem.Analyte
	Oldest    time.Time // of the readings it rests on
	// Err says why it cannot be told; a *chem.MissingError names the readings
	// to take. Value is then meaningless.
	Err error
}

// Input is the water that is asked about.
type Input struct {
	Kind tanks.Kind
	// Estimates of its analytes now. Fresh water without a salinity or
	// conductivity is taken to have no salt.
	Estimates map[chem.Analyte]tanks.Estimate
	// By holds the scale of the pH readings, the constants and the pressure.
	By chem.Conventions
}

// rule is how one quantity follows from an analysis.
type rule struct {
	name     words.Text
	unit     string
	decimals int
	uses     []chem.Analyte // those that are known pass on their uncertainty
	value    func(chem.Analysis) (found, error)
	remark   func(v float64) words.Text
}

// found is what an equation gives.
type found struct {
	value     float64
	doubt     float64    // of the equations themselves
	scale     float64    // what the step between scales of pH is good to, in pH
	equations words.Text // empty where there is no choice
}

// plain is a value of which the equations leave no doubt that is said.
func plain(v float64, err error) (found, error) { return found{value: v}, err }

// Of returns what follows from the readings, in a fixed order that depends on
// the kind of water. A system without any reading has nothing to follow.
func Of(in Input) []Quantity {
	if len(in.Estimates) == 0 {
		return nil
	}
	a, assumed := in.Analysis()
	fresh := in.Kind == tanks.Freshwater
	var out []Quantity
	for _, r := range in.rules(fresh, a) {
		out = append(out, r.quantity(a, in.Estimates))
	}
	if assumed {
		out[0].Remark = "taken as without salt: measure conductivity"
	}
	return append(out, in.departures(a, fresh)...)
}

// Analysis is the water as its estimates tell it; assumed tells that fresh water is taken
// to have no salt because nobody measured it.
func (in Input) Analysis() (a chem.Analysis, assumed bool) {
	a = chem.Analysis{}
	for analyte, e := range in.Estimates {
		if e.Limit != tanks.Above {
			a[analyte] = e.Value
		}
	}
	_, salinity := a[chem.Salinity]
	_, conductivity := a[chem.Conductivity]
	assumed = !salinity && !conductivity && in.Kind == tanks.Freshwater
	if assumed {
		a[chem.Salinity] = 0
	}
	return a, assumed
}

func (r rule) quantity(a chem.Analysis, estimates map[chem.Analyte]tanks.Estimate) Quantity {
	q := Quantity{Name: r.name, Unit: r.unit, Decimals: r.decimals}
	for _, x := range r.uses {
		e, known := estimates[x]
		if !known || e.Limit == tanks.Above {
			continue
		}
		q.From = append(q.From, x)
		if q.Oldest.IsZero() || e.At.Before(q.Oldest) {
			q.Oldest = e.At
		}
	}
	at, err := r.value(a)
	if err != nil {
		q.Err = err
		return q
	}
	q.Value, q.Model, q.Equations = at.value, at.doubt, at.equations
	q.Uncertainty = math.Hypot(passedOn(a, q, estimates, at.scale, r.value), q.Model)
	q.Remark = r.remark(q.Value)
	return q
}

// passedOn is the standard uncertainty of a value by the law of propagation,
// with numeric sensitivities over ± one standard uncertainty of each reading
// (GUM, JCGM 100:2008, 5.1.3, note 2). At the edge of an equation's range the
// side that holds counts double. The step between scales of pH adds to that of pH.
func passedOn(a chem.Analysis, q Quantity, estimates map[chem.Analyte]tanks.Estimate, scale float64,
	value func(chem.Analysis) (found, error)) float64 {
	var squares float64
	for _, x := range q.From {
		u := estimates[x].Uncertainty
		if x == chem.PH {
			u = math.Hypot(u, scale)
		}
		original := a[x]
		a[x] = original + u
		up, errUp := value(a)
		a[x] = max(0, original-u)
		down, errDown := value(a)
		a[x] = original
		switch {
		case errUp == nil && errDown == nil:
			squares += math.Pow((up.value-down.value)/2, 2)
		case errUp == nil:
			squares += math.Pow(up.value-q.Value, 2)
		case errDown == nil:
			squares += math.Pow(q.Value-down.value, 2)
		}
	}
	return math.Sqrt(squares)
}

// salts are what tells the ionic strength and the ion pairs of a water, and boron's
// share in alkalinity.
var salts = []chem.Analyte{chem.Salinity, chem.Conductivity, chem.Sodium, chem.Magnesium, chem.Potassium, chem.Chloride, chem.Sulfate,
	chem.Boron, chem.Phosphate, chem.Silicate}

// carbonate returns a rule's value from the carbon dioxide system.
func (in Input) carbonate(of func(chem.Carbonates) (value, doubt float64)) func(chem.Analysis) (found, error) {
	return func(a chem.Analysis) (found, error) {
		c, err := a.Carbonates(in.By)
		if err != nil {
			return found{}, err
		}
		v, doubt := of(c)
		return found{value: v, doubt: doubt, scale: c.Doubt.Scale, equations: c.Equations}, nil
	}
}

func (in Input) rules(fresh bool, a chem.Analysis) []rule {
	carbonate := slices.Concat([]chem.Analyte{chem.PH, chem.Alkalinity, chem.Temperature}, salts)
	withCalcium := append([]chem.Analyte{chem.Calcium}, carbonate...)
	rules := []rule{
		{"Free carbon dioxide", "mg/L", 2, carbonate, in.carbonate(func(c chem.Carbonates) (float64, float64) {
			return c.CO2,
				c.Doubt.CO2
		}),
			none},
		{"Carbon dioxide pressure", "µatm", 0, carbonate,
			in.carbonate(func(c chem.Carbonates) (float64, float64) { return c.PCO2, c.Doubt.PCO2 }), func(v float64) words.Text {
				air, err := a.AirPCO2(chem.AirCO2, in.By)
				if err != nil {
					return ""
				}
				return besideAir(v, air)
			}},
		{"pH once aired", "", 2, carbonate[1:], in.aired, func(float64) words.Text {
			return words.T("%s, in balance with outdoor air of %d ppm CO2", in.By.Scale, chem.AirCO2)
		}},
	}
	if fresh {
		rules = append(rules, rule{"Langelier index", "", 1, withCalcium, in.index, aboveZero})
	} else {
		rules = append(rules,
			rule{"Aragonite saturation", "", 1, withCalcium, in.saturation(func(c chem.Carbonates) (float64, float64) {
				return c.OmegaAragonite, c.Doubt.OmegaAragonite
			}), saturated},
			rule{"Calcite saturation", "", 1, withCalcium, in.saturation(func(c chem.Carbonates) (float64, float64) {
				return c.OmegaCalcite, c.Doubt.OmegaCalcite
			}), saturated})
	}
	rules = append(rules,
		rule{"Un-ionised ammonia", "mg/L NH3", 3, slices.Concat([]chem.Analyte{chem.Ammonia, chem.PH, chem.Temperature}, salts),
			func(a chem.Analysis) (found, error) {
				u, err := a.UnionizedAmmonia(in.By)
				return found{value: u.MgL, doubt: u.Doubt, scale: u.Scale}, err
			}, func(float64) words.Text { return "the form that harms fish" }},
		rule{"Oxygen saturation", "%", 0, []chem.Analyte{chem.Oxygen, chem.Temperature, chem.Salinity, chem.Conductivity},
			func(a chem.Analysis) (found, error) {
				return plain(a.OxygenSaturation(in.By))
			}, in.ofAir},
		rule{"Charge balance", "%", 1, []chem.Analyte{chem.Sodium, chem.Magnesium, chem.Calcium, chem.Potassium, chem.Strontium,
			chem.Chloride, chem.Sulfate, chem.Alkalinity, chem.Bromide, chem.Fluoride, chem.Nitrate},
			func(a chem.Analysis) (found, error) {
				b, err := a.ChargeBalance()
				return found{value: b.Difference()}, err
			}, func(float64) words.Text { return "cations over anions: far from zero, a value is wrong or missing" }})
	if in.Kind != tanks.Marine {
		rules = append(rules, hardness(a)...)
	}
	return append(rules, in.allowedAmmonia(a)...)
}

// aired is pH in balance with outdoor air.
func (in Input) aired(a chem.Analysis) (found, error) {
	c, err := a.CarbonatesInAir(chem.AirCO2, in.By)
	return found{value: c.PH, doubt: c.Doubt.PH, equations: c.Equations}, err
}

// index is the Langelier index; calcium must be known for it.
func (in Input) index(a chem.Analysis) (found, error) {
	if v, known := a[chem.Calcium]; !known {
		return found{}, &chem.MissingError{For: "the Langelier index", Missing: []chem.Analyte{chem.Calcium}}
	} else if v == 0 {
		return found{}, errNoCalcium
	}
	return in.carbonate(func(c chem.Carbonates) (float64, float64) {
		return c.SaturationIndex(), c.Doubt.OmegaCalcite / c.OmegaCalcite / math.Ln10
	})(a)
}

// saturation is a saturation state; of nearly fresh water calcium must be known.
func (in Input) saturation(of func(chem.Carbonates) (value, doubt float64)) func(chem.Analysis) (found, error) {
	whole := in.carbonate(of)
	return func(a chem.Analysis) (found, error) {
		f, err := whole(a)
		if err == nil && math.IsNaN(f.value) {
			return found{}, &chem.MissingError{For: "the saturation", Missing: []chem.Analyte{chem.Calcium}}
		}
		return f, err
	}
}

var errNoCalcium = words.New("there is no calcium in it: calcite dissolves")

// ofAir says what oxygen is compared with.
func (in Input) ofAir(float64) words.Text {
	if in.By.Pressure == 0 || in.By.Pressure == 1 {
		return "of what air at sea level gives"
	}
	return words.T("of what air of %.2f atm gives", in.By.Pressure)
}

func none(float64) words.Text { return "" }

// besideAir compares a pressure of carbon dioxide with that of outdoor air, in µatm.
func besideAir(v, air float64) words.Text {
	switch {
	case v > 1.2*air:
		return words.T("above outdoor air (%.0f): aeration raises pH", air)
	case v < air/1.2:
		return words.T("below outdoor air (%.0f): aeration lowers pH", air)
	}
	return words.T("near outdoor air (%.0f)", air)
}

func saturated(v float64) words.Text {
	if v < 1 {
		return "below 1 the mineral dissolves"
	}
	return "above 1 the mineral can form"
}

func aboveZero(v float64) words.Text {
	if v < 0 {
		return "below zero the water dissolves calcite"
	}
	return "above zero calcite can form"
}

// departures are the ions compared with the sea of the same salinity; fresh water has
// none to compare with.
func (in Input) departures(a chem.Analysis, fresh bool) []Quantity {
	if fresh {
		return nil
	}
	var out []Quantity
	for _, info := range chem.Catalogue() {
		if _, known := a[info.Analyte]; !known || !info.Conservative {
			continue
		}
		x := info.Analyte
		r := rule{words.T("%s compared with seawater", info.Name), "%", 0, []chem.Analyte{x, chem.Salinity},
			func(a chem.Analysis) (found, error) {
				return plain(againstSea(a, x))
			}, func(float64) words.Text { return "of reference seawater of this salinity" }}
		out = append(out, r.quantity(a, in.Estimates))
	}
	return out
}

func againstSea(a chem.Analysis, x chem.Analyte) (float64, error) {
	alone := chem.Analysis{x: a[x]}
	if s, known := a[chem.Salinity]; known {
		alone[chem.Salinity] = s
	}
	departures, err := alone.AgainstSeawater()
	if err != nil {
		return 0, err
	}
	return 100 * departures[0].Ratio(), nil
}

// ModelShown writes twice the part of the uncertainty that is the equations' own.
func (q Quantity) ModelShown() words.Text {
	wide := 2 * q.Model
	return words.T("± %s", chem.Decimal(wide, max(0, min(q.Decimals+1, 1-int(math.Floor(math.Log10(wide)))))))
}

// Shown writes the value with the decimals that its uncertainty deserves, and
// twice the uncertainty, about a 95 % interval: "4.2 ± 0.8".
func (q Quantity) Shown() words.Text {
	decimals, value, wide := q.Decimals, q.Value, 2*q.Uncertainty
	if wide > 0 {
		// The interval's first digit is the last that means anything; a first
		// digit of 1 takes another with it.
		lead := math.Floor(math.Log10(wide))
		deserved := -int(lead)
		if wide < 2*math.Pow(10, lead) {
			deserved++
		}
		if step := math.Pow(10, float64(-deserved)); deserved < 0 {
			value, wide = step*math.Round(value/step), step*math.Round(wide/step)
		}
		decimals = max(0, min(decimals, deserved))
	}
	return words.T("%s ± %s", chem.Decimal(value, decimals), chem.Decimal(wide, decimals))
}
