package chem

import (
	"maps"
	"math"

	"weirkeeper/assets/words"
	"weirkeeper/chem/seawater"
)

// Portion is a water that goes into a mix.
type Portion struct {
	Water  Analysis
	Litres float64
	// Purified is water of reverse osmosis, resin or a still: what was not measured
	// of it counts as nothing, and the mix says so.
	Purified bool
}

// Blended is the water that portions make.
type Blended struct {
	Water  Analysis
	Litres float64
	// Unmeasured are the analytes of which a purified portion was counted as
	// holding none because nobody measured it.
	Unmeasured []Analyte
}

// BlendMany returns the water that any number of portions make, each of more than
// nothing. It holds the analytes that all of them know: each one's mass is
// conserved, salinity by mass and density, temperature by enthalpy. Volumes are
// taken to add up and conductivity to mix in proportion, which is right within
// some per cent among fresh waters. pH, redox and carbon dioxide are left out:
// [BlendCarbonates] tells of those. The error wraps [ErrVolume] or is a
// [RangeError].
func BlendMany(portions ...Portion) (Blended, error) {
	m := Blended{Water: Analysis{}}
	for _, p := range portions {
		if err := checkLitres("a portion of", p.Litres); err != nil {
			return Blended{}, err
		}
		m.Litres += p.Litres
	}
	if len(portions) == 0 {
		return Blended{}, words.Errorf("a mix of no waters: give two or more")
	}
	for _, info := range Catalogue() {
		a := info.Analyte
		if !mixes(a) {
			continue
		}
		mean, assumed, known, err := meanOf(a, portions, m.Litres)
		switch {
		case err != nil:
			return Blended{}, err
		case !known:
			continue
		case assumed:
			m.Unmeasured = append(m.Unmeasured, a)
		}
		m.Water[a] = mean
	}
	if err := m.setSalinity(portions); err != nil {
		return Blended{}, err
	}
	return m, m.setTemperature(portions)
}

// mixes tells the analytes that mix by volume.
func mixes(a Analyte) bool {
	return a == Conductivity || a.Additive() && a != Salinity && a != CarbonDi
}

// meanOf returns the mean by volume of what all portions know.
func meanOf(a Analyte, portions []Portion, litres float64) (mean float64, assumed, known bool, err error) {
	some := false
	for _, p := range portions {
		v, measured := p.Water[a]
		if !measured && !p.Purified {
			return 0, false, false, nil
		}
		if measured {
			if err := plausible(a, v); err != nil {
				return 0, false, false, err
			}
		}
		some = some || measured
		assumed = assumed || !measured
		mean += v * p.Litres / litres
	}
	return mean, assumed, some, nil
}

// weighed is a portion by its mass and salt.
type weighed struct {
	kg, salt float64 // salt in g/kg
	psu      float64
}

// weigh returns the mass of a portion; of a purified one that nobody measured
// salinity counts as none.
func (p Portion) weigh() (weighed, bool, error) {
	s, err := p.Water.salinity()
	if err != nil && !p.Purified {
		return weighed{}, false, nil
	}
	tC, known := p.Water[Temperature]
	if !known {
		tC = 25
	}
	rho, err := seawater.Density(s, tC)
	if err != nil {
		return weighed{}, false, err
	}
	grams, err := seawater.ReferenceSalinity(s)
	return weighed{p.Litres * rho / 1000, grams, s}, true, err
}

// setSalinity conserves the mass of salt.
func (m *Blended) setSalinity(portions []Portion) error {
	var kg, grams float64
	stated := false
	for _, p := range portions {
		w, known, err := p.weigh()
		if err != nil || !known {
			return err
		}
		_, measured := p.Water[Salinity]
		stated = stated || measured
		kg += w.kg
		grams += w.kg * w.salt
	}
	if !stated {
		return nil // the conductivity tells it
	}
	one, err := seawater.ReferenceSalinity(1)
	if err != nil {
		return err
	}
	m.Water[Salinity] = grams / kg / one
	return nil
}

// setTemperature conserves the heat of the portions whose temperature is known.
func (m *Blended) setTemperature(portions []Portion) error {
	var heat, capacity float64
	for _, p := range portions {
		tC, known := p.Water[Temperature]
		if !known {
			return nil
		}
		w, known, err := p.weigh()
		if err != nil {
			return err
		}
		if !known {
			w = weighed{kg: p.Litres}
		}
		c := w.kg * HeatCapacity(w.psu, tC)
		heat += c * tC
		capacity += c
	}
	m.Water[Temperature] = heat / capacity
	return nil
}

