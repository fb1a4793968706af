package demoroom

import (
	"math"
	"math/rand/v2"
	"slices"

	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// doser is a system's pump with three heads and the keeper who sets it by what
// the tests say.
type doser struct {
	last   int // the day that is today
	plan   plan
	system tanks.System
	heads  []*head
}

// head doses one product for one analyte.
type head struct {
	analyte chem.Analyte
	product tanks.Product
	effects chem.Effects
	aim     float64
	daily   float64 // mL a day as set
	set     int     // day of the last setting
	sagging bool
}

func (g *generator) newDoser(p plan, s tanks.System) *doser {
	d := &doser{plan: p, system: s, last: g.days}
	if !p.dosed {
		return d
	}
	for _, h := range []struct {
		analyte chem.Analyte
		product string
	}{{chem.Calcium, "Calcium stock"}, {chem.Alkalinity, "Bicarbonate stock"}, {chem.Magnesium, "Magnesium stock"}} {
		product := g.product(h.product)
		effects, err := product.Contents.Effects()
		if err != nil {
			panic("demoroom: " + err.Error())
		}
		volume := s.NetVolume().Litres
		d.heads = append(d.heads, &head{
			analyte: h.analyte, product: product, effects: effects, aim: canonical(h.analyte, p.start[h.analyte]),
			daily: rate(
				h.analyte,
				p.uptake[h.analyte],
			) * 0.75 * volume / effects[h.analyte], sagging: p.sag > 0 && h.analyte == chem.Calcium,
		})
	}
	return d
}

func (g *generator) product(name string) tanks.Product {
	for _, p := range g.products {
		if p.Name == name {
			return p
		}
	}
	panic("demoroom: no product " + name)
}

// settingDays is how long a setting stands before it is looked at again.
const settingDays = 12

// heard lets the keeper set a head anew by a reading: half of the gap over
// the next setting's time.
func (d *doser) heard(a chem.Analyte, value float64, day int) {
	for _, h := range d.heads {
		if h.analyte != a || day-h.set < settingDays || (h.sagging && day > d.last-sagDays) {
			continue
		}
		gap := h.aim - value
		h.daily = math.Max(0, h.daily+0.5*gap/settingDays*d.system.NetVolume().Litres/h.effects[a])
		h.set = day
	}
}

// dose gives a day's doses: recorded as set, delivered with the pump's error.
func (d *doser) dose(g *generator, day int, level map[chem.Analyte]float64, r *rand.Rand) {
	for _, h := range d.heads {
		amount := math.Round(h.daily*2) / 2
		if amount < 0.5 {
			continue
		}
		delivered := amount * (1 + 0.01*r.NormFloat64())
		back := d.last - day
		if h.sagging && back < sagDays {
			delivered *= 1 - d.plan.sag*float64(sagDays-back)/sagDays
		}
		volume := d.system.NetVolume().Litres
		a := tanks.Addition{System: d.system.ID, Product: h.product.ID, At: g.day(day, 9), Amount: amount, Person: "pump"}
		for analyte, effect := range h.effects {
			if _, ok := level[analyte]; ok && analyte != chem.Salinity {
				level[analyte] += sure(chem.Delta(effect, delivered, volume))
			}
			a.Changes = append(a.Changes, tanks.Delta{Analyte: analyte, Change: sure(chem.Delta(effect, amount, volume))})
		}
		slices.SortFunc(a.Changes, func(x, y tanks.Delta) int { return int(x.Analyte - y.Analyte) })
		if back <= g.dosedFor {
			g.additions = append(g.additions, a)
		}
	}
}
