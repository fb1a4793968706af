package derive

import (
	"math"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/chem/seawater"
	"weirkeeper/tanks"
)

// Quantity is one thing that follows from readings.
type Quantity struct {
	Name        words.Text
	Value       float64
	Uncertainty float64    // standard uncertainty, passed on from the readings
	Unit        string     // empty: a pure number
	Decimals    int        // that are shown at most
	Remark      words.Text // what the value means, in plain words
	From        []chem.Analyte
	Oldest      time.Time // of the readings it rests on
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
	// Scale of the pH readings.
	Scale seawater.PHScale
	// Pressure is the barometric pressure in atm; zero: one.
	Pressure float64
}

// rule is how one quantity follows from an analysis.
type rule struct {
	name     words.Text
	unit     string
	decimals int
	uses     []chem.Analyte // those that are known pass on their uncertainty
	value    func(chem.Analysis) (float64, error)
	remark   func(v float64) words.Text
}

// Of returns what follows from the readings, in a fixed order that depends on
// the kind of water. A system without any reading has nothing to follow.
func Of(in Input) []Quantity {
	if len(in.Estimates) == 0 {
		return nil
	}
	a := chem.Analysis{}
	for analyte, e := range in.Estimates {
		if e.Limit != tanks.Above {
			a[analyte] = e.Value
		}
	}
	_, salinity := a[chem.Salinity]
	_, conductivity := a[chem.Conductivity]
	fresh := in.Kind == tanks.Freshwater
	assumed := !salinity && !conductivity && fresh
	if assumed {
		a[chem.Salinity] = 0
	}
	if in.Pressure == 0 {
		in.Pressure = 1
	}
	var out []Quantity
	for _, r := range in.rules(fresh) {
		out = append(out, r.quantity(a, in.Estimates))
	}
	if assumed {
		out[0].Remark = "taken as without salt: measure conductivity"
	}
	return append(out, in.departures(a, fresh)...)
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
	if q.Value, q.Err = r.value(a); q.Err != nil {
		return q
	}
	q.Uncertainty = passedOn(a, q, estimates, r.value)
	q.Remark = r.remark(q.Value)
	return q
}

// passedOn is the standard uncertainty of a value by the law of propagation,
// with numeric sensitivities over ± one standard uncertainty of each reading
// (GUM, JCGM 100:2008, 5.1.3, note 2). At the edge of an equation's range the
// side that holds counts double.
func passedOn(a chem.Analysis, q Quantity, estimates map[chem.Analyte]tanks.Estimate, value func(chem.Analysis) (float64, error)) float64 {
	var squares float64
	for _, x := range q.From {
		u := estimates[x].Uncertainty
		original := a[x]
		a[x] = original + u
		up, errUp := value(a)
		a[x] = max(0, original-u)
		down, errDown := value(a)
		a[x] = original
		switch {
		case errUp == nil && errDown == nil:
			squares += math.Pow((up-down)/2, 2)
		case errUp == nil:
			squares += math.Pow(up-q.Value, 2)
		case errDown == nil:
			squares += math.Pow(q.Value-down, 2)
		}
	}
	return math.Sqrt(squares)
}

func (in Input) rules(fresh bool) []rule {
	carbonate := []chem.Analyte{chem.PH, chem.Alkalinity, chem.Temperature, chem.Salinity, chem.Conductivity}
	withCalcium := append([]chem.Analyte{chem.Calcium}, carbonate...)
	system := func(of func(chem.Carbonates) float64) func(chem.Analysis) (float64, error) {
		return func(a chem.Analysis) (float64, error) {
			c, err := a.Carbonates(in.Scale)
			return of(c), err
		}
	}
	rules := []rule{
		{"Free carbon dioxide", "mg/L", 2, carbonate, system(func(c chem.Carbonates) float64 { return c.CO2 }), none},
		{"Carbon dioxide pressure", "µatm", 0, carbonate, system(func(c chem.Carbonates) float64 { return c.PCO2 }), besideAir},
		{"pH once aired", "", 2, carbonate[1:], func(a chem.Analysis) (float64, error) {
			c, err := a.CarbonatesInAir(chem.AirPCO2, in.Scale)
			return c.PH, err
		}, func(float64) words.Text {
			return words.T("%s, in balance with outdoor air of %d µatm", in.Scale, chem.AirPCO2)
		}},
	}
	if fresh {
		rules = append(rules, rule{"Langelier index", "", 1, withCalcium, func(a chem.Analysis) (float64, error) {
			if _, known := a[chem.Calcium]; !known {
				return 0, &chem.MissingError{For: "the Langelier index", Missing: []chem.Analyte{chem.Calcium}}
			}
			c, err := a.Carbonates(in.Scale)
			return c.SaturationIndex(), err
		}, aboveZero})
	} else {
		rules = append(rules,
			rule{"Aragonite saturation", "", 1, withCalcium, system(func(c chem.Carbonates) float64 { return c.OmegaAragonite }),
				saturated},
			rule{"Calcite saturation", "", 1, withCalcium, system(func(c chem.Carbonates) float64 { return c.OmegaCalcite }), saturated})
	}
	return append(rules,
		rule{"Un-ionised ammonia", "mg/L NH3", 3, []chem.Analyte{chem.Ammonia, chem.PH, chem.Temperature, chem.Salinity, chem.Conductivity},
			func(a chem.Analysis) (float64, error) {
				u, err := a.UnionizedAmmonia(in.Scale)
				return u.MgL, err
			}, func(float64) words.Text { return "the form that harms fish" }},
		rule{"Oxygen saturation", "%", 0, []chem.Analyte{chem.Oxygen, chem.Temperature, chem.Salinity, chem.Conductivity},
			func(a chem.Analysis) (float64, error) {
				return a.OxygenSaturation(in.Pressure)
			}, func(float64) words.Text { return "of what air at sea level gives" }},
		rule{"Charge balance", "%", 1, []chem.Analyte{chem.Sodium, chem.Magnesium, chem.Calcium, chem.Potassium, chem.Strontium,
			chem.Chloride, chem.Sulfate, chem.Alkalinity, chem.Bromide, chem.Fluoride, chem.Nitrate},
			func(a chem.Analysis) (float64, error) {
				b, err := a.ChargeBalance()
				return b.Difference(), err
			}, func(float64) words.Text { return "cations over anions: far from zero, a value is wrong or missing" }})
}

func none(float64) words.Text { return "" }

func besideAir(v float64) words.Text {
	switch {
	case v > 1.2*chem.AirPCO2:
		return words.T("above outdoor air (%d): aeration raises pH", chem.AirPCO2)
	case v < chem.AirPCO2/1.2:
		return words.T("below outdoor air (%d): aeration lowers pH", chem.AirPCO2)
	}
	return words.T("near outdoor air (%d)", chem.AirPCO2)
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
			func(a chem.Analysis) (float64, error) {
				return againstSea(a, x)
			}, func(float64) words.Text { return "of reference seawater of this salinity" }}
		out = append(out, r.quantity(a, in.Estimates))
	}
	return out
}

var errNoSea = words.New("fresh water has no sea of its salinity")

func againstSea(a chem.Analysis, x chem.Analyte) (float64, error) {
	if a[chem.Salinity] == 0 {
		if _, known := a[chem.Salinity]; known {
			return 0, errNoSea
		}
	}
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
