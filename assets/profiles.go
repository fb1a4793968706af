package assets

import (
	"time"

	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tasks"
)

const (
	day          = 24 * time.Hour
	reefSalinity = 35
)

// StartingProfile is a profile with the chores that its systems have from the
// first day. The tasks' Profile and Start are set when they are saved.
type StartingProfile struct {
	Profile tanks.Profile
	Chores  []tasks.Task
}

// edges are a band as keepers write it, in the unit of the trade, tested every so
// many days; 0: not.
type edges struct {
	analyte        chem.Analyte
	unit           chem.Unit
	low, aim, high float64
	every          int
	// rise is the largest safe change a day; 0: that of the kind of water.
	rise float64
}

// band makes the band of a kind of water.
func (e edges) band(k tanks.Kind) tanks.Band {
	info, ok := chem.Lookup(e.analyte)
	if !ok {
		panic("assets: an analyte that is not in the catalogue")
	}
	value := func(v float64) float64 {
		c, err := chem.Convert(e.analyte, v, e.unit, info.Unit, chem.Water{})
		if err != nil {
			panic("assets: " + err.Error())
		}
		return c
	}
	b := tanks.Band{Analyte: e.analyte, Low: value(e.low), Aim: value(e.aim), High: value(e.high), TestEvery: time.Duration(e.every) * day}
	if limits, known := tanks.DefaultLimits(k, e.analyte); known {
		b.MaxRise, b.MaxStep = limits.Day, limits.Step
	}
	if e.rise > 0 {
		b.MaxRise = value(e.low+e.rise) - value(e.low)
		b.MaxStep = min(b.MaxStep, b.MaxRise)
	}
	if info.Conservative && info.Seawater > 0 && k != tanks.Freshwater {
		b.AtSalinity = reefSalinity
	}
	return b
}

func chore(title string, every int) tasks.Task { return tasks.Task{Title: title, Every: every} }

// once is a chore of a system's first day.
func once(title string) tasks.Task { return tasks.Task{Title: title} }

func profile(name string, k tanks.Kind, bands []edges, chores ...tasks.Task) StartingProfile {
	p := tanks.Profile{Name: name, Kind: k, Source: commonPractice}
	for _, e := range bands {
		p.Bands = append(p.Bands, e.band(k))
	}
	return StartingProfile{p, chores}
}

// Profiles returns the starting profiles of a whole shop: salt water, brackish, fresh
// and the waters that go into them.
func Profiles() []StartingProfile {
	all := marineProfiles()
	all = append(all, brackish())
	all = append(all, freshProfiles()...)
	return append(all, sources()...)
}

func marineProfiles() []StartingProfile {
	skimmer := chore("Clean the skimmer cup", 7)
	return []StartingProfile{
		profile("Reef display", tanks.Marine, reef(3, 7, 14), skimmer, chore("Change the filter floss", 4),
			chore("Clean pumps in vinegar or citric acid", 90)),
		profile("Reef, stony corals", tanks.Marine, stony(), skimmer, chore("Change the filter floss", 4),
			chore("Check the flow and colour of the corals", 7), chore("Clean pumps in vinegar or citric acid", 90)),
		profile("Reef, soft corals", tanks.Marine, soft(), skimmer, chore("Change the filter floss", 5), chore("Change the carbon", 30),
			chore("Clean pumps in vinegar or citric acid", 90)),
		profile("Frag rack", tanks.Marine, reef(2, 4, 7), skimmer, chore("Look over the frags for pests", 7), chore("Clean the racks", 14)),
		profile("Fish only, marine", tanks.Marine, fishOnly(10, 50, 7), skimmer, chore("Change the filter floss", 4),
			chore("Vacuum the bottom", 14)),
		profile("Invertebrates, marine", tanks.Marine, invertebrates(), skimmer, chore("Look over the animals", 1),
			chore("Change the filter floss", 4)),
		profile("Quarantine, marine", tanks.Marine, quarantineMarine(), chore("Look over the animals", 1),
			chore("Clean the filter sponge", 5)),
		profile("New system, marine", tanks.Marine, newMarine(), newSystemChores()...),
	}
}

