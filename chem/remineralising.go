package chem

import (
	"maps"
	"math"
	"slices"

	"weirkeeper/assets/words"
)

// Minerals ask for amounts of products that bring a water to goals.
type Minerals struct {
	Water    Analysis // what it holds before
	Purified bool     // what was not measured of it counts as nothing, see [Portion]
	Litres   float64
	Goals    []Goal
	// CalciumToMagnesium is the ratio by mass that is asked for besides; zero: any.
	CalciumToMagnesium float64
	Products           []Product
	// Most is how much there is of each product, in its unit; nil, or zero for one:
	// enough.
	Most []float64
}

// Remineralised is what to put in and what comes of it.
type Remineralised struct {
	Amounts []float64 // by product, in its unit
	Water   Analysis  // what is known of it afterwards
	Missed  []Missed
	// Unmeasured are the analytes that counted as nothing because nobody measured
	// them in purified water.
	Unmeasured []Analyte
}

// ratioWithin is how near the ratio of calcium to magnesium must come, as a share
// of the calcium.
const ratioWithin = 0.02

// Solve returns the amounts, by least squares within what there is. The dissolved
// solids of a goal count the ions of the products, bicarbonate whole. The error is
// a *MissingError for a goal that nobody measured in the water, wraps [ErrVolume],
// or says what is wrong with a product.
func (m Minerals) Solve() (Remineralised, error) {
	if err := checkLitres("a water of", m.Litres); err != nil {
		return Remineralised{}, err
	}
	if err := checkGoals(m.Goals); err != nil {
		return Remineralised{}, err
	}
	if len(m.Products) == 0 {
		return Remineralised{}, words.Errorf("no product is chosen: choose what is on the shelf")
	}
	if !(m.CalciumToMagnesium >= 0) || !finite(m.CalciumToMagnesium) {
		return Remineralised{}, RangeError{Quantity: "ratio of calcium to magnesium", Value: m.CalciumToMagnesium, Low: 0,
			High: largestNumber}
	}
	effects, err := m.effects()
	if err != nil {
		return Remineralised{}, err
	}
	box, unmeasured, err := m.box(effects)
	if err != nil {
		return Remineralised{}, err
	}
	solution := Solve(box)
	if solution.Err != nil {
		return Remineralised{}, solution.Err
	}
	return m.made(solution.X, effects, unmeasured), nil
}

// With returns what comes of given amounts of the products, 0 or more each, such as
// those of [Minerals.Solve] rounded to what a balance shows. The errors are those
// of Solve.
func (m Minerals) With(amounts []float64) (Remineralised, error) {
	if err := checkLitres("a water of", m.Litres); err != nil {
		return Remineralised{}, err
	}
	if len(amounts) != len(m.Products) {
		return Remineralised{}, words.Errorf("%d amounts are given for %d products", len(amounts), len(m.Products))
	}
	for _, x := range amounts {
		if !(x >= 0 && x <= largestNumber) {
			return Remineralised{}, RangeError{Quantity: "amount", Value: x, Low: 0, High: largestNumber}
		}
	}
	effects, err := m.effects()
	if err != nil {
		return Remineralised{}, err
	}
	_, unmeasured, err := m.box(effects)
	if err != nil {
		return Remineralised{}, err
	}
	return m.made(amounts, effects, unmeasured), nil
}

func (m Minerals) made(amounts []float64, effects []Effects, unmeasured []Analyte) Remineralised {
	out := Remineralised{Amounts: amounts, Water: maps.Clone(m.Water), Unmeasured: unmeasured}
	if out.Water == nil {
		out.Water = Analysis{}
	}
	delete(out.Water, PH)
	m.apply(out, effects)
	out.Missed = missedOf(m.Goals, out.Water)
	return out
}

// effects are the products' effects with the dissolved solids among them.
func (m Minerals) effects() ([]Effects, error) {
	out := make([]Effects, len(m.Products))
	for j, p := range m.Products {
		e, err := p.Effects()
		if err != nil {
			return nil, words.Errorf("product %d: %w", j+1, err)
		}
		if _, said := e[TDS]; !said && e[Salinity] != 0 {
			e[TDS] = e[Salinity] / psuPerGramLitre * 1000
		}
		out[j] = e
	}
	return out, nil
}

// start returns what the water holds of an analyte before; a hardness that nobody
// tested follows from calcium and magnesium.
func (m Minerals) start(a Analyte) (v float64, assumed bool, err error) {
	v, known := m.Water[a]
	switch {
	case known:
		return v, false, plausible(a, v)
	case a == Hardness && m.Water.need("", Calcium, Magnesium) == nil:
		v, err = HardnessOf(m.Water[Calcium], m.Water[Magnesium])
		return v, false, err
	case m.Purified:
		return 0, true, nil
	}
	return 0, false, &MissingError{For: "remineralising", Missing: []Analyte{a}}
}

