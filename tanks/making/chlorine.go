package making

import (
	"slices"

	"weirkeeper/chem"
)

// chlorine is what is known of a portion's chlorine and what takes it out.
type chlorine struct {
	portion Portion
	unknown bool // nobody measured it
	needs   chem.Dechlorination
}

var chlorines = []chem.Analyte{chem.FreeChlorine, chem.AllChlorine, chem.Chloramine}

// thiosulfate is what takes chlorine out.
const thiosulfate = "Na2S2O3·5H2O"

// dechlorinate takes the chlorine out of each portion before anything else goes in,
// and counts what that leaves in the water. Tetrathionate is not counted.
func (b *batch) dechlorinate() {
	m := b.made
	for _, p := range m.Portions {
		s := b.order.Sources[p.Source]
		if s.Purified {
			continue
		}
		one := chem.Blended{Water: s.analysis(), Litres: p.Litres}
		d, err := one.Dechlorination()
		if err != nil {
			if b.salty(p) {
				continue // of salt water nobody expects chlorine
			}
			b.chlorine = append(b.chlorine, chlorine{portion: p, unknown: true})
			continue
		}
		if d.Grams > 0 {
			b.chlorine = append(b.chlorine, chlorine{portion: p, needs: d})
			b.addLeftBy(d, p.Litres)
		}
	}
	for _, a := range chlorines {
		if _, known := m.Blend.Water[a]; known {
			m.Blend.Water[a] = 0
		}
	}
}

// salty tells water that comes from a vat of salt water.
func (b *batch) salty(p Portion) bool {
	return b.order.Sources[p.Source].analysis()[chem.Salinity] > saltWater
}

// addLeftBy counts the ammonia that chloramine leaves, and the sodium and chloride
// of the reaction: two moles of thiosulfate bring four of sodium for each of Cl2, which becomes two of
// chloride.
func (b *batch) addLeftBy(d chem.Dechlorination, litres float64) {
	m := b.made
	ammonia := d.Ammonia * litres / m.Blend.Litres
	m.Ammonia += ammonia
	if _, known := m.Blend.Water[chem.Ammonia]; !known && ammonia > 0 {
		m.Unmeasured = append(m.Unmeasured, chem.Ammonia) // counted as none before
		m.Blend.Water[chem.Ammonia] = 0
	}
	if ammonia > 0 {
		m.Blend.Water[chem.Ammonia] += ammonia
	}
	info, _ := chem.Compound(thiosulfate)
	mmol := d.Grams / info.Formula.MolarMass() * 1000 / m.Blend.Litres
	sodium, _ := chem.AtomicWeight("Na")
	chloride, _ := chem.AtomicWeight("Cl")
	for a, add := range map[chem.Analyte]float64{chem.Sodium: 2 * mmol * sodium, chem.Chloride: mmol * chloride} {
		if _, known := m.Blend.Water[a]; known {
			m.Blend.Water[a] += add
		}
	}
}

// chlorineProduct is the place of a chosen product that takes chlorine out, with the
// grams of thiosulfate in one of its unit.
func (o Order) chlorineProduct() (place int, grams float64, ok bool) {
	for i, p := range o.Products {
		if !TakesChlorine(p.Contents) {
			continue
		}
		for _, in := range p.Contents.Ingredients {
			if in.Compound == thiosulfate && p.Contents.Form == chem.Liquid {
				return i, in.Amount / 1000, true
			}
			if in.Compound == thiosulfate {
				return i, in.Amount, true
			}
		}
	}
	return 0, 0, false
}

func isThiosulfate(in chem.Ingredient) bool { return in.Compound == thiosulfate }

// TakesChlorine tells whether a product takes chlorine out.
func TakesChlorine(p chem.Product) bool { return slices.ContainsFunc(p.Ingredients, isThiosulfate) }
