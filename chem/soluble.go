package chem

import "weirkeeper/assets/words"

// solubilityTable is how a salt dissolves in pure water.
type solubilityTable struct {
	points []solubilityPoint // by rising temperature; between them it goes straight
	// thickening is k in ρ = ρ0·exp(k·w), the density of a solution of mass
	// fraction w; our own estimate, within 1 % of handbooks' densities at 20 °C for
	// the common salts and some 3 % for the others.
	thickening float64
	source     words.Text
}

// solubilityPoint is a share of the anhydrous compound in the mass of the saturated
// solution, 0 to 1, at a temperature in °C.
type solubilityPoint struct{ tC, share float64 }

// shareAt returns the share at a temperature within the table.
func (t solubilityTable) shareAt(tC float64) float64 {
	i := 1
	for i < len(t.points)-1 && tC > t.points[i].tC {
		i++
	}
	a, b := t.points[i-1], t.points[i]
	return a.share + (tC-a.tC)/(b.tC-a.tC)*(b.share-a.share)
}

// Where solubilities are published.
const (
	crcSolubility = "CRC Handbook of Chemistry and Physics, 91st edition 2010, aqueous solubility of inorganic compounds"
	perry         = "Perry's Chemical Engineers' Handbook, solubilities of inorganic compounds in water"
	lumsden       = "Lumsden 1902, J. Chem. Soc. 81, in the IUPAC-NIST Solubility Database"
	citrate       = "Wikipedia, Citric acid, 2023, read as given there"
)

// crc makes a table from the CRC Handbook's per cents by mass at 0, 10, 20, 25, 30
// and 40 °C; one that it does not give is below zero.
func crc(thickening float64, percent ...float64) solubilityTable {
	t := solubilityTable{thickening: thickening, source: crcSolubility}
	for i, tC := range []float64{0, 10, 20, 25, 30, 40} {
		if percent[i] >= 0 {
			t.points = append(t.points, solubilityPoint{tC, percent[i] / 100})
		}
	}
	return t
}