// reef is the reef bands with the intervals in days of alkalinity, calcium
// and the nutrients, and magnesium.
func reef(alkalinity, calcium, magnesium int) []edges {
	return []edges{
		{chem.Temperature, chem.Celsius, 24, 25.5, 27, calcium, 0},
		{chem.Salinity, chem.PSU, 34, 35, 36, calcium, 0.5},
		{chem.PH, chem.PHUnit, 7.8, 8.2, 8.5, 2 * calcium, 0},
		{chem.Alkalinity, chem.DKH, 7.5, 8.3, 9.2, alkalinity, 0},
		{chem.Calcium, chem.MgL, 400, 420, 440, calcium, 0},
		{chem.Magnesium, chem.MgL, 1260, 1320, 1400, magnesium, 0},
		{chem.Nitrate, chem.MgL, 2, 6, 15, calcium, 0},
		{chem.Phosphate, chem.MgL, 0.02, 0.05, 0.1, calcium, 0},
		{chem.Potassium, chem.MgL, 380, 400, 430, 0, 0},
		{chem.Strontium, chem.MgL, 7, 8, 10, 0, 0},
		{chem.Boron, chem.MgL, 4, 4.5, 6, 0, 0},
		{chem.Iodine, chem.UgL, 45, 60, 90, 0, 0},
	}
}

// stony is the reef's with less room for alkalinity and nutrients.
func stony() []edges {
	bands := reef(2, 4, 7)
	for i, e := range bands {
		switch e.analyte {
		case chem.Alkalinity:
			bands[i].low, bands[i].aim, bands[i].high, bands[i].rise = 7, 7.8, 8.6, 0.5
		case chem.Nitrate:
			bands[i].aim, bands[i].high = 5, 10
		case chem.Phosphate:
			bands[i].aim, bands[i].high = 0.04, 0.08
		}
	}
	return bands
}

// soft is the reef's with more room and longer intervals.
func soft() []edges {
	bands := reef(7, 14, 30)
	for i, e := range bands {
		switch e.analyte {
		case chem.Alkalinity:
			bands[i].low, bands[i].aim, bands[i].high = 7, 8.5, 11
		case chem.Calcium:
			bands[i].low, bands[i].high = 380, 460
		case chem.Nitrate:
			bands[i].low, bands[i].aim, bands[i].high = 5, 12, 30
		case chem.Phosphate:
			bands[i].low, bands[i].aim, bands[i].high = 0.03, 0.08, 0.2
		}
	}
	return bands
}

func fishOnly(nitrateAim, nitrateHigh float64, every int) []edges {
	return []edges{
		{chem.Temperature, chem.Celsius, 23, 25, 27, every, 0},
		{chem.Salinity, chem.PSU, 30, 33, 36, every, 0},
		{chem.PH, chem.PHUnit, 7.8, 8.1, 8.5, 2 * every, 0},
		{chem.Alkalinity, chem.DKH, 6, 8, 12, 2 * every, 1},
		{chem.Ammonia, chem.MgL, 0, 0.02, 0.1, 2 * every, 0},
		{chem.Nitrite, chem.MgL, 0, 0.05, 0.3, 2 * every, 0},
		{chem.Nitrate, chem.MgL, 0, nitrateAim, nitrateHigh, every, 0},
		{chem.Phosphate, chem.MgL, 0, 0.2, 1, 4 * every, 0},
	}
}

func invertebrates() []edges {
	bands := append(fishOnly(8, 25, 7), edges{chem.Calcium, chem.MgL, 380, 420, 460, 14, 0},
		edges{chem.Magnesium, chem.MgL, 1200, 1300, 1420, 30, 0}, edges{chem.Copper, chem.UgL, 0, 1, 10, 0, 0},
		edges{chem.Iodine, chem.UgL, 40, 60, 90, 0, 0})
	for i, e := range bands {
		if e.analyte == chem.Salinity {
			bands[i].low, bands[i].aim, bands[i].rise = 33, 35, 0.5
		}
	}
	return bands
}

func quarantineMarine() []edges {
	return []edges{
		{chem.Temperature, chem.Celsius, 24, 25.5, 27, 1, 0},
		{chem.Salinity, chem.PSU, 32, 34, 36, 3, 0},
		{chem.PH, chem.PHUnit, 7.8, 8.1, 8.4, 3, 0},
		{chem.Alkalinity, chem.DKH, 7, 8.5, 11, 7, 1},
		{chem.Ammonia, chem.MgL, 0, 0.02, 0.1, 2, 0},
		{chem.Nitrite, chem.MgL, 0, 0.1, 0.5, 2, 0},
		{chem.Nitrate, chem.MgL, 0, 15, 50, 7, 0},
	}
}

