package chem

import (
	"errors"
	"testing"
)

func solidOf(key string) Product {
	return Product{Form: Solid, Ingredients: []Ingredient{{key, 1}}}
}

// ISO 7888:1985, table 2: potassium chloride of 0.01 mol/L has 1413 µS/cm at 25
// °C, of 0.001 mol/L 147. The equivalent conductivities of calcium chloride (120.3
// at 0.01 eq/L), sodium chloride (118.5 at 0.01) and sodium hydrogencarbonate (90.5
// at 0.005) are of the CRC Handbook, from memory.
func TestConductivityOfSalts(t *testing.T) {
	for _, c := range []struct {
		salt       string
		mmol, want float64
	}{
		{"KCl", 10, 1413}, {"KCl", 1, 147}, {"CaCl2", 5, 1203}, {"NaCl", 10, 1185}, {"NaHCO3", 5, 452},
	} {
		info := compound(t, c.salt)
		grams := c.mmol / 1000 * info.Formula.MolarMass() * 50
		got, err := ConductivityWith(0, 50, Dosed{solidOf(c.salt), grams})
		want(t, c.salt, got, err, c.want, 0.015*c.want)
	}
}

// In water that meets air carbonate, hydroxide and bicarbonate of one alkalinity
// conduct alike, and acid takes bicarbonate away.
func TestConductivityOfAlkalinityOnceAired(t *testing.T) {
	grams := func(key string, mmol float64) Dosed {
		return Dosed{solidOf(key), mmol / 1000 * compound(t, key).Formula.MolarMass()}
	}
	bicarbonate, err := ConductivityWith(100, 1, grams("NaHCO3", 2))
	if err != nil {
		t.Fatal(err)
	}
	carbonate, err := ConductivityWith(100, 1, grams("Na2CO3", 1))
	want(t, "carbonate", carbonate, err, bicarbonate, 1e-9)
	less, err := ConductivityWith(100, 1, grams("NaHCO3", 2), grams("HCl", 1))
	// 1 mmol/L of bicarbonate at 44.5 goes, chloride at 76.3 comes; both are slowed by a few per cent.
	want(t, "with acid", less, err, bicarbonate+31.4, 0.4)
}

func TestConductivityOfWhatIsThere(t *testing.T) {
	same, err := ConductivityWith(321, 10)
	want(t, "nothing added", same, err, 321, 1e-9)
	same, err = ConductivityWith(321, 10, Dosed{Product{Form: Liquid, Label: []Strength{{Hardness, 1, 1, 1}}}, 0})
	want(t, "none of a label", same, err, 321, 1e-9)
	liquid := Product{Form: Liquid, Ingredients: []Ingredient{{"KCl", 74.55}}} // 1 mol/L
	got, err := ConductivityWith(0, 1, Dosed{liquid, 10})
	want(t, "a liquid of it", got, err, 1413, 20)
	// What is there is slowed by what comes: less than the sum of both.
	both, err := ConductivityWith(500, 1, Dosed{liquid, 2})
	alone, _ := ConductivityWith(0, 1, Dosed{liquid, 2})
	if err != nil || both >= 500+alone || both < 0.95*(500+alone) {
		t.Errorf("500 and %.1f make %.1f, %v", alone, both, err)
	}
}

// What is there is slowed by what comes: calcium chloride of 0.005 eq/L has 621 µS/cm, of
// 0.01 eq/L 1203 (CRC Handbook, from memory), less than twice as much.
func TestWhatIsThereIsSlowed(t *testing.T) {
	got, err := ConductivityWith(620.95, 1, Dosed{solidOf("CaCl2"), 0.0025 * 110.98})
	want(t, "twice", got, err, 1203, 0.005*1203)
}

func TestConductivityRefuses(t *testing.T) {
	label := Product{Form: Liquid, Label: []Strength{{Hardness, 1, 1, 1}}}
	if _, err := ConductivityWith(100, 1, Dosed{label, 1}); !errors.Is(err, ErrSalts) {
		t.Errorf("a label: %v", err)
	}
	if _, err := ConductivityWith(100, 0); !errors.Is(err, ErrVolume) {
		t.Errorf("no water: %v", err)
	}
	if _, err := ConductivityWith(-1, 1); !errors.As(err, new(RangeError)) {
		t.Errorf("below nothing: %v", err)
	}
	unknown := Product{Form: Solid, Ingredients: []Ingredient{{"XeF2", 1}}}
	if _, err := ConductivityWith(100, 1, Dosed{unknown, 1}); err == nil {
		t.Error("an unknown compound conducts")
	}
}
