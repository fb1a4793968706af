package making

import (
	"errors"
	"fmt"
	"maps"
	"slices"

	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// seaSalt is the salt mix of a batch; zero kg where none is asked for.
type seaSalt struct {
	Kg          float64
	WaterLitres float64 // of the waters, before the salt is in them
	PSU         float64
}

// usualTemperature is taken where no goal and no source says one, in °C.
const usualTemperature = 25

// temperature is the one that the water is to have, else the usual one.
func (o Order) temperature() float64 {
	if warm, ok := o.goal(chem.Temperature); ok {
		return warm.Value
	}
	return usualTemperature
}

// seaSalt returns the salt of a batch that is to have a salinity which no chosen
// product is for, from waters of what they hold.
func (o Order) seaSalt(litres float64, in []Portion) (seaSalt, error) {
	g, asked := o.goal(chem.Salinity)
	if !asked || g.AtMost || g.Value == 0 || slices.ContainsFunc(o.Products, bringsSalt) {
		return seaSalt{}, nil
	}
	before, err := chem.BlendMany(o.portions(in)...)
	if err != nil {
		return seaSalt{}, wrong(FieldSources, err)
	}
	b, err := chem.SeaSalt{Moisture: o.Moisture}.Batch(litres, g.Value, o.temperature(), before.Water[chem.Salinity])
	var r chem.RangeError
	switch {
	case errors.As(err, &r) && r.Quantity == "moisture of the salt":
		return seaSalt{}, wrong(FieldMoisture, err)
	case err != nil:
		return seaSalt{}, wrong(o.goalField(chem.Salinity), err)
	}
	for i, p := range o.Products {
		if !TakesChlorine(p.Contents) {
			return seaSalt{}, tanks.Faults{{Field: fmt.Sprintf("product.%d", i), Problem: "What the sea salt brings of it is not known",
				Remedy: "mix the salt water and test it, then dose it"}}
		}
	}
	return seaSalt{b.SaltKg, b.WaterLitres, g.Value}, nil
}

// bringsSalt tells whether a product is put in for the salinity: every salt raises it
// a little, but only common salt and what a label says so of is for it.
func bringsSalt(p tanks.Product) bool {
	return slices.ContainsFunc(p.Contents.Label, func(s chem.Strength) bool { return s.Analyte == chem.Salinity }) ||
		slices.ContainsFunc(p.Contents.Ingredients, func(in chem.Ingredient) bool { return in.Compound == "NaCl" })
}

// makeRoom takes from the portions what the salt takes up, from those that fill up first.
func (o Order) makeRoom(in []Portion, litres float64) {
	var fill, all float64
	for _, p := range in {
		all += p.Litres
		if o.Sources[p.Source].Auto {
			fill += p.Litres
		}
	}
	less := all - litres
	for i, p := range in {
		switch {
		case fill > less && o.Sources[p.Source].Auto:
			in[i].Litres -= less * p.Litres / fill
		case fill <= less:
			in[i].Litres *= litres / all
		}
	}
}

// notOfSalt are what sea salt brings next to nothing of, so that the waters tell it.
var notOfSalt = []chem.Analyte{
	chem.Nitrate, chem.Nitrite, chem.Ammonia, chem.Phosphate, chem.Silicate, chem.Copper, chem.FreeChlorine, chem.AllChlorine,
	chem.Chloramine, chem.Temperature,
}

// withSalt is what is known of the batch with its sea salt.
func (b *batch) withSalt() {
	w := maps.Clone(b.made.Blend.Water)
	maps.DeleteFunc(w, func(a chem.Analyte, _ float64) bool { return !slices.Contains(notOfSalt, a) })
	w[chem.Salinity] = b.salt.PSU
	b.made.After = w
}

func (o Order) goalField(a chem.Analyte) string {
	i := slices.IndexFunc(o.Goals, func(g Goal) bool { return g.Analyte == a })
	return fmt.Sprintf("goal.%d", i)
}
