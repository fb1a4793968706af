// Package assets holds what comes with the program: starting profiles with
// their chores, methods and products, and the fonts of charts and reports.
//
// Bands and intervals are common practice without a source unless they say
// otherwise; a keeper adapts them.
package assets

import (
	"time"

	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tasks"
)

const (
	commonPractice = "common practice, no source"
	day            = 24 * time.Hour
	reefSalinity   = 35
)

// StartingProfile is a profile with the chores that its systems have from the
// first day. The tasks' Profile and Start are set when they are saved.
type StartingProfile struct {
	Profile tanks.Profile
	Chores  []tasks.Task
}

// band makes a band from numbers in the unit u, tested every n days; 0: not.
func band(a chem.Analyte, u chem.Unit, low, aim, high, rise float64, n int) tanks.Band {
	info, ok := chem.Lookup(a)
	if !ok {
		panic("assets: an analyte that is not in the catalogue")
	}
	value := func(v float64) float64 {
		c, err := chem.Convert(a, v, u, info.Unit, chem.Water{})
		if err != nil {
			panic("assets: " + err.Error())
		}
		return c
	}
	b := tanks.Band{Analyte: a, Low: value(low), Aim: value(aim), High: value(high), TestEvery: time.Duration(n) * day}
	if rise > 0 {
		b.MaxRise = value(low+rise) - value(low)
	}
	if info.Conservative && info.Seawater > 0 {
		b.AtSalinity = reefSalinity
	}
	return b
}

func chore(title string, every int) tasks.Task { return tasks.Task{Title: title, Every: every} }

// Profiles returns the starting profiles.
func Profiles() []StartingProfile {
	return []StartingProfile{
		{tanks.Profile{Name: "Reef display", Kind: tanks.Marine, Source: commonPractice, Bands: reef(3, 7, 14)},
			[]tasks.Task{
				chore("Clean the skimmer cup", 7),
				chore("Change the filter floss", 4),
				chore("Clean pumps in vinegar or citric acid", 90),
			}},
		{tanks.Profile{Name: "Frag rack", Kind: tanks.Marine, Source: commonPractice, Bands: reef(2, 4, 7)},
			[]tasks.Task{chore("Clean the skimmer cup", 7), chore("Look over the frags for pests", 7), chore("Clean the racks", 14)}},
		{tanks.Profile{Name: "Quarantine, marine", Kind: tanks.Marine, Source: commonPractice, Bands: []tanks.Band{
			band(chem.Temperature, chem.Celsius, 24, 25.5, 27, 1, 1),
			band(chem.Salinity, chem.PSU, 32, 34, 36, 1, 3),
			band(chem.PH, chem.PHUnit, 7.8, 8.1, 8.4, 0.2, 3),
			band(chem.Alkalinity, chem.DKH, 7, 8.5, 11, 1, 7),
			band(chem.Ammonia, chem.MgL, 0, 0.02, 0.1, 0, 2),
			band(chem.Nitrite, chem.MgL, 0, 0.1, 0.5, 0, 2),
			band(chem.Nitrate, chem.MgL, 0, 15, 50, 0, 7),
		}}, []tasks.Task{chore("Look over the animals", 1), chore("Clean the filter sponge", 5)}},
		{tanks.Profile{Name: "Brackish", Kind: tanks.Brackish, Source: commonPractice, Bands: []tanks.Band{
			band(chem.Temperature, chem.Celsius, 24, 26, 28, 1, 7),
			band(chem.Salinity, chem.PSU, 8, 12, 16, 2, 7),
			band(chem.PH, chem.PHUnit, 7.5, 8, 8.5, 0.3, 7),
			band(chem.Alkalinity, chem.DKH, 7, 10, 15, 2, 14),
			band(chem.Nitrate, chem.MgL, 0, 20, 50, 0, 7),
		}}, []tasks.Task{chore("Clean the filter sponge", 21)}},
		{tanks.Profile{Name: "Freshwater community", Kind: tanks.Freshwater, Source: commonPractice, Bands: []tanks.Band{
			band(chem.Temperature, chem.Celsius, 23, 25, 27, 1, 7),
			band(chem.PH, chem.PHUnit, 6.5, 7.2, 7.8, 0.3, 7),
			band(chem.Alkalinity, chem.DKH, 3, 6, 12, 2, 14),
			band(chem.Hardness, chem.DGH, 5, 10, 18, 2, 14),
			band(chem.Nitrite, chem.MgL, 0, 0.02, 0.1, 0, 7),
			band(chem.Nitrate, chem.MgL, 0, 20, 50, 0, 7),
			band(chem.Phosphate, chem.MgL, 0, 0.5, 2, 0, 14),
		}}, []tasks.Task{chore("Clean the filter sponge", 21), chore("Trim the plants", 14)}},
		{tanks.Profile{Name: "Soft water", Kind: tanks.Freshwater, Source: commonPractice, Bands: []tanks.Band{
			band(chem.Temperature, chem.Celsius, 25, 27, 29, 1, 7),
			band(chem.PH, chem.PHUnit, 5.5, 6.3, 7, 0.3, 7),
			band(chem.Alkalinity, chem.DKH, 0.5, 1.5, 4, 1, 7),
			band(chem.Hardness, chem.DGH, 1, 4, 8, 2, 14),
			band(chem.Conductivity, chem.MicroSiemens, 50, 150, 350, 50, 7),
			band(chem.Nitrate, chem.MgL, 0, 15, 40, 0, 7),
		}}, []tasks.Task{chore("Clean the filter sponge", 21)}},
		{tanks.Profile{Name: "RO/DI store", Kind: tanks.Source, Source: commonPractice, Bands: []tanks.Band{
			band(chem.Conductivity, chem.MicroSiemens, 0, 5, 20, 0, 1),
			band(chem.Silicate, chem.MgL, 0, 0.03, 0.1, 0, 30),
		}}, []tasks.Task{chore("Change the prefilters", 90), chore("Check the pressure before and after the membrane", 30)}},
		{tanks.Profile{Name: "Mixing vat", Kind: tanks.Source, Source: commonPractice, Bands: []tanks.Band{
			band(chem.Temperature, chem.Celsius, 20, 25, 28, 0, 7),
			band(chem.Salinity, chem.PSU, 33.5, 35, 36, 0, 4),
			band(chem.Alkalinity, chem.DKH, 7, 8.2, 10, 0, 14),
			band(chem.Calcium, chem.MgL, 400, 430, 470, 0, 30),
			band(chem.Magnesium, chem.MgL, 1250, 1330, 1420, 0, 30),
		}}, []tasks.Task{chore("Clean the vat and its pump", 30)}},
	}
}

