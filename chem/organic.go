package chem

// What an organic compound does to alkalinity comes in three steps. At once its
// anions count in total alkalinity as far as their acid is weaker than pK 4.5
// (Dickson 1981), though near pH 8 they hold no protons; what bears on pH is
// therefore less. Later bacteria burn each anion to as much bicarbonate as it has
// charges.

// organic are the acid anions that stand in compounds of the table.
type organic struct {
	// held is the equivalents of total alkalinity of a mole that are no
	// carbonate's: a titration finds them, pH does not.
	held float64
	// later is what a mole gives besides, once bacteria have used it up.
	later float64
}

// organics are by formula. pK of the acids, Harris, Quantitative Chemical
// Analysis, appendix G (from memory): formic 3.74, gluconic 3.86, ascorbic 4.10,
// acetic 4.76, citric 3.13, 4.76 and 6.40.
var organics = map[string]organic{
	"CH3COO^-": {held: 1}, "HCOO^-": {later: 1}, "C6H5O7^3-": {held: 2, later: 1},
	"C6H7O6^-": {later: 1}, "C6H11O7^-": {later: 1},
}

// organicSum adds up what the anions of a mole hold and give later.
func (c CompoundInfo) organicSum() organic {
	var sum organic
	for _, ion := range c.Ions {
		o := organics[ion.Formula.String()]
		sum.held += ion.N * o.held
		sum.later += ion.N * o.later
	}
	return sum
}

// AlkalinityLater returns the meq of alkalinity that a mL (or g) of the product
// gives a litre besides its effect at once, when bacteria have used the organic
// acids of its compounds up: zero for salts of mineral acids. The label's
// strength for alkalinity is taken to tell all.
func (p Product) AlkalinityLater() float64 {
	for _, s := range p.Label {
		if s.Analyte == Alkalinity {
			return 0
		}
	}
	return p.sumOf(func(o organic) float64 { return o.later })
}

// sumOf adds up meq in a unit of the product over its compounds.
func (p Product) sumOf(of func(organic) float64) float64 {
	var sum float64
	for _, in := range p.Ingredients {
		c, ok := Compound(in.Compound)
		if !ok {
			continue
		}
		mmol := 1000 * in.Amount / c.Formula.MolarMass()
		if p.Form == Liquid {
			mmol /= 1000
		}
		sum += mmol * of(c.organicSum())
	}
	return sum
}

// CarbonateDose is [Product.AlkalinityDose] as it bears on pH: without the
// alkalinity that organic anions hold, which a titration finds and pH does not.
// Vinegar lowers pH though a titration sees little of it. The errors are those
// of AlkalinityDose.
func (p Product) CarbonateDose(amount, litres float64) (AlkalinityDose, error) {
	d, err := p.AlkalinityDose(amount, litres)
	if err != nil {
		return AlkalinityDose{}, err
	}
	d.Alkalinity -= p.sumOf(func(o organic) float64 { return o.held }) * amount / litres
	return d, nil
}
