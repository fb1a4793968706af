// Package sums holds the sums that belong to no system: what an instrument shows,
// what a mixture does, what life does to a water. Each is a dialog that answers as
// one types, with its formula, the numbers put in, and its source. The sums are
// not a screen: any screen may open them.
package sums

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
)

// ID names a sum for good.
type ID string

// The sums.
const (
	MixSalt         ID = "mix-salt"
	CorrectSalinity ID = "correct-salinity"
	TakeOutChlorine ID = "chlorine"
	TwoWaters       ID = "two-waters"
	ToppingOff      ID = "top-off"
	Conductivity    ID = "conductivity-25"
	Solids          ID = "dissolved-solids"
	Hydrometer      ID = "hydrometer"
	Refractometer   ID = "refractometer"
	Instruments     ID = "instruments"
	Oxygen          ID = "oxygen"
	Hardness        ID = "hardness"
	EveryUnit       ID = "units"
	Nitrification   ID = "nitrification"
	Denitrification ID = "denitrification"
	Calcification   ID = "calcification"
	Amount          ID = "amount"
	ByMass          ID = "percent-by-mass"
	TwoProducts     ID = "two-products"
)

// Given is the water that a sum is about, as far as it is known; the zero value is
// none.
type Given struct {
	Name   string        // of the system, empty for none
	Litres float64       // zero: not known
	Levels chem.Analysis // of its water
	Aims   chem.Analysis
	Source chem.Analysis // levels of the water that goes into it
}

// level is what is known of an analyte, or otherwise.
func (g Given) level(a chem.Analyte, otherwise float64) float64 {
	if v, ok := g.Levels[a]; ok {
		return v
	}
	return otherwise
}

// Sum is one of them.
type Sum struct {
	ID   ID
	Name words.Text
	For  words.Text // what it is for, a sentence
	// Also are other words by which it is looked for.
	Also words.Text
	open func(*session.Session, Given)
}

// Open shows the sum, with what is given filled in.
func (s Sum) Open(in *session.Session, g Given) { s.open(in, g) }

// All returns the sums in the order of the list.
func All() []Sum {
	return []Sum{
		{MixSalt, "Mix salt water", "Salt and water for a batch of salt water.", "sea salt, batch, vat", mixSalt},
		{CorrectSalinity, "Correct salinity", "The ways from one salinity to another: swap, dilute, add salt, top off with salt water.",
			"swap, raise, lower, PSU, SG", correctSalinity},
		{TakeOutChlorine, "Take chlorine out of tap water", "Thiosulfate for the chlorine or chloramine of tap water.",
			"chloramine, dechlorinate, thiosulfate", dechlorinate},
		{TwoWaters, "Two waters for a goal", "How much of each of two waters makes a goal, and what else the blend holds.",
			"blend, mix, RO, tap, dilute", twoWaters},
		{ToppingOff, "What topping off brings", "What the water that replaces evaporation leaves behind, with water changes and without.",
			"evaporation, top-off, refill, carry over", toppingOff},
		{Conductivity, "Conductivity of a meter", "Conductivity at 25 °C, and salinity, from what a meter shows at another temperature.",
			"EC, µS/cm, mS/cm, temperature compensation, salinity", conductivity},
		{Solids, "Dissolved solids of a meter", "Dissolved solids from conductivity by the factor of the meter, and back.",
			"TDS, ppm, conductivity, EC", solids},
		{Hydrometer, "Salinity by hydrometer", "Salinity from a hydrometer, or a relative density, at the temperature of the sample.",
			"specific gravity, SG, density, areometer", hydrometer},
		{Refractometer, "Salinity by refractometer", "Salinity from a refractometer with a scale for sea water or for plain salt.",
			"brine, PSU, sea water scale", refractometer},
		{Instruments, "What instruments show", "What hydrometer, refractometer and meter show in a water of known salinity: to check them.",
			"check, calibrate, standard, hydrometer, refractometer, conductivity", instruments},
		{Oxygen, "Oxygen in other units", "Oxygen in %, mg/L and mL/L at a temperature, a salinity and the pressure of the room.",
			"saturation, O2, percent", oxygen},
		{Hardness, "Hardness from calcium and magnesium", "General hardness, Ca:Mg and permanent hardness from calcium and magnesium.",
			"GH, KH, ratio, Ca:Mg", hardness},
		{EveryUnit, "A value in every unit", "One value of an analyte in every unit that it is given in.",
			"convert, conversion, dGH, dKH, ppm, degrees, NO3-N, PO4-P", everyUnit},
		{Nitrification, "Nitrification", "What bacteria use and leave as they turn ammonium into nitrate: KH, oxygen, nitrate.",
			"ammonia, nitrate, KH, oxygen, filter, bacteria", nitrification},
		{Denitrification, "Denitrification", "The KH that comes back as bacteria turn nitrate into nitrogen gas.",
			"nitrate, KH, carbon source, bacteria", denitrification},
		{Calcification, "Calcification", "Calcium that corals take as they use KH.", "corals, calcium, KH, coralline, uptake",
			calcification},
		{Amount, "Amount for a rise", "How much of a product makes a rise, by its label, or how much an amount does.",
			"dose, label, product", amountFor},
		{ByMass, "Liquid given in % by mass", "Grams in a litre, and what a mL does, of a liquid whose label says % by mass.",
			"w/w, density, strength, stock", percentByMass},
		{TwoProducts, "Two products mixed", "What a mixture of two salts or two stock solutions does, and whether they bear one another.",
			"mix, blend, powder, GH salt, stock solution", twoProducts},
	}
}

// Open shows the sum of an ID.
func Open(in *session.Session, id ID, g Given) {
	for _, sum := range All() {
		if sum.ID == id {
			sum.Open(in, g)
		}
	}
}

// listSize is the room of the list in its dialog.
var listSize = fyne.NewSize(620, 400)

// ShowList lists the sums and says what the one under the cursor is for: letters
// narrow the list down, Enter opens a sum.
func ShowList(in *session.Session, g Given) {
	var closeList func()
	var list *widgets.List[ID, Sum]
	what := widgets.NewWrapped("")
	list = widgets.NewList(widgets.ListModel[ID, Sum]{
		Name: "sums", Key: func(s Sum) ID { return s.ID },
		Columns: []widgets.ListColumn[Sum]{
			{ID: "name", Column: widgets.Column{Title: say.L("Sum"), Weight: 1}, Cell: func(s Sum) widgets.Cell {
				return widgets.Cell{Text: say.L(s.Name)}
			}},
			{ID: "also", Column: widgets.Column{Title: say.L("Found by"), Weight: 1}, Cell: func(s Sum) widgets.Cell {
				return widgets.Cell{Text: say.L(s.Also), Quiet: true}
			}},
		},
		Open: func(chosen []Sum) {
			closeList()
			chosen[0].Open(in, g)
		},
		Chose: func() {
			if list == nil {
				return
			}
			if s, ok := list.Current(); ok {
				what.SetText(say.L(s.For))
			}
		},
	}, in.Memory)
	list.SetRecords(All())
	list.SetCurrent(All()[0].ID)
	box := container.NewGridWrap(fyne.NewSize(look.Scaled(listSize.Width), look.Scaled(listSize.Height)), list.Object())
	closeList = widgets.ShowDialog(in.Window, widgets.Dialog{
		Title: say.L("Sums"), Content: container.NewBorder(widgets.NewBar().And(list.Tools()...), what, nil, nil, box), Focus: list.Focus(),
	})
}
