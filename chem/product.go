package chem

import (
	"maps"
	"math"
	"slices"

	"weirkeeper/assets/words"
)

// Form tells whether a product is weighed or measured by volume.
type Form int

// The forms.
const (
	Solid Form = iota + 1
	Liquid
)

// Ingredient is a compound in a product: of a liquid in grams per litre of the
// product, of a solid as its share of the mass, 0 to 1. Either counts the
// compound as its key is written, water of crystallisation included.
type Ingredient struct {
	Compound string // a key of [Compounds]
	Amount   float64
}

// Strength is what a label says: Amount mL (or g) raise Litres of water by
// Raises in the analyte's canonical unit, below zero when it lowers.
type Strength struct {
	Analyte                Analyte
	Amount, Litres, Raises float64
}

// Product is what is in a bottle or bag: by ingredients, by the label, or both.
type Product struct {
	Form        Form
	Ingredients []Ingredient
	Label       []Strength
}

// Effects are changes of concentration, each in its analyte's canonical unit,
// that a mL (or g) of a product makes in one litre of water. The small volume
// that the product itself adds is not counted.
type Effects map[Analyte]float64

// AmountUnit returns the unit of amounts of the product: "mL" or "g".
func (p Product) AmountUnit() string {
	if p.Form == Liquid {
		return "mL"
	}
	return "g"
}

// species are the formulae in which analytes are counted.
var species = map[Analyte]string{
	Calcium: "Ca", Magnesium: "Mg", Potassium: "K", Strontium: "Sr", Boron: "B", Bromide: "Br", Fluoride: "F",
	Sodium: "Na", Chloride: "Cl", Sulfate: "SO4", Nitrate: "NO3", Nitrite: "NO2", Ammonia: "NH4", Phosphate: "PO4",
	Silicate: "SiO2", Iodine: "I", Iron: "Fe", Manganese: "Mn", Zinc: "Zn", Copper: "Cu", Cobalt: "Co", Nickel: "Ni",
	Molybdenum: "Mo", Vanadium: "V", Lithium: "Li", Barium: "Ba", Aluminium: "Al", Chromium: "Cr", Selenium: "Se",
	Tin: "Sn", Lanthanum: "La", Lead: "Pb", Arsenic: "As", Cadmium: "Cd", Mercury: "Hg", Silver: "Ag", Tungsten: "W",
	Rubidium: "Rb", Titanium: "Ti", Antimony: "Sb", Beryllium: "Be", TotalPhos: "P", Organic: "C",
	FreeChlorine: "Cl2", AllChlorine: "Cl2", Chloramine: "Cl2", Sulfide: "H2S",
}

// speciesMass is the molar mass of the species in g/mol.
var speciesMass = weighSpecies()

func weighSpecies() map[Analyte]float64 {
	m := make(map[Analyte]float64, len(species))
	for a, formula := range species {
		m[a] = molarMass(formula)
	}
	return m
}

// Effects returns what a mL (or g) does to one litre, with alkalinity, hardness
// and salinity. What the label says of an analyte wins over the ingredients.
// The error says what is missing or wrong in the description.
func (p Product) Effects() (Effects, error) {
	if p.Form != Solid && p.Form != Liquid {
		return nil, words.Errorf("it is neither solid nor liquid: choose one")
	}
	if len(p.Ingredients) == 0 && len(p.Label) == 0 {
		return nil, words.Errorf("nothing is said of its contents: give a compound or the label's strength")
	}
	e := Effects{}
	if err := p.addIngredients(e); err != nil {
		return nil, err
	}
	if err := p.setLabel(e); err != nil {
		return nil, err
	}
	return e, nil
}

func (p Product) addIngredients(e Effects) error {
	var total float64
	for _, in := range p.Ingredients {
		c, ok := Compound(in.Compound)
		if !ok {
			return words.Errorf("no compound of the table is written %q: choose one from the list", in.Compound)
		}
		if err := p.checkAmount(c, in.Amount); err != nil {
			return err
		}
		total += in.Amount
		grams := in.Amount
		if p.Form == Liquid {
			grams = in.Amount / 1000
		}
		c.addTo(e, grams)
	}
	if p.Form == Solid && total > 1+1e-9 {
		return words.Errorf("the shares of the ingredients add up to %.4g, more than the whole: give each as a share from 0 to 1", total)
	}
	return nil
}