// reef is the reef bands with the intervals in days of alkalinity, calcium
// and the nutrients, and magnesium.
func reef(alkalinity, calcium, magnesium int) []tanks.Band {
	return []tanks.Band{
		band(chem.Temperature, chem.Celsius, 24, 25.5, 27, 1, calcium),
		band(chem.Salinity, chem.PSU, 34, 35, 36, 0.5, calcium),
		band(chem.PH, chem.PHUnit, 7.8, 8.2, 8.5, 0.2, 2*calcium),
		band(chem.Alkalinity, chem.DKH, 7.5, 8.3, 9.2, 0.7, alkalinity),
		band(chem.Calcium, chem.MgL, 400, 420, 440, 20, calcium),
		band(chem.Magnesium, chem.MgL, 1260, 1320, 1400, 50, magnesium),
		band(chem.Nitrate, chem.MgL, 2, 6, 15, 5, calcium),
		band(chem.Phosphate, chem.MgL, 0.02, 0.05, 0.1, 0.02, calcium),
		band(chem.Potassium, chem.MgL, 380, 400, 430, 10, 0),
		band(chem.Strontium, chem.MgL, 7, 8, 10, 0.5, 0),
		band(chem.Boron, chem.MgL, 4, 4.5, 6, 0.3, 0),
		band(chem.Iodine, chem.UgL, 45, 60, 90, 5, 0),
	}
}

// method makes a method from numbers in its unit u.
func method(
	name string,
	kind tanks.MethodKind,
	a chem.Analyte,
	u chem.Unit,
	resolution, accuracy, share, detection, top float64,
) tanks.Method {
	info, _ := chem.Lookup(a)
	at := func(v float64) float64 {
		if v == 0 {
			return 0
		}
		base := info.Low
		if info.Seawater > 0 {
			base = info.Seawater
		}
		around, err := chem.Convert(a, base, info.Unit, u, chem.Water{})
		if err != nil {
			panic("assets: " + err.Error())
		}
		d, err := chem.ConvertDelta(a, around, v, u, info.Unit, chem.Water{})
		if err != nil {
			panic("assets: " + err.Error())
		}
		return d
	}
	level := func(v float64) float64 {
		if v == 0 {
			return 0
		}
		c, err := chem.Convert(a, v, u, info.Unit, chem.Water{})
		if err != nil {
			panic("assets: " + err.Error())
		}
		return c
	}
	return tanks.Method{
		Name: name, Kind: kind, Analyte: a, Unit: u, Resolution: at(resolution), Accuracy: at(accuracy), AccuracyShare: share,
		Detection: level(detection), Top: level(top), Note: "Accuracy: " + commonPractice + "; take yours from its leaflet.",
	}
}

