package making

import (
	"maps"
	"math"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// errSaltUnknown says why a mix of sea salt has no pH beforehand.
var errSaltUnknown = words.New("what the sea salt brings besides salinity is not known: measure it once it is mixed")

// kilojoules in a kWh.
const perKWh = 3600

// warm sets the temperature that the water is brought to and what that takes. The
// heat that salts set free is not counted.
func (b *batch) warm() {
	m := b.made
	g, asked := b.order.goal(chem.Temperature)
	now, known := m.Blend.Water[chem.Temperature]
	if !asked {
		if !known {
			m.After[chem.Temperature] = usualTemperature
		}
		return
	}
	m.After[chem.Temperature] = g.Value
	if known {
		b.kwh = m.Blend.Litres * chem.HeatCapacity(m.Blend.Water[chem.Salinity], (now+g.Value)/2) * (g.Value - now) / perKWh
	}
}

// settlePH finds pH as mixed and once aired, by the carbon that the waters and the
// minerals bring.
func (b *batch) settlePH() {
	m := b.made
	if b.salt.Kg > 0 {
		m.NoPH = errSaltUnknown
		return
	}
	_, asked := m.After[chem.Alkalinity]
	if !asked {
		m.NoPH = &chem.MissingError{For: "pH", Missing: []chem.Analyte{chem.Alkalinity}}
		return
	}
	t := m.After[chem.Temperature]
	parts := b.order.portions(m.Portions)
	for i, p := range parts { // all at the temperature that the water is brought to
		p.Water[chem.Temperature] = t
		if _, measured := p.Water[chem.Alkalinity]; !measured && p.Purified {
			p.Water[chem.Alkalinity] = 0
		}
		parts[i] = p
	}
	waters, err := chem.BlendCarbonates(b.order.Air, b.order.By, parts...)
	if err != nil {
		m.NoPH = err
		return
	}
	m.AtOnce, m.After[chem.PH] = waters.AtOnce.PH, waters.Aired.PH
	if len(m.Doses) == 0 {
		return
	}
	with := b.minerals
	with.Water = cloneWith(chem.Analysis{chem.Alkalinity: 0}, m.Blend.Water)
	with.Water[chem.Temperature], with.Water[chem.PH] = t, waters.AtOnce.PH
	made := b.weighed
	made.Water = cloneWith(m.After, map[chem.Analyte]float64{chem.Temperature: t})
	delete(made.Water, chem.PH)
	c, err := with.Carbonates(made, b.order.Air, b.order.By)
	if err != nil {
		delete(m.After, chem.PH)
		m.AtOnce, m.NoPH = math.NaN(), err
		return
	}
	m.AtOnce, m.After[chem.PH] = c.AtOnce.PH, c.Aired.PH
}

func cloneWith(a chem.Analysis, more map[chem.Analyte]float64) chem.Analysis {
	out := maps.Clone(a)
	maps.Copy(out, more)
	return out
}

// Doubts that come with the work, as shares (standard uncertainties; common
// practice, no source).
const (
	volumeDoubt   = 0.01 // of each water, by the marks of a vat
	strengthDoubt = 0.02 // of a product
	airDoubt      = 0.15 // in pH, by how much carbon dioxide the room's air has
)

// findDoubts passes on what is not quite known: the waters' readings, their volumes,
// the products' strength and the balance.
func (b *batch) findDoubts() {
	m := b.made
	m.U = map[chem.Analyte]float64{}
	for a := range m.After {
		switch a {
		case chem.PH:
			m.U[a] = airDoubt
		case chem.Temperature:
			m.U[a] = 0
		default:
			m.U[a] = math.Sqrt(b.squaresOfWaters(a) + b.squaresOfDoses(a))
		}
	}
	if b.salt.Kg > 0 {
		m.U[chem.Salinity] = strengthDoubt * b.salt.PSU
	}
	if before, after := m.Blend.Water[chem.Conductivity], m.After[chem.Conductivity]; after > before {
		m.U[chem.Conductivity] = math.Hypot(m.U[chem.Conductivity], math.Hypot(chem.ConductivityDoubt, strengthDoubt)*(after-before))
	}
}

func (b *batch) squaresOfWaters(a chem.Analyte) float64 {
	var sum float64
	for _, p := range b.made.Portions {
		e, known := b.order.Sources[p.Source].Known[a]
		if !known {
			continue
		}
		share := p.Litres / b.made.Blend.Litres
		sum += math.Pow(share*e.Uncertainty, 2) + math.Pow(share*volumeDoubt*(e.Value-b.made.Blend.Water[a]), 2)
	}
	return sum
}

func (b *batch) squaresOfDoses(a chem.Analyte) float64 {
	var sum float64
	for _, d := range b.made.Doses {
		e, err := d.Product.Effects()
		if err != nil {
			continue
		}
		rise := e[a] * d.Amount / b.made.Litres
		byBalance := e[a] * b.order.readable() / math.Sqrt(12) / b.made.Litres
		sum += math.Pow(strengthDoubt*rise, 2) + byBalance*byBalance + math.Pow(volumeDoubt*rise, 2)
	}
	return sum
}

// Estimates are what is known of the made water, with its doubt.
func (m Made) Estimates() map[chem.Analyte]tanks.Estimate {
	out := map[chem.Analyte]tanks.Estimate{}
	for a, v := range m.After {
		out[a] = tanks.Estimate{Value: v, Uncertainty: m.U[a]}
	}
	return out
}