// HeatCapacity returns about how many kJ warm a kg of water of practical
// salinity s by a degree at tC: Millero, Perron and Desnoyers 1973 as in UNESCO
// 1983 (the coefficients from memory), for 0 to 40 of both; nearest edge outside.
func HeatCapacity(s, tC float64) float64 {
	s, t := min(max(s, 0), 40), min(max(tC, 0), 40)
	pure := 4217.4 + t*(-3.720283+t*(0.1412855+t*(-2.654387e-3+t*2.093236e-5)))
	salt := s*(-7.643575+t*(0.1072763-t*1.38385e-3)) + s*math.Sqrt(s)*(0.1770383+t*(-4.07718e-3+t*5.148e-5))
	return (pure + salt) / 1000
}

// BlendedCarbonates is the carbon dioxide system of a mix.
type BlendedCarbonates struct {
	AtOnce Carbonates // as it is mixed, no carbon has come or gone
	Aired  Carbonates // in balance with air
}

// BlendCarbonates returns the carbon dioxide system of the mix of portions, from
// the carbon that each brings with it, and in balance with air of ppm of carbon dioxide when dry. A
// purified portion without pH is taken to be in balance with that air. The error
// is a *MissingError, wraps [ErrVolume] or is a [RangeError].
func BlendCarbonates(ppm float64, by Conventions, portions ...Portion) (BlendedCarbonates, error) {
	m, err := BlendMany(portions...)
	if err != nil {
		return BlendedCarbonates{}, err
	}
	var carbon float64 // mmol
	for _, p := range portions {
		c, err := p.carbonates(ppm, by, m.Water[Temperature])
		if err != nil {
			return BlendedCarbonates{}, err
		}
		carbon += c.DIC * p.Litres
	}
	var out BlendedCarbonates
	if out.AtOnce, err = m.Water.CarbonatesOfDIC(carbon/m.Litres, by); err != nil {
		return BlendedCarbonates{}, words.Errorf("as it is mixed: %w", err)
	}
	if out.Aired, err = m.Water.CarbonatesInAir(ppm, by); err != nil {
		return BlendedCarbonates{}, words.Errorf("in balance with air: %w", err)
	}
	return out, nil
}

func (p Portion) carbonates(ppm float64, by Conventions, tC float64) (Carbonates, error) {
	_, measured := p.Water[PH]
	if measured || !p.Purified {
		return p.Water.Carbonates(by)
	}
	w := Analysis{Alkalinity: 0, Salinity: 0, Temperature: tC}
	maps.Copy(w, p.Water)
	return w.CarbonatesInAir(ppm, by)
}

// Dechlorination returns the thiosulfate for the mix and the ammonia that its
// chloramine leaves, from total chlorine, or else from free chlorine, with
// chloramine. The error is a *MissingError without any of them, or a
// [RangeError].
func (m Blended) Dechlorination() (Dechlorination, error) {
	combined, hasCombined := m.Water[Chloramine]
	total, hasTotal := m.Water[AllChlorine]
	free, hasFree := m.Water[FreeChlorine]
	switch {
	case hasTotal && hasFree && !hasCombined:
		combined = max(0, total-free)
	case hasTotal:
		free = max(0, total-combined)
	case !hasFree && !hasCombined:
		return Dechlorination{}, &MissingError{For: "taking the chlorine out", Missing: []Analyte{AllChlorine}}
	}
	plain, err := Dechlorinate(m.Litres, free, false)
	if err != nil {
		return Dechlorination{}, err
	}
	bound, err := Dechlorinate(m.Litres, combined, true)
	if err != nil {
		return Dechlorination{}, err
	}
	return Dechlorination{Grams: plain.Grams + bound.Grams, Least: plain.Least + bound.Least, Ammonia: bound.Ammonia}, nil
}

// Batches returns how many batches of how many litres make litres in a vat, the
// fewest that fit, all alike. The error wraps [ErrVolume].
func Batches(litres, vat float64) (n int, each float64, err error) {
	if err := checkLitres("a need of", litres); err != nil {
		return 0, 0, err
	}
	if err := checkLitres("a vat of", vat); err != nil {
		return 0, 0, err
	}
	const most = 10000
	count := math.Ceil(litres/vat - 1e-9)
	if count > most {
		return 0, 0, RangeError{Quantity: "number of batches", Value: count, Low: 1, High: most}
	}
	n = max(1, int(count))
	return n, litres / float64(n), nil
}