// Methods returns the starting methods, by technique.
func Methods() []tanks.Method {
	bench := []tanks.Method{
		method("Thermometer", tanks.Meter, chem.Temperature, chem.Celsius, 0.1, 0.3, 0, 0, 0),
		method("Refractometer", tanks.Meter, chem.Salinity, chem.PSU, 1, 1, 0, 0, 0),
		method("Conductivity meter", tanks.Meter, chem.Salinity, chem.MilliSiemens, 0.1, 0.6, 0, 0, 0),
		method("Hydrometer", tanks.Meter, chem.Salinity, chem.SG25, 0.0005, 0.0007, 0, 0, 0),
		method("Conductivity pen", tanks.Meter, chem.Conductivity, chem.MicroSiemens, 1, 2, 0.02, 0, 0),
		method("pH meter", tanks.Meter, chem.PH, chem.PHUnit, 0.01, 0.1, 0, 0, 0),
		method("pH drop kit", tanks.Kit, chem.PH, chem.PHUnit, 0.2, 0.2, 0, 0, 0),
		method("Alkalinity titration", tanks.Kit, chem.Alkalinity, chem.DKH, 0.1, 0.3, 0, 0, 0),
		method("Alkalinity photometer", tanks.Photometer, chem.Alkalinity, chem.DKH, 0.1, 0.3, 0.05, 0, 0),
		method("Calcium titration", tanks.Kit, chem.Calcium, chem.MgL, 5, 15, 0, 0, 0),
		method("Calcium photometer", tanks.Photometer, chem.Calcium, chem.MgL, 1, 0, 0.06, 0, 600),
		method("Magnesium titration", tanks.Kit, chem.Magnesium, chem.MgL, 10, 30, 0, 0, 0),
		method("Potassium turbidity kit", tanks.Kit, chem.Potassium, chem.MgL, 10, 25, 0, 0, 0),
		method("Hardness titration", tanks.Kit, chem.Hardness, chem.DGH, 1, 1, 0, 0, 0),
		method("Nitrate colour kit", tanks.Kit, chem.Nitrate, chem.MgL, 1, 1, 0.1, 0.5, 100),
		method("Nitrite colour kit", tanks.Kit, chem.Nitrite, chem.MgL, 0.01, 0.01, 0.1, 0.01, 1),
		method("Ammonia colour kit", tanks.Kit, chem.Ammonia, chem.MgL, 0.02, 0.02, 0.1, 0.02, 5),
		method("Phosphate photometer", tanks.Photometer, chem.Phosphate, chem.MgL, 0.01, 0.02, 0.05, 0.02, 2.5),
		method("Silicate colour kit", tanks.Kit, chem.Silicate, chem.MgL, 0.02, 0.03, 0.1, 0.03, 3),
	}
	return append(bench, labMethods()...)
}

// LabName names the starting methods of a laboratory's plasma spectrometry.
const LabName = "Lab, plasma spectrometry"

func labMethods() []tanks.Method {
	var out []tanks.Method
	for _, a := range []chem.Analyte{chem.Calcium, chem.Magnesium, chem.Potassium, chem.Strontium, chem.Boron} {
		out = append(out, method(LabName, tanks.Lab, a, chem.MgL, 0.01, 0, 0.03, 0.01, 0))
	}
	for _, a := range []chem.Analyte{chem.Iodine, chem.Iron, chem.Manganese, chem.Zinc, chem.Copper, chem.Molybdenum, chem.Barium, chem.Lithium} {
		out = append(out, method(LabName, tanks.Lab, a, chem.UgL, 0.1, 0.5, 0.08, 1, 0))
	}
	return append(out,
		method(LabName, tanks.Lab, chem.Phosphate, chem.MgL, 0.001, 0.005, 0.05, 0.01, 0),
		method("Lab, titration", tanks.Lab, chem.Alkalinity, chem.DKH, 0.01, 0.05, 0.01, 0, 0),
	)
}

// liquid makes a stock solution of one compound at g/L.
func liquid(name, compound string, gramsPerLitre, full float64) tanks.Product {
	return tanks.Product{
		Name:     name,
		Contents: chem.Product{Form: chem.Liquid, Ingredients: []chem.Ingredient{{Compound: compound, Amount: gramsPerLitre}}},
		Full:     full,
		Stock:    full,
	}
}

// solid makes a bag of one compound at a purity.
func solid(name, compound string, purity, full float64) tanks.Product {
	return tanks.Product{
		Name:     name,
		Contents: chem.Product{Form: chem.Solid, Ingredients: []chem.Ingredient{{Compound: compound, Amount: purity}}},
		Full:     full,
		Stock:    full,
	}
}

// Products returns the starting products, by compound and strength.
func Products() []tanks.Product {
	return []tanks.Product{
		liquid("Calcium stock", "CaCl2·2H2O", 268, 5000),
		liquid("Bicarbonate stock", "NaHCO3", 75, 5000),
		liquid("Magnesium stock", "MgCl2·6H2O", 300, 2500),
		liquid("Potassium stock", "KCl", 100, 1000),
		liquid("Strontium stock", "SrCl2·6H2O", 25, 500),
		liquid("Iodide stock", "KI", 0.65, 500),
		liquid("Nitrate stock", "KNO3", 50, 1000),
		liquid("Phosphate stock", "KH2PO4", 5, 500),
		solid("Bicarbonate, dry", "NaHCO3", 0.99, 5000),
		solid("Calcium chloride, dry", "CaCl2·2H2O", 0.98, 5000),
	}
}
