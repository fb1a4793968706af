package assets

import (
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// freshWater is the bands that most fresh waters have, with temperature, pH, and
// carbonate and general hardness in degrees as low, aim and high.
type freshWater struct {
	temperature, pH, kh, gh [3]float64
	nitrateAim, nitrateHigh float64
	every                   int // days between the tests that matter most
	more                    []edges
}

func (f freshWater) bands() []edges {
	of := func(a chem.Analyte, u chem.Unit, v [3]float64, every int) edges {
		return edges{a, u, v[0], v[1], v[2], every, 0}
	}
	return append([]edges{
		of(chem.Temperature, chem.Celsius, f.temperature, f.every),
		of(chem.PH, chem.PHUnit, f.pH, f.every),
		of(chem.Alkalinity, chem.DKH, f.kh, 2*f.every),
		of(chem.Hardness, chem.DGH, f.gh, 2*f.every),
		{chem.Ammonia, chem.MgL, 0, 0.02, 0.1, 2 * f.every, 0},
		{chem.Nitrite, chem.MgL, 0, 0.02, 0.1, f.every, 0},
		{chem.Nitrate, chem.MgL, 0, f.nitrateAim, f.nitrateHigh, f.every, 0},
	}, f.more...)
}

func freshProfiles() []StartingProfile {
	sponge, change := chore("Clean the filter sponge", 21), chore("Change a quarter of the water", 7)
	fresh := func(name string, f freshWater) StartingProfile {
		return profile(name, tanks.Freshwater, f.bands(), sponge, change)
	}
	community := fresh("Freshwater community", freshWater{temperature: [3]float64{23, 25, 27}, pH: [3]float64{6.5, 7.2, 7.8},
		kh: [3]float64{3, 6, 12}, gh: [3]float64{5, 10, 18}, nitrateAim: 20, nitrateHigh: 50, every: 7,
		more: []edges{{chem.Phosphate, chem.MgL, 0, 0.5, 2, 14, 0}}})
	community.Chores = append(community.Chores, chore("Trim the plants", 14))
	soft := fresh("Soft water", freshWater{temperature: [3]float64{25, 27, 29}, pH: [3]float64{5.5, 6.3, 7}, kh: [3]float64{0.5, 1.5, 4},
		gh: [3]float64{1, 4, 8}, nitrateAim: 15, nitrateHigh: 40, every: 7,
		more: []edges{{chem.Conductivity, chem.MicroSiemens, 50, 150, 350, 7, 50}}})
	rift := fresh("Rift lakes", freshWater{temperature: [3]float64{24, 25.5, 27}, pH: [3]float64{7.8, 8.4, 9}, kh: [3]float64{8, 12, 18},
		gh: [3]float64{8, 12, 20}, nitrateAim: 15, nitrateHigh: 40, every: 7,
		more: []edges{{chem.Conductivity, chem.MicroSiemens, 300, 550, 800, 14, 0}}})
	livebearers := fresh("Livebearers", freshWater{temperature: [3]float64{22, 24.5, 27}, pH: [3]float64{7, 7.6, 8.3},
		kh: [3]float64{6, 10, 18},
		gh: [3]float64{10, 15, 25}, nitrateAim: 20, nitrateHigh: 50, every: 7})
	goldfish := fresh("Goldfish", freshWater{temperature: [3]float64{10, 18, 24}, pH: [3]float64{6.8, 7.4, 8.2}, kh: [3]float64{4, 8, 15},
		gh: [3]float64{6, 12, 20}, nitrateAim: 20, nitrateHigh: 60, every: 7})
	return []StartingProfile{community, soft, rift, livebearers, goldfish, shrimp(), planted(), discus(), breeding(), quarantineFresh(),
		pond(),
		newFresh()}
}

func shrimp() StartingProfile {
	f := freshWater{temperature: [3]float64{20, 22.5, 25}, pH: [3]float64{6, 6.8, 7.6}, kh: [3]float64{0, 2, 6}, gh: [3]float64{4, 6, 9},
		nitrateAim: 8, nitrateHigh: 20, every: 7, more: []edges{
			{chem.Conductivity, chem.MicroSiemens, 150, 250, 400, 7, 30},
			{chem.Copper, chem.UgL, 0, 2, 15, 0, 0},
		}}
	return profile("Shrimp", tanks.Freshwater, f.bands(), chore("Change a tenth of the water, slowly", 7),
		chore("Look for dead animals and failed moults", 1), chore("Clean the filter sponge in tank water", 30))
}

func planted() StartingProfile {
	f := freshWater{temperature: [3]float64{22, 24.5, 27}, pH: [3]float64{6, 6.7, 7.4}, kh: [3]float64{1, 3, 8}, gh: [3]float64{3, 6, 12},
		nitrateAim: 15, nitrateHigh: 30, every: 7, more: []edges{
			{chem.Phosphate, chem.MgL, 0.2, 1, 2.5, 7, 0},
			{chem.Potassium, chem.MgL, 5, 10, 25, 14, 0},
			{chem.Iron, chem.MgL, 0.02, 0.08, 0.3, 7, 0},
			{chem.CarbonDi, chem.MgL, 12, 22, 30, 0, 0},
			{chem.Magnesium, chem.MgL, 4, 8, 20, 0, 0},
		}}
	return profile("Planted", tanks.Freshwater, f.bands(), chore("Change half of the water", 7), chore("Trim the plants", 7),
		chore("Check the carbon dioxide: bubbles, bottle, colour of the checker", 1), chore("Clean the diffuser and the filter", 30))
}

func discus() StartingProfile {
	f := freshWater{temperature: [3]float64{27.5, 29, 30.5}, pH: [3]float64{5.5, 6.3, 7}, kh: [3]float64{0.5, 2, 4},
		gh:         [3]float64{1, 3, 8},
		nitrateAim: 8, nitrateHigh: 20, every: 4, more: []edges{{chem.Conductivity, chem.MicroSiemens, 60, 150, 300, 4, 50}}}
	return profile("Discus", tanks.Freshwater, f.bands(), chore("Change a third of the water", 3), chore("Vacuum the bottom", 2),
		chore("Clean the filter sponge", 7))
}

func breeding() StartingProfile {
	f := freshWater{temperature: [3]float64{25, 26.5, 28}, pH: [3]float64{6, 6.8, 7.5}, kh: [3]float64{1, 3, 8}, gh: [3]float64{2, 6, 12},
		nitrateAim: 8, nitrateHigh: 20, every: 3, more: []edges{{chem.Conductivity, chem.MicroSiemens, 60, 200, 450, 3, 50}}}
	return profile("Breeding", tanks.Freshwater, f.bands(), chore("Look for eggs and fry, take out what is dead", 1),
		chore("Change a tenth of the water", 2), chore("Clean the bottom", 1))
}

func quarantineFresh() StartingProfile {
	f := freshWater{temperature: [3]float64{23, 25, 27}, pH: [3]float64{6.5, 7.2, 7.8}, kh: [3]float64{3, 6, 12}, gh: [3]float64{4, 8, 16},
		nitrateAim: 15, nitrateHigh: 40, every: 2}
	return profile("Quarantine, fresh", tanks.Freshwater, f.bands(), chore("Look over the animals", 1), chore("Clean the filter sponge", 5),
		chore("Change a quarter of the water", 3))
}

func pond() StartingProfile {
	f := freshWater{temperature: [3]float64{4, 18, 26}, pH: [3]float64{7, 7.8, 8.6}, kh: [3]float64{4, 7, 14}, gh: [3]float64{5, 10, 20},
		nitrateAim: 15, nitrateHigh: 50, every: 7, more: []edges{{chem.Oxygen, chem.MgL, 6, 8, 14, 7, 0}}}
	return profile("Pond", tanks.Freshwater, f.bands(), chore("Skim leaves and empty the prefilter", 3), chore("Clean the filter", 14),
		chore("Change a tenth of the water", 7))
}

// newFresh is a system in its first weeks, until ammonia and nitrite stay near
// nothing.
func newFresh() StartingProfile {
	f := freshWater{temperature: [3]float64{22, 25, 28}, pH: [3]float64{6.3, 7.2, 8.2}, kh: [3]float64{3, 6, 14}, gh: [3]float64{3, 8, 20},
		nitrateAim: 15, nitrateHigh: 50, every: 2}
	bands := f.bands()
	for i, e := range bands {
		switch e.analyte {
		case chem.Ammonia:
			bands[i].high, bands[i].every = 0.25, 2
		case chem.Nitrite:
			bands[i].high = 0.5
		case chem.Hardness, chem.Alkalinity:
			bands[i].every = 7
		}
	}
	return profile("New system, fresh", tanks.Freshwater, bands, newSystemChores()...)
}
