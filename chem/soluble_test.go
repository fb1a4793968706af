package chem

import (
	"errors"
	"math"
	"strings"
	"testing"
)

// The CRC Handbook, 91st edition 2010 (second-hand, per cent by mass): the law of
// a saturated solution gives each back.
func TestSolubilitiesOfTheHandbook(t *testing.T) {
	for _, c := range []struct {
		key     string
		tC      float64
		percent float64
	}{
		{"CaCl2", 20, 42.13}, {"CaCl2", 30, 49.12}, {"KNO3", 10, 17.6}, {"KNO3", 40, 38.6}, {"K2CO3", 0, 51.3}, {"KHCO3", 30, 28.13},
		{"Ca(NO3)2·4H2O", 20, 56.7}, {"Mg(NO3)2·6H2O", 10, 39.5}, {"K2HPO4", 25, 62.7}, {"KIO3", 20, 7.57}, {"NaI", 20, 63.9},
		{"(NH4)2SO4", 20, 42.9}, {"MnSO4·H2O", 25, 38.9}, {"LaCl3·7H2O", 20, 48.6}, {"KMnO4", 20, 5.96}, {"NaCH3COO", 20, 31.8},
		{"Na2SO4", 25, 21.94}, {"MgSO4·7H2O", 0, 18.2},
		// Lumsden 1902, by the IUPAC-NIST Solubility Database, and citric acid as an
		// encyclopedia gives it.
		{"Ca(HCOO)2", 30, 14.40}, {"C6H8O7", 20, 59.2},
	} {
		info := compound(t, c.key)
		got, err := info.SolubilityAt(c.tC)
		// Back from grams of the compound as written to a share: g = 1000·w·ρ(w).
		anhydrous := got * info.anhydrousShare() / 1000
		k := solubilities[info.anhydrous()].thickening
		w := c.percent / 100
		want := w * 0.9982 * math.Exp(k*w)
		if err != nil || math.Abs(anhydrous-want) > 1e-9 {
			t.Errorf("%s at %g °C: %.6g kg/L dry, %v, want %.6g", c.key, c.tC, anhydrous, err, want)
		}
	}
	// Half way: sodium sulfate between 20 and 25 °C.
	if w := solubilities["Na2SO4"].shareAt(22.5); math.Abs(w-(0.1613+0.2194)/2) > 1e-12 {
		t.Errorf("half way is %g", w)
	}
}

// What no publication gives is not known, and nothing stands in its place; what
// is known names where it is from.
func TestSolubilitySources(t *testing.T) {
	for _, key := range []string{"CaCO3", "Ca(CH3COO)2·H2O", "CO(NH2)2", "C6H8O6", "Na2SiO3", "NaOCl", "Fe", "Fe(C6H11O7)2·2H2O",
		"H2O2"} {
		c := compound(t, key)
		if _, err := c.SolubilityAt(20); !errors.Is(err, ErrSolubility) || c.SolubilityGPerL != 0 || c.SolubilitySource != "" {
			t.Errorf("%s: %v, %g from %q", key, err, c.SolubilityGPerL, c.SolubilitySource)
		}
	}
	for _, c := range Compounds() {
		if (c.SolubilityGPerL > 0) != (c.SolubilitySource != "") {
			t.Errorf("%s dissolves to %g g/L by %q", c.Key, c.SolubilityGPerL, c.SolubilitySource)
		}
		if strings.Contains(string(c.SolubilitySource+c.HeatSource), "memory") {
			t.Errorf("%s is from memory", c.Key)
		}
	}
	// Outside what was measured there is no value: sodium sulfate below 20 °C.
	var out RangeError
	if _, err := compound(t, "Na2SO4").SolubilityAt(10); !errors.As(err, &out) || out.Low != 20 || out.High != 40 {
		t.Errorf("at 10 °C: %v", err)
	}
}

// Between the points of a table a saturated solution holds no more than the
// stronger and no less than the weaker of them, and the table goes up in
// temperature.
func TestSolubilityTablesAreInOrder(t *testing.T) {
	for key, table := range solubilities {
		if len(table.points) < 2 || table.thickening <= 0 || table.source == "" {
			t.Errorf("%s: %+v", key, table)
		}
		for i, p := range table.points {
			if p.share <= 0 || p.share >= 1 || i > 0 && p.tC <= table.points[i-1].tC {
				t.Errorf("%s: point %d is %+v", key, i, p)
			}
		}
	}
}

// Parker 1965, reprinted in the CRC Handbook (second-hand), kJ/mol.
func TestHeatsOfSolution(t *testing.T) {
	for key, heat := range map[string]float64{
		"NaOH": -44.51, "NaCl": 3.88, "NaNO3": 20.50, "NaNO2": 13.89, "NaBr": -0.60, "NaI": -7.53, "NaF": 0.91, "LiCl": -37.03,
		"NH4Cl":    14.78,
		"NaCH3COO": -17.32, "NaCH3COO·3H2O": 19.66, "CH3COOH": -1.51,
	} {
		if c := compound(t, key); c.HeatOfSolution != heat || c.HeatSource != parker {
			t.Errorf("%s: %g kJ/mol by %q, want %g", key, c.HeatOfSolution, c.HeatSource, heat)
		}
	}
	if c := compound(t, "CaCl2"); c.HeatSource != "" || c.HeatOfSolution >= 0 {
		t.Errorf("calcium chloride: %g by %q", c.HeatOfSolution, c.HeatSource)
	}
}