// newMarine is a system in its first weeks, until ammonia and nitrite stay near
// nothing.
func newMarine() []edges {
	return []edges{
		{chem.Temperature, chem.Celsius, 24, 25.5, 27, 1, 0},
		{chem.Salinity, chem.PSU, 33, 35, 36, 3, 0},
		{chem.PH, chem.PHUnit, 7.7, 8.1, 8.5, 3, 0},
		{chem.Alkalinity, chem.DKH, 6, 8, 11, 4, 0},
		{chem.Ammonia, chem.MgL, 0, 0.02, 0.25, 2, 0},
		{chem.Nitrite, chem.MgL, 0, 0.05, 1, 2, 0},
		{chem.Nitrate, chem.MgL, 0, 10, 50, 7, 0},
	}
}

// newSystemChores are the work of the first weeks. The profile is only for those.
func newSystemChores() []tasks.Task {
	return []tasks.Task{
		once("Start the filter with ripe material or ammonia, before any animals"),
		chore("Ammonia and nitrite near nothing all week? Then give it its own profile", 7),
		chore("Look over the animals", 1),
	}
}

func brackish() StartingProfile {
	return profile("Brackish", tanks.Brackish, []edges{
		{chem.Temperature, chem.Celsius, 24, 26, 28, 7, 0},
		{chem.Salinity, chem.PSU, 8, 12, 16, 7, 0},
		{chem.PH, chem.PHUnit, 7.5, 8, 8.5, 7, 0},
		{chem.Alkalinity, chem.DKH, 7, 10, 15, 14, 0},
		{chem.Ammonia, chem.MgL, 0, 0.02, 0.1, 14, 0},
		{chem.Nitrite, chem.MgL, 0, 0.05, 0.3, 14, 0},
		{chem.Nitrate, chem.MgL, 0, 20, 50, 7, 0},
	}, chore("Clean the filter sponge", 21), chore("Change a fifth of the water", 14))
}

func sources() []StartingProfile {
	return []StartingProfile{
		profile("RO/DI store", tanks.Source, []edges{
			{chem.Conductivity, chem.MicroSiemens, 0, 5, 20, 1, 0},
			{chem.Silicate, chem.MgL, 0, 0.03, 0.1, 30, 0},
			{chem.AllChlorine, chem.MgL, 0, 0.02, 0.1, 30, 0},
		}, chore("Change the prefilters", 90), chore("Check the pressure before and after the membrane", 30)),
		profile("Tap", tanks.Source, []edges{
			{chem.Temperature, chem.Celsius, 4, 12, 20, 30, 0},
			{chem.PH, chem.PHUnit, 6.5, 7.5, 9.5, 30, 0},
			{chem.Alkalinity, chem.DKH, 0, 8, 20, 30, 0},
			{chem.Hardness, chem.DGH, 0, 12, 30, 30, 0},
			{chem.Conductivity, chem.MicroSiemens, 50, 450, 1000, 30, 0},
			{chem.AllChlorine, chem.MgL, 0, 0.2, 1, 14, 0},
			{chem.Nitrate, chem.MgL, 0, 15, 50, 30, 0},
			{chem.Phosphate, chem.MgL, 0, 0.3, 2, 90, 0},
			{chem.Copper, chem.UgL, 0, 20, 100, 0, 0},
		}, chore("Read the supplier's report and enter it as a lab sample", 180), chore("Run the tap before filling", 7)),
		profile("Mixing vat", tanks.Source, []edges{
			{chem.Temperature, chem.Celsius, 20, 25, 28, 7, 0},
			{chem.Salinity, chem.PSU, 33.5, 35, 36, 4, 0},
			{chem.Alkalinity, chem.DKH, 7, 8.2, 10, 14, 0},
			{chem.Calcium, chem.MgL, 400, 430, 470, 30, 0},
			{chem.Magnesium, chem.MgL, 1250, 1330, 1420, 30, 0},
		}, chore("Clean the vat and its pump", 30)),
		profile("Mixing vat, fresh", tanks.Source, []edges{
			{chem.Temperature, chem.Celsius, 18, 24, 27, 7, 0},
			{chem.Alkalinity, chem.DKH, 1, 4, 8, 7, 0},
			{chem.Hardness, chem.DGH, 3, 7, 14, 7, 0},
			{chem.Conductivity, chem.MicroSiemens, 80, 250, 600, 7, 0},
			{chem.AllChlorine, chem.MgL, 0, 0.02, 0.1, 7, 0},
		}, chore("Clean the vat and its pump", 30)),
	}
}