// solubilities are by the formula of the anhydrous compound. What is not here is
// not known: no value from memory stands in its place.
var solubilities = map[string]solubilityTable{
	"CaCl2":     crc(0.83, 36.7, 39.19, 42.13, 44.83, 49.12, 52.85),
	"CaSO4":     crc(1.00, 0.174, 0.191, 0.202, 0.205, 0.208, 0.210),
	"Ca(NO3)2":  crc(0.78, 50.1, 53.1, 56.7, 59.0, 60.9, 65.4),
	"MgCl2":     crc(0.80, 33.96, 34.85, 35.58, 35.9, 36.2, 36.77),
	"MgSO4":     crc(1.00, 18.2, 21.7, 25.1, 26.3, 28.2, 30.9),
	"Mg(NO3)2":  crc(0.76, 38.4, 39.5, 40.8, 41.6, 42.4, 44.1),
	"NaHCO3":    crc(0.70, 6.48, 7.59, 8.73, 9.32, 9.91, 11.13),
	"Na2CO3":    crc(1.00, 6.44, 10.8, 17.9, 23.5, 28.7, 32.8),
	"NaOH":      crc(0.90, 30.0, 39.0, 46.0, 50.0, 53.0, 58.0),
	"NaCl":      crc(0.70, 26.28, 26.32, 26.41, 26.45, 26.52, 26.67),
	"Na2SO4":    crc(0.89, -1, -1, 16.13, 21.94, 29.22, 32.35),
	"KCl":       crc(0.63, 21.74, 23.61, 25.39, 26.22, 27.04, 28.59),
	"K2SO4":     crc(0.80, 7.11, 8.46, 9.95, 10.7, 11.4, 12.9),
	"K2CO3":     crc(0.87, 51.3, 51.7, 52.3, 52.7, 53.1, 54.0),
	"KHCO3":     crc(0.66, 18.62, 21.73, 24.92, 26.6, 28.13, 31.32),
	"KNO3":      crc(0.63, 12.0, 17.6, 24.2, 27.7, 31.3, 38.6),
	"K2HPO4":    crc(0.80, 57.0, 59.1, 61.5, 62.7, 64.1, 67.7),
	"KH2PO4":    crc(0.70, 11.74, 14.91, 18.25, 19.97, 21.77, 25.28),
	"NaNO3":     crc(0.68, 42.2, 44.4, 46.6, 47.7, 48.8, 51.0),
	"NaNO2":     crc(0.66, 41.9, 43.4, 45.1, 45.9, 46.8, 48.7),
	"Na2HPO4":   crc(1.00, 1.66, 4.19, 7.51, 10.55, 16.34, 35.17),
	"SrCl2":     crc(0.92, 31.94, 32.93, 34.43, 35.37, 36.43, 38.93),
	"H3BO3":     crc(0.35, 2.61, 3.57, 4.77, 5.48, 6.27, 8.10),
	"Na2B4O7":   crc(0.90, 1.23, 1.71, 2.50, 3.07, 3.82, 6.02),
	"NaBr":      crc(0.85, 44.4, 45.9, 47.7, 48.6, 49.6, 51.6),
	"KBr":       crc(0.78, 35.0, 37.3, 39.4, 40.4, 41.4, 43.2),
	"NaF":       crc(1.05, 3.52, 3.72, 3.89, 3.97, 4.05, 4.20),
	"KI":        crc(0.88, 56.0, 57.6, 59.0, 59.7, 60.4, 61.6),
	"NaI":       crc(0.94, 61.2, 62.4, 63.9, 64.8, 65.7, 67.7),
	"KIO3":      crc(0.85, 4.53, 5.96, 7.57, 8.44, 9.34, 11.09),
	"FeSO4":     crc(0.97, 13.5, 17.0, 20.8, 22.8, 24.8, 28.8),
	"MnCl2":     crc(0.87, 38.7, 40.6, 42.5, 43.6, 44.7, 47.0),
	"MnSO4":     crc(1.00, 34.6, 37.3, 38.6, 38.9, 38.9, 37.7),
	"ZnSO4":     crc(1.03, 29.1, 32.0, 35.0, 36.6, 38.2, 41.3),
	"CuSO4":     crc(1.04, 12.4, 14.4, 16.7, 18.0, 19.3, 22.2),
	"CoCl2":     crc(0.92, 30.3, 32.6, 34.87, 35.99, 37.1, 39.27),
	"NiCl2":     crc(0.95, 34.7, 36.1, 38.5, 40.3, 41.7, 42.1),
	"Na2MoO4":   crc(0.85, 30.6, 38.8, 39.4, 39.4, 39.8, 40.3),
	"LiCl":      crc(0.56, 40.45, 42.46, 45.29, 45.81, 46.25, 47.30),
	"BaCl2":     crc(0.93, 23.30, 24.88, 26.33, 27.03, 27.70, 29.00),
	"LaCl3":     crc(1.00, 49.0, 48.5, 48.6, 48.9, 49.3, 50.5),
	"NH4Cl":     crc(0.29, 22.92, 25.12, 27.27, 28.34, 29.39, 31.46),
	"(NH4)2SO4": crc(0.52, 41.3, 42.1, 42.9, 43.3, 43.8, 44.7),
	"NaCH3COO":  crc(0.50, 26.5, 28.8, 31.8, 33.5, 35.5, 39.9),
	"KMnO4":     crc(0.70, 2.74, 4.12, 5.96, 7.06, 8.28, 11.11),
	"Na2S2O3":   crc(0.82, 33.1, 36.3, 40.6, 43.3, 45.9, 52.0),
	// Seen at 0, 20 and 40 °C, g of Ca(OH)2 in 100 g of water.
	"Ca(OH)2":   {[]solubilityPoint{{0, 0.185 / 100.185}, {20, 0.165 / 100.165}, {40, 0.141 / 100.141}}, 1, perry},
	"Ca(HCOO)2": {[]solubilityPoint{{0, 0.1390}, {10, 0.1407}, {20, 0.1424}, {30, 0.1440}, {40, 0.1457}}, 0.62, lumsden},
	"C6H8O7":    {[]solubilityPoint{{10, 0.54}, {20, 0.592}, {30, 0.643}, {40, 0.686}}, 0.43, citrate},
}
