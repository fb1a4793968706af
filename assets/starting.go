// Package assets holds what comes with the program: starting profiles with
// their chores, methods and products, and the fonts of charts and reports.
//
// Bands and intervals are common practice without a source unless they say
// otherwise; a keeper adapts them.
package assets

import (
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

const commonPractice = "common practice, no source"

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
		method("Iron colour kit", tanks.Kit, chem.Iron, chem.MgL, 0.01, 0.02, 0.1, 0.02, 1),
		method("Chlorine colour kit", tanks.Kit, chem.AllChlorine, chem.MgL, 0.05, 0.05, 0.1, 0.05, 4),
		method("Oxygen meter", tanks.Meter, chem.Oxygen, chem.MgL, 0.1, 0.3, 0, 0, 0),
		method("Redox probe", tanks.Probe, chem.Redox, chem.Millivolt, 1, 20, 0, 0, 0),
		method("Light meter", tanks.Meter, chem.Light, chem.Photons, 1, 0, 0.05, 0, 0),
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
	for _, a := range []chem.Analyte{chem.Iodine, chem.Iron, chem.Manganese, chem.Zinc, chem.Copper, chem.Molybdenum, chem.Barium,
		chem.Lithium} {
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
		solid("Magnesium sulfate, dry", "MgSO4·7H2O", 0.99, 5000),
		solid("Gypsum, dry", "CaSO4·2H2O", 0.98, 1000),
		solid("Potassium bicarbonate, dry", "KHCO3", 0.99, 1000),
		liquid("Thiosulfate stock", "Na2S2O3·5H2O", 25, 1000),
	}
}