// box writes the question for the solver: a row for each goal, one for the ratio.
func (m Minerals) box(effects []Effects) (BoxProblem, []Analyte, error) {
	n := len(m.Products)
	p := BoxProblem{Cap: make([]float64, n)}
	for j := range n {
		p.Cap[j] = math.Inf(1)
		if j < len(m.Most) && m.Most[j] > 0 {
			p.Cap[j] = m.Most[j]
		}
	}
	var unmeasured []Analyte
	begin := func(a Analyte) (float64, error) {
		v, assumed, err := m.start(a)
		if assumed && !slices.Contains(unmeasured, a) {
			unmeasured = append(unmeasured, a)
		}
		return v, err
	}
	row := func(of func(Effects) float64, want, weight float64) {
		line := make([]float64, n)
		for j, e := range effects {
			line[j] = of(e) / m.Litres
		}
		p.A, p.Want, p.Weight = append(p.A, line), append(p.Want, want), append(p.Weight, weight)
	}
	for _, g := range m.Goals {
		now, err := begin(g.Analyte)
		if err != nil {
			return p, nil, err
		}
		row(func(e Effects) float64 { return e[g.Analyte] }, g.Value-now, 1/g.Within)
	}
	if r := m.CalciumToMagnesium; r > 0 {
		calcium, err := begin(Calcium)
		if err != nil {
			return p, nil, err
		}
		magnesium, err := begin(Magnesium)
		if err != nil {
			return p, nil, err
		}
		within := ratioWithin * m.expectedCalcium()
		row(func(e Effects) float64 { return e[Calcium] - r*e[Magnesium] }, r*magnesium-calcium, 1/within)
	}
	return p, unmeasured, nil
}

// expectedCalcium is about how much calcium in mg/L a water of the goals has, for the
// scale of its ratio to magnesium.
func (m Minerals) expectedCalcium() float64 {
	for _, g := range m.Goals {
		switch g.Analyte {
		case Calcium:
			return max(1, g.Value)
		case Hardness:
			return max(1, g.Value*speciesMass[Calcium]/2)
		}
	}
	return max(1, m.Water[Calcium])
}

// apply adds what the products give to what is known of the water; what was not
// measured is known afterwards only of purified water.
func (m Minerals) apply(out Remineralised, effects []Effects) {
	for _, info := range Catalogue() {
		a := info.Analyte
		if !a.Additive() {
			continue
		}
		var rise float64
		for j, e := range effects {
			rise += e[a] * out.Amounts[j] / m.Litres
		}
		before, _, err := m.start(a)
		if rise == 0 && err != nil || rise == 0 && before == 0 {
			continue
		}
		if err == nil {
			out.Water[a] = before + rise
		}
	}
}

// Carbonates returns the carbon dioxide system of the remineralised water right
// after the products went in, and in balance with air of ppm of carbon dioxide when dry: before must
// know pH, or be purified water, which is taken to be in balance with that air.
// The error is a *MissingError, a [RangeError] or wraps [ErrCarbon].
func (m Minerals) Carbonates(made Remineralised, ppm float64, by Conventions) (BlendedCarbonates, error) {
	before, err := Portion{Water: m.Water, Litres: m.Litres, Purified: m.Purified}.carbonates(ppm, by, m.Water[Temperature])
	if err != nil {
		return BlendedCarbonates{}, err
	}
	carbon, alkalinity := before.DIC, m.Water[Alkalinity]
	for j, p := range m.Products {
		if made.Amounts[j] == 0 {
			continue
		}
		d, err := p.CarbonateDose(made.Amounts[j], m.Litres)
		if err != nil {
			return BlendedCarbonates{}, words.Errorf("product %d: %w", j+1, err)
		}
		carbon += d.Carbon
		alkalinity += d.Alkalinity
	}
	w := maps.Clone(made.Water)
	w[Alkalinity] = alkalinity
	var out BlendedCarbonates
	if out.AtOnce, err = w.CarbonatesOfDIC(carbon, by); err != nil {
		return BlendedCarbonates{}, words.Errorf("right after the minerals: %w", err)
	}
	if out.Aired, err = w.CarbonatesInAir(ppm, by); err != nil {
		return BlendedCarbonates{}, words.Errorf("in balance with air: %w", err)
	}
	return out, nil
}
