package assets

import (
	"math"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// Everything that comes with the program can be saved, and says where its
// numbers come from.
func TestStartingSetIsValid(t *testing.T) {
	for _, p := range Profiles() {
		if err := p.Profile.Validate(); err != nil {
			t.Errorf("%s: %v", p.Profile.Name, err)
		}
		if p.Profile.Source == "" {
			t.Errorf("%s names no source", p.Profile.Name)
		}
		for _, c := range p.Chores {
			c.Start = time.Date(2026, 3, 10, 0, 0, 0, 0, time.UTC)
			if err := c.Validate(); err != nil {
				t.Errorf("%s, %s: %v", p.Profile.Name, c.Title, err)
			}
		}
	}
	for _, m := range Methods() {
		if err := m.Validate(); err != nil {
			t.Errorf("%s, %s: %v", m.Name, m.Analyte, err)
		}
	}
	for _, p := range Products() {
		if err := p.Validate(); err != nil {
			t.Errorf("%s: %v", p.Name, err)
		}
		for _, in := range p.Contents.Ingredients {
			c, ok := chem.Compound(in.Compound)
			if !ok || (p.Contents.Form == chem.Liquid && c.SolubilityGPerL > 0 && in.Amount > c.SolubilityGPerL) {
				t.Errorf("%s: %g g/L of %s do not dissolve", p.Name, in.Amount, in.Compound)
			}
		}
	}
}

// A dosing plan needs a product for each of calcium, alkalinity and magnesium,
// and a bench method for what a reef is tested for.
func TestStartingSetServesAReef(t *testing.T) {
	for _, a := range []chem.Analyte{chem.Calcium, chem.Alkalinity, chem.Magnesium} {
		found := false
		for _, p := range Products() {
			effects, err := p.Contents.Effects()
			found = found || err == nil && effects[a] > 0
		}
		if !found {
			t.Errorf("nothing raises %s", a)
		}
	}
	for _, p := range Profiles() {
		for _, b := range p.Profile.Bands {
			if b.TestEvery == 0 {
				continue
			}
			found := false
			for _, m := range Methods() {
				found = found || m.Analyte == b.Analyte && m.Kind != tanks.Lab
			}
			if !found {
				t.Errorf("%s asks for %s, which no bench method gives", p.Profile.Name, b.Analyte)
			}
		}
	}
}

// 7.5 dKH are 2.675 meq/L (10 mg/L CaO a degree, CIAAW weights): the bands are
// kept in canonical units, whatever they are written in.
func TestBandsAreCanonical(t *testing.T) {
	for _, b := range Profiles()[0].Profile.Bands {
		switch b.Analyte {
		case chem.Alkalinity:
			if math.Abs(b.Low-2.6749) > 1e-4 || math.Abs(b.MaxRise-0.24966) > 1e-4 {
				t.Errorf("alkalinity from %g meq/L, %g a day", b.Low, b.MaxRise)
			}
		case chem.Calcium:
			if b.Low != 400 || b.AtSalinity != 35 {
				t.Errorf("calcium from %g at S %g", b.Low, b.AtSalinity)
			}
		}
	}
	for _, m := range Methods() {
		// A conductivity meter's ±0.6 mS/cm at sea water are about ±0.45 PSU.
		if m.Name == "Conductivity meter" && (m.Accuracy < 0.35 || m.Accuracy > 0.55) {
			t.Errorf("its accuracy is %g PSU", m.Accuracy)
		}
	}
}

// A whole shop can begin: each kind of system that it keeps has a profile of its own
// name and water, with something to test and something to do.
func TestProfilesOfAWholeShop(t *testing.T) {
	kinds := map[string]tanks.Kind{
		"Reef display": tanks.Marine, "Reef, stony corals": tanks.Marine, "Reef, soft corals": tanks.Marine, "Frag rack": tanks.Marine,
		"Fish only, marine": tanks.Marine, "Invertebrates, marine": tanks.Marine, "Quarantine, marine": tanks.Marine,
		"New system, marine": tanks.Marine, "Brackish": tanks.Brackish, "Freshwater community": tanks.Freshwater, "Soft water": tanks.Freshwater,
		"Rift lakes": tanks.Freshwater, "Livebearers": tanks.Freshwater, "Goldfish": tanks.Freshwater, "Shrimp": tanks.Freshwater,
		"Planted": tanks.Freshwater, "Discus": tanks.Freshwater, "Breeding": tanks.Freshwater, "Quarantine, fresh": tanks.Freshwater,
		"Pond": tanks.Freshwater, "New system, fresh": tanks.Freshwater, "RO/DI store": tanks.Source, "Tap": tanks.Source,
		"Mixing vat": tanks.Source, "Mixing vat, fresh": tanks.Source,
	}
	seen := map[string]bool{}
	for _, p := range Profiles() {
		name := p.Profile.Name
		if kind, ok := kinds[name]; !ok || kind != p.Profile.Kind || seen[name] {
			t.Errorf("%s is %s, want %s; twice: %v", name, p.Profile.Kind, kind, seen[name])
		}
		seen[name] = true
		tested := 0
		for _, b := range p.Profile.Bands {
			if b.TestEvery > 0 {
				tested++
			}
			if !b.HasEdges() {
				t.Errorf("%s judges nothing of %s", name, b.Analyte)
			}
			if limits, known := tanks.DefaultLimits(p.Profile.Kind, b.Analyte); known && !(b.MaxRise > 0 && b.MaxRise <= 2*limits.Day) {
				t.Errorf("%s lets %s change by %g a day, the usual is %g", name, b.Analyte, b.MaxRise, limits.Day)
			}
			if p.Profile.Kind == tanks.Source && b.MaxRise != 0 {
				t.Errorf("%s limits how fast %s changes", name, b.Analyte)
			}
			if marine := p.Profile.Kind == tanks.Marine; b.AtSalinity > 0 && p.Profile.Kind == tanks.Freshwater || marine &&
				b.Analyte == chem.Calcium && b.AtSalinity != 35 {
				t.Errorf("%s judges %s at %g PSU", name, b.Analyte, b.AtSalinity)
			}
		}
		if tested == 0 || len(p.Chores) == 0 {
			t.Errorf("%s tests %d and has %d chores", name, tested, len(p.Chores))
		}
	}
	if len(seen) != len(kinds) {
		t.Errorf("%d profiles, want %d", len(seen), len(kinds))
	}
}

// In its first weeks a system is tested for ammonia and nitrite every other day, and
// is told when to take its own profile; every other profile with animals judges
// ammonia or is a reef.
func TestNewSystemsAreWatched(t *testing.T) {
	for _, p := range Profiles() {
		every := map[chem.Analyte]float64{}
		for _, b := range p.Profile.Bands {
			every[b.Analyte] = b.TestEvery.Hours() / 24
		}
		if p.Profile.Name != "New system, marine" && p.Profile.Name != "New system, fresh" {
			continue
		}
		if every[chem.Ammonia] != 2 || every[chem.Nitrite] != 2 {
			t.Errorf("%s tests ammonia every %g days, nitrite every %g", p.Profile.Name, every[chem.Ammonia], every[chem.Nitrite])
		}
		once, weekly := 0, 0
		for _, c := range p.Chores {
			if c.Every == 0 && c.Rule == "" {
				once++
			}
			if c.Every == 7 {
				weekly++
			}
		}
		if once != 1 || weekly != 1 {
			t.Errorf("%s has %d chores of the first day and %d of a week", p.Profile.Name, once, weekly)
		}
	}
}

// Waters differ as their animals do: hard and alkaline for rift lakes, soft for
// discus, warm for discus and cool for goldfish, low nutrients for stony corals.
func TestProfilesDiffer(t *testing.T) {
	aim := func(profile string, a chem.Analyte) float64 {
		for _, p := range Profiles() {
			for _, b := range p.Profile.Bands {
				if p.Profile.Name == profile && b.Analyte == a {
					return b.Aim
				}
			}
		}
		t.Fatalf("%s has no %s", profile, a)
		return 0
	}
	for _, c := range []struct {
		more, less string
		analyte    chem.Analyte
	}{
		{"Rift lakes", "Discus", chem.Alkalinity}, {"Rift lakes", "Discus", chem.PH}, {"Livebearers", "Soft water", chem.Hardness},
		{"Discus", "Goldfish", chem.Temperature}, {"Fish only, marine", "Reef, stony corals", chem.Nitrate},
		{"Reef, soft corals", "Reef, stony corals", chem.Phosphate}, {"Reef display", "Brackish", chem.Salinity},
	} {
		if !(aim(c.more, c.analyte) > aim(c.less, c.analyte)) {
			t.Errorf("%s of %s is %g, of %s %g", c.analyte, c.more, aim(c.more, c.analyte), c.less, aim(c.less, c.analyte))
		}
	}
	// Each hardness is its own, in degrees of 0.178326 mmol/L: 15 dGH of livebearers and
	// 10 dKH; and where a profile is stricter than its water's limit, that holds.
	if gh, kh := aim("Livebearers", chem.Hardness), aim("Livebearers", chem.Alkalinity); math.Abs(gh-15*0.1783262) > 1e-5 ||
		math.Abs(kh-10*0.3566525) > 1e-5 {
		t.Errorf("livebearers are kept at %g mmol/L and %g meq/L", gh, kh)
	}
	for _, p := range Profiles() {
		for _, b := range p.Profile.Bands {
			if p.Profile.Name == "Soft water" && b.Analyte == chem.Conductivity && math.Abs(b.MaxRise-50) > 1e-9 {
				t.Errorf("soft water may change by %g µS/cm a day", b.MaxRise)
			}
		}
	}
	// The sea's own: aims of a reef lie within a tenth of reference seawater (Millero et
	// al. 2008) at 35 PSU, alkalinity apart, which reefs are kept above.
	for _, a := range []chem.Analyte{chem.Calcium, chem.Magnesium, chem.Potassium, chem.Strontium, chem.Boron} {
		info, _ := chem.Lookup(a)
		if got := aim("Reef display", a); math.Abs(got-info.Seawater) > 0.1*info.Seawater {
			t.Errorf("%s is aimed at %g, the sea has %g", a, got, info.Seawater)
		}
	}
}

// Of the starting profiles that of reverse osmosis alone is of purified water; each band
// has the usual step of its kind of water, never more than its change of a day.
func TestStartingProfilesKnowStepsAndPurifiedWater(t *testing.T) {
	for _, p := range Profiles() {
		if got := p.Profile.Purifies(); got != (p.Profile.Name == "RO/DI store") {
			t.Errorf("%s purifies: %v", p.Profile.Name, got)
		}
		for _, b := range p.Profile.Bands {
			limits, known := tanks.DefaultLimits(p.Profile.Kind, b.Analyte)
			if known != (b.MaxStep > 0) || b.MaxStep > limits.Step || b.MaxRise > 0 && b.MaxStep > b.MaxRise {
				t.Errorf("%s, %s: a step of %g, a day of %g, usual %+v", p.Profile.Name, b.Analyte, b.MaxStep, b.MaxRise, limits)
			}
		}
	}
}
