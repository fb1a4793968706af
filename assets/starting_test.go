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
