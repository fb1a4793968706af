package chem

import (
	"fmt"
	"math"
	"slices"
)

// Form tells whether a product is weighed or measured by volume.
type Form int

// The forms.
const (
	Solid Form = iota + 1
	Liquid
)

// Ingredient is a compound in a product: of a liquid in grams per litre of the
// product, of a solid as its share of the mass, 0 to 1.
type Ingredient struct {
	Compound string
	Amount   float64
}

// Strength is what a label says: Amount mL (or g) raise Litres of water by
// Raises in the analyte's canonical unit.
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
// that a mL (or g) of a product makes in one litre of water.
type Effects map[Analyte]float64

// AmountUnit returns the unit of amounts of the product: "mL" or "g".
func (p Product) AmountUnit() string {
	if p.Form == Liquid {
		return "mL"
	}
	return "g"
}

// speciesMass is g/mol of the species in which an analyte is counted.
var speciesMass = map[Analyte]string{
	Calcium: "Ca", Magnesium: "Mg", Potassium: "K", Strontium: "Sr", Boron: "B", Bromide: "Br", Fluoride: "F",
	Sodium: "Na", Chloride: "Cl", Sulfate: "SO4", Nitrate: "NO3", Nitrite: "NO2", Ammonia: "NH4", Phosphate: "PO4",
	Silicate: "SiO2", Iodine: "I", Iron: "Fe", Manganese: "Mn", Zinc: "Zn", Copper: "Cu", Cobalt: "Co", Nickel: "Ni",
	Molybdenum: "Mo", Vanadium: "V", Lithium: "Li", Barium: "Ba", Aluminium: "Al", Chromium: "Cr", Selenium: "Se",
	Tin: "Sn", Lanthanum: "La",
}

var speciesMolar = buildSpecies()

func buildSpecies() map[Analyte]float64 {
	m := make(map[Analyte]float64, len(speciesMass))
	for a, text := range speciesMass {
		f, err := ParseFormula(text)
		if err != nil {
			panic(fmt.Sprintf("species table: %v", err))
		}
		m[a] = f.MolarMass()
	}
	return m
}

// Effects returns what a mL (or g) does to one litre. What the label says of
// an analyte wins over the ingredients. The error says what is not described.
func (p Product) Effects() (Effects, error) {
	if p.Form != Solid && p.Form != Liquid {
		return nil, fmt.Errorf("it is neither solid nor liquid")
	}
	if len(p.Ingredients) == 0 && len(p.Label) == 0 {
		return nil, fmt.Errorf("nothing is said of what it contains")
	}
	e := Effects{}
	var share float64
	for _, in := range p.Ingredients {
		c, ok := Compound(in.Compound)
		if !ok {
			return nil, fmt.Errorf("no compound is written %q", in.Compound)
		}
		if in.Amount <= 0 || math.IsNaN(in.Amount) || math.IsInf(in.Amount, 0) {
			return nil, fmt.Errorf("the amount of %s is %g: give more than zero", c.Name, in.Amount)
		}
		grams := in.Amount // per g of a solid
		if p.Form == Liquid {
			grams = in.Amount / 1000
		} else if share += in.Amount; share > 1+1e-9 {
			return nil, fmt.Errorf("the shares add to %.3g, more than all of it", share)
		}
		c.addTo(e, grams)
	}
	for _, s := range p.Label {
		if s.Amount <= 0 || s.Litres <= 0 || math.IsNaN(s.Raises) {
			return nil, fmt.Errorf("the label's strength for %s needs an amount and a volume above zero", s.Analyte)
		}
		e[s.Analyte] = s.Raises * s.Litres / s.Amount
	}
	return e, nil
}

// saltToPSU is practical salinity per g/kg of sea salt (TEOS-10: 35/35.16504),
// taken for any salt and with a kilogram a litre: a rule for side effects.
const saltToPSU = 35 / 35.16504

// addTo adds the effects of grams of the compound in one litre.
func (c CompoundInfo) addTo(e Effects, grams float64) {
	mmol := 1000 * grams / c.Formula.MolarMass()
	var salt float64
	for a, n := range c.Gives {
		mg := mmol * n * speciesMolar[a]
		salt += mg / 1000
		e[a] += mg * perMg(a)
		if a == Calcium || a == Magnesium {
			e[Hardness] += mmol * n
		}
	}
	if c.AlkPerMol != 0 {
		e[Alkalinity] += mmol * c.AlkPerMol
	}
	e[Salinity] += salt * saltToPSU
}

// perMg converts mg/L into the analyte's canonical unit.
func perMg(a Analyte) float64 {
	if catalogue[a].Unit == UgL {
		return 1000
	}
	return 1
}

// Cautions returns the handling cautions of the product's compounds, each once.
func (p Product) Cautions() []string {
	var out []string
	for _, in := range p.Ingredients {
		c, ok := Compound(in.Compound)
		if ok && c.Caution != "" && !slices.Contains(out, c.Caution) {
			out = append(out, c.Caution)
		}
	}
	return out
}
