package demoroom

import (
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// plan is one invented system: what it is and how its water behaves.
type plan struct {
	code, name, place string
	kind              tanks.Kind
	profile           string
	tanks             []tanks.Tank
	invertebrates     bool
	// start is the water on the first day and uptake what is used a day
	// (negative: it accumulates), in the units of levels below. What food adds
	// of nitrate and phosphate is what the water changes take out at start.
	start, uptake water
	dosed         bool    // calcium, alkalinity and magnesium by pump
	change        float64 // share of the weekly water change
	every         int     // days between water changes; 0: none
	lab           bool    // a lab sample each quarter
	sag           float64 // share that the pump delivers less at the end
}

// water is levels in the units that keepers write: dKH for alkalinity and
// hardness, mg/L, °C, PSU.
type water map[chem.Analyte]float64

func tank(name string, length, width, height, displaced float64) tanks.Tank {
	return tanks.Tank{Name: name, Length: length, Width: width, Height: height, Displaced: displaced}
}

func sea(temperature, salinity, alkalinity, calcium, magnesium, nitrate, phosphate float64) water {
	return water{
		chem.Temperature: temperature, chem.Salinity: salinity, chem.PH: 8.15, chem.Alkalinity: alkalinity, chem.Calcium: calcium,
		chem.Magnesium: magnesium, chem.Nitrate: nitrate, chem.Phosphate: phosphate,
		chem.Potassium: 398, chem.Strontium: 8.1, chem.Boron: 4.6, chem.Iodine: 61,
	}
}

func stony(alkalinity, calcium, magnesium float64) water {
	return water{
		chem.Alkalinity: alkalinity, chem.Calcium: calcium, chem.Magnesium: magnesium,
		chem.Potassium: 0.12, chem.Strontium: 0.004, chem.Iodine: 0.15,
	}
}

// systems are the room's fifteen, in walking order. All invented.
var demoSystems = []plan{
	{code: "R1", name: "Reef display, window", place: "Front of shop", kind: tanks.Marine, profile: "Reef display", invertebrates: true,
		tanks: []tanks.Tank{tank("Display", 160, 70, 58, 95), tank("Sump", 90, 45, 25, 12)},
		start: sea(25.2, 34.8, 8.4, 421, 1330, 6, 0.05), uptake: stony(0.42, 2.9, 0.9), dosed: true, change: 0.08, every: 7, lab: true},
	{code: "R2", name: "Reef display, long", place: "Front of shop", kind: tanks.Marine, profile: "Reef display", invertebrates: true,
		tanks: []tanks.Tank{tank("Display", 210, 60, 50, 80), tank("Sump", 100, 50, 26, 15)},
		start: sea(25.6, 35.1, 8.0, 432, 1370, 7, 0.05), uptake: stony(0.55, 3.7, 1.2), dosed: true, change: 0.08, every: 7, lab: true},
	{code: "F1", name: "Frag rack, north", place: "Frag racks", kind: tanks.Marine, profile: "Frag rack", invertebrates: true,
		tanks: []tanks.Tank{tank("Upper tray", 120, 80, 22, 8), tank("Lower tray", 120, 80, 22, 8)},
		start: sea(25.5, 35.2, 8.1, 425, 1350, 9, 0.06), uptake: stony(0.85, 5.8, 1.8), dosed: true, change: 0.12, every: 7, lab: true},
	{code: "F2", name: "Frag rack, south", place: "Frag racks", kind: tanks.Marine, profile: "Frag rack", invertebrates: true,
		tanks: []tanks.Tank{tank("Upper tray", 120, 80, 20, 8), tank("Lower tray", 120, 80, 20, 8)},
		start: sea(25.9, 35.0, 8.4, 424, 1320, 5, 0.05), uptake: stony(0.9, 6.1, 1.9), dosed: true, change: 0.12, every: 7, sag: 0.3},
	{code: "F3", name: "Frag rack, low light", place: "Frag racks", kind: tanks.Marine, profile: "Frag rack", invertebrates: true,
		tanks: []tanks.Tank{tank("Tray", 150, 80, 25, 14)},
		start: sea(25.6, 35.4, 8.2, 418, 1360, 8, 0.06), uptake: stony(0.4, 2.7, 0.8), dosed: true, change: 0.12, every: 7, lab: true},
	{code: "F4", name: "Frag rack, new", place: "Frag racks", kind: tanks.Marine, profile: "Frag rack", invertebrates: true,
		tanks: []tanks.Tank{tank("Tray", 150, 75, 26, 10)},
		start: sea(25.4, 34.5, 7.8, 415, 1290, 4, 0.04), uptake: stony(0.6, 4.1, 1.3), dosed: true, change: 0.12, every: 7},
	{code: "F5", name: "Grow-out, shallow", place: "Frag racks", kind: tanks.Marine, profile: "Frag rack", invertebrates: true,
		tanks: []tanks.Tank{tank("Tray", 200, 90, 18, 12)},
		start: sea(24.9, 34.6, 8.8, 428, 1295, 11, 0.05), uptake: stony(0.7, 4.8, 1.5), dosed: true, change: 0.12, every: 7},
	{code: "Q1", name: "Quarantine, corals", place: "Back room", kind: tanks.Marine, profile: "Quarantine, marine", invertebrates: true,
		tanks:  []tanks.Tank{tank("Tank", 80, 50, 40, 6)},
		start:  sea(25.8, 34.6, 8.2, 420, 1300, 8, 0.08),
		uptake: water{chem.Alkalinity: 0.05}, change: 0.25, every: 7},
	{code: "Q2", name: "Quarantine, fish", place: "Back room", kind: tanks.Marine, profile: "Quarantine, marine",
		tanks:  []tanks.Tank{tank("Tank", 100, 50, 45, 4)},
		start:  sea(25.5, 34.1, 7.9, 410, 1290, 22, 0.3),
		uptake: water{chem.Alkalinity: 0.04}, change: 0.25, every: 7},
	{code: "W1", name: "Community row", place: "Freshwater wall", kind: tanks.Freshwater, profile: "Freshwater community",
		tanks: []tanks.Tank{tank("Six tanks", 480, 50, 38, 70), tank("Filter", 100, 50, 30, 20)},
		start: water{
			chem.Temperature: 25.1,
			chem.PH:          7.3,
			chem.Alkalinity:  6.1,
			chem.Hardness:    10.5,
			chem.Nitrate:     24,
			chem.Phosphate:   0.6,
		},
		uptake: water{chem.Alkalinity: 0.06}, change: 0.4, every: 7},
	{code: "W2", name: "Softwater row", place: "Freshwater wall", kind: tanks.Freshwater, profile: "Soft water",
		tanks: []tanks.Tank{tank("Five tanks", 400, 50, 38, 65), tank("Filter", 90, 45, 30, 18)},
		start: water{
			chem.Temperature:  26.8,
			chem.PH:           6.4,
			chem.Alkalinity:   1.6,
			chem.Hardness:     4.2,
			chem.Conductivity: 170,
			chem.Nitrate:      14,
		},
		uptake: water{chem.Alkalinity: 0.03, chem.Conductivity: -2}, change: 0.4, every: 7},
	{code: "B1", name: "Mangrove and mudflat", place: "Back room", kind: tanks.Brackish, profile: "Brackish", invertebrates: true,
		tanks:  []tanks.Tank{tank("Tank", 180, 60, 30, 60)},
		start:  water{chem.Temperature: 26.1, chem.Salinity: 12.2, chem.PH: 7.9, chem.Alkalinity: 9.6, chem.Nitrate: 18},
		uptake: water{chem.Alkalinity: 0.05}, change: 0.2, every: 14},
	{code: "S1", name: "RO/DI store", place: "Back room", kind: tanks.Source, profile: "RO/DI store",
		tanks:  []tanks.Tank{tank("Barrel", 75, 75, 110, 0)},
		start:  water{chem.Conductivity: 2, chem.Silicate: 0.02},
		uptake: water{chem.Conductivity: -0.04}},
	{code: "V1", name: "Mixing vat", place: "Back room", kind: tanks.Source, profile: "Mixing vat",
		tanks: []tanks.Tank{tank("Vat", 80, 80, 100, 2)},
		start: water{chem.Temperature: 24.6, chem.Salinity: 35, chem.Alkalinity: 8.1, chem.Calcium: 432, chem.Magnesium: 1335,
			chem.Nitrate: 0, chem.Phosphate: 0, chem.PH: 8.2, chem.Potassium: 399, chem.Strontium: 8.2, chem.Boron: 4.6, chem.Iodine: 58}},
	{code: "T1", name: "Tap", place: "Back room", kind: tanks.Source, profile: "Tap", lab: true,
		start: water{chem.Temperature: 12, chem.PH: 7.5, chem.Alkalinity: 9.8, chem.Hardness: 13.9, chem.Conductivity: 550,
			chem.Calcium:   78,
			chem.Magnesium: 13, chem.Potassium: 3, chem.Sodium: 18, chem.Chloride: 32, chem.Sulfate: 58, chem.Nitrate: 12, chem.Phosphate: 0.2,
			chem.AllChlorine: 0.4, chem.Copper: 12}},
}