// checkAmount returns a [RangeError] for an amount that no product can hold, of
// a solid in per cent.
func (p Product) checkAmount(c CompoundInfo, amount float64) error {
	const least = 1e-9
	value, high, unit := amount, 4000.0, "g/L"
	if p.Form == Solid {
		value, high, unit = 100*amount, 100, "%"
	}
	if value >= least && value <= high*(1+1e-9) {
		return nil
	}
	return RangeError{Quantity: "amount of " + c.Name, Value: value, Low: least, High: high, Unit: unit}
}

// setLabel puts the label's strengths in place of what the ingredients gave.
func (p Product) setLabel(e Effects) error {
	seen := map[Analyte]bool{}
	for _, s := range p.Label {
		effect := s.Raises * s.Litres / s.Amount
		switch {
		case !s.Analyte.Additive():
			return words.Errorf("%s does not rise in proportion to a dose: describe the product by its compounds", s.Analyte)
		case seen[s.Analyte]:
			return words.Errorf("the label's strength for %s is given twice: keep one", s.Analyte)
		case !(s.Amount > 0) || !(s.Litres > 0):
			return words.Errorf("the label's strength for %s needs an amount and a volume above zero", s.Analyte)
		case effect == 0 || math.IsNaN(effect) || math.IsInf(effect, 0):
			return words.Errorf("the label's strength for %s says no change: give how much it raises", s.Analyte)
		}
		seen[s.Analyte] = true
		e[s.Analyte] = effect
	}
	if (seen[Calcium] || seen[Magnesium]) && !seen[Hardness] {
		e[Hardness] = e[Calcium]/speciesMass[Calcium] + e[Magnesium]/speciesMass[Magnesium]
	}
	return nil
}

// Additive tells whether an analyte rises in proportion to a dose.
func (a Analyte) Additive() bool {
	_, known := catalogue[a]
	return known && !slices.Contains(notAdditive, a)
}

// notAdditive are what no dose raises in proportion: states of the water or the
// place, not amounts in it.
var notAdditive = []Analyte{Temperature, PH, Conductivity, Redox, Light, WaterLevel, Flow}

// psuPerGramLitre is practical salinity for a gram of dissolved salt in a litre
// of seawater: 35/35.16504 for a g/kg (Millero et al. 2008), at the EOS-80
// density of S 35 and 25 °C. It is sea salt's; other salts conduct otherwise,
// so it is a rule for side effects.
const psuPerGramLitre = 35 / 35.16504 / 1.0233412

// addTo adds the effects of grams of the compound in one litre. Alkalinity is
// counted into the salt as bicarbonate, which it becomes in contact with air.
func (c CompoundInfo) addTo(e Effects, grams float64) {
	mmol := 1000 * grams / c.Formula.MolarMass()
	salt := mmol * c.AlkPerMol * molHCO3
	for _, a := range slices.Sorted(maps.Keys(c.Gives)) {
		mg := mmol * c.Gives[a] * speciesMass[a]
		if a != Organic && a != FreeChlorine {
			salt += mg
		}
		e[a] += mg / milligrams(a)
		if a == Calcium || a == Magnesium {
			e[Hardness] += mmol * c.Gives[a]
		}
	}
	if c.AlkPerMol != 0 {
		e[Alkalinity] += mmol * c.AlkPerMol
	}
	if salt != 0 {
		e[Salinity] += salt / 1000 * psuPerGramLitre
	}
}

var molHCO3 = molarMass("HCO3")

// milligrams is how many mg/L one canonical unit of a is.
func milligrams(a Analyte) float64 {
	if catalogue[a].Unit == UgL {
		return 1e-3
	}
	return 1
}

// Cautions returns how to handle the product's compounds, each caution once, in
// the order of the ingredients.
func (p Product) Cautions() []words.Text {
	var out []words.Text
	for _, in := range p.Ingredients {
		c, ok := Compound(in.Compound)
		if ok && c.Caution != "" && !slices.Contains(out, c.Caution) {
			out = append(out, c.Caution)
		}
	}
	return out
}

// Undissolved returns the ingredients of a liquid that are stronger than the
// compound's solubility in pure water at 20 °C, each alone: they would settle.
func (p Product) Undissolved() []CompoundInfo {
	if p.Form != Liquid {
		return nil
	}
	var out []CompoundInfo
	for _, in := range p.Ingredients {
		c, ok := Compound(in.Compound)
		if ok && c.SolubilityGPerL > 0 && in.Amount > c.SolubilityGPerL {
			out = append(out, c)
		}
	}
	return out
}
