package chem

import (
	"math"
	"strings"

	"weirkeeper/assets/words"
	"weirkeeper/chem/seawater"
)

// Analysis is what is known of one water: values in canonical units. Its
// methods compute what follows from them, and say what must be measured first.
type Analysis map[Analyte]float64

// MissingError says which analytes must be known for a computation.
type MissingError struct {
	For     words.Text // what was to be computed: "the saturation of calcite"
	Missing []Analyte
}

// Words implements words.Worded: what is missing.
func (e *MissingError) Words() words.Text {
	names := make([]words.Text, len(e.Missing))
	for i, a := range e.Missing {
		names[i] = a.InSentence()
	}
	return words.T("%s needs %s: measure it in the same water", e.For, words.Join(names, ", "))
}

// Error says it in English.
func (e *MissingError) Error() string { return e.Words().String() }

// need returns a *MissingError when one of the analytes is not known.
func (a Analysis) need(what words.Text, analytes ...Analyte) error {
	var missing []Analyte
	for _, n := range analytes {
		if v, ok := a[n]; !ok || math.IsNaN(v) {
			missing = append(missing, n)
		}
	}
	if missing != nil {
		return &MissingError{For: what, Missing: missing}
	}
	return nil
}

// ReferenceSeawater returns the composition of reference seawater (Millero et
// al. 2008) of practical salinity s, 0 to 42, at tC, −2 to 40 °C, by analyte.
// The error is a [RangeError].
func ReferenceSeawater(s, tC float64) (Analysis, error) {
	c, err := seawater.ReferenceComposition(s, tC)
	if err != nil {
		return nil, err
	}
	rho, err := seawater.Density(s, tC)
	if err != nil {
		return nil, err
	}
	out := Analysis{Salinity: s, Temperature: tC, Alkalinity: c.Alkalinity() * rho / 1000}
	names := map[string]Analyte{
		"Na": Sodium, "Mg": Magnesium, "Ca": Calcium, "K": Potassium, "Sr": Strontium,
		"Cl": Chloride, "SO4": Sulfate, "Br": Bromide, "F": Fluoride, "CO2": CarbonDi,
	}
	for _, p := range c {
		switch a, ok := names[p.Species]; {
		case ok:
			out[a] = p.MgL
		case strings.HasPrefix(p.Species, "B("):
			out[Boron] += p.MmolL * weights["B"]
		}
		if p.Species == "Ca" || p.Species == "Mg" {
			out[Hardness] += p.MmolL
		}
	}
	return out, nil
}

func mustReference(s, tC float64) Analysis {
	a, err := ReferenceSeawater(s, tC)
	if err != nil {
		panic(err)
	}
	return a
}

// Departure is how an analyte stands to reference seawater of the same
// salinity.
type Departure struct {
	Analyte   Analyte
	Found     float64 // canonical unit
	Reference float64 // canonical unit
}

// Excess returns what is there beyond the reference, below zero when it lacks.
func (d Departure) Excess() float64 { return d.Found - d.Reference }

// Ratio returns what was found over the reference: 0.9 lacks a tenth.
func (d Departure) Ratio() float64 { return d.Found / d.Reference }

// ErrNoSea is returned for water without salt where it would be compared with the
// sea.
var ErrNoSea = words.New("fresh water has no sea of its salinity")

// AgainstSeawater compares the conservative analytes that are known with
// reference seawater of the analysis's salinity, in the catalogue's order. The
// error is a *MissingError without salinity, wraps [ErrNoSea] without salt, or is a
// [RangeError].
func (a Analysis) AgainstSeawater() ([]Departure, error) {
	if err := a.need("the comparison with the sea", Salinity); err != nil {
		return nil, err
	}
	if a[Salinity] == 0 {
		return nil, ErrNoSea
	}
	reference, err := ReferenceSeawater(a[Salinity], 25)
	if err != nil {
		return nil, err
	}
	var out []Departure
	for _, info := range Catalogue() {
		v, known := a[info.Analyte]
		if !known || !info.Conservative {
			continue
		}
		if err := plausible(info.Analyte, v); err != nil {
			return nil, err
		}
		out = append(out, Departure{info.Analyte, v, reference[info.Analyte]})
	}
	return out, nil
}

// Balance is the sum of charges of an analysis in meq/L.
type Balance struct {
	Cations, Anions float64
	// Acceptable is the largest percentage difference at which an analysis is
	// taken for sound: Standard Methods 1030 E, from memory. Below 3 meq/L of
	// anions it is that of 0.2 meq/L.
	Acceptable float64
}

// Difference returns 100·(cations − anions)/(cations + anions) in per cent; NaN
// where there are none.
func (b Balance) Difference() float64 {
	return 100 * (b.Cations - b.Anions) / (b.Cations + b.Anions)
}

// Sound tells whether the difference is acceptable.
func (b Balance) Sound() bool { return math.Abs(b.Difference()) <= b.Acceptable }

// charges are those of the ions that analytes are counted in.
var charges = map[Analyte]float64{
	Sodium: 1, Potassium: 1, Ammonia: 1, Magnesium: 2, Calcium: 2, Strontium: 2,
	Chloride: -1, Bromide: -1, Fluoride: -1, Nitrate: -1, Nitrite: -1, Sulfate: -2,
}

// majorIonsOfBalance carry all but a little of the charge of every water.
var majorIonsOfBalance = []Analyte{Sodium, Magnesium, Calcium, Potassium, Chloride, Sulfate, Alkalinity}

// ChargeBalance adds up the charges of the ions. Alkalinity stands for the
// anions of weak acids, phosphate among them. It needs sodium, magnesium,
// calcium, potassium, chloride, sulfate and alkalinity, and counts the others
// where they are known. The error is a *MissingError or a [RangeError].
func (a Analysis) ChargeBalance() (Balance, error) {
	if err := a.need("the charge balance", majorIonsOfBalance...); err != nil {
		return Balance{}, err
	}
	if err := plausible(Alkalinity, a[Alkalinity]); err != nil {
		return Balance{}, err
	}
	b := Balance{Anions: a[Alkalinity]}
	for _, info := range Catalogue() {
		v, known := a[info.Analyte]
		charge := charges[info.Analyte]
		if !known || charge == 0 {
			continue
		}
		if err := plausible(info.Analyte, v); err != nil {
			return Balance{}, err
		}
		meq := v / speciesMass[info.Analyte] * charge
		if meq > 0 {
			b.Cations += meq
		} else {
			b.Anions -= meq
		}
	}
	switch {
	case b.Anions < 3:
		b.Acceptable = 100 * 0.2 / (b.Cations + b.Anions)
	case b.Anions < 10:
		b.Acceptable = 2
	default:
		b.Acceptable = 5
	}
	return b, nil
}

// HardnessOf returns the general hardness in mmol/L of calcium and magnesium,
// both in mg/L and 0 or more. The error is a [RangeError].
func HardnessOf(calcium, magnesium float64) (float64, error) {
	if err := plausible(Calcium, calcium); err != nil {
		return 0, err
	}
	if err := plausible(Magnesium, magnesium); err != nil {
		return 0, err
	}
	return calcium/speciesMass[Calcium] + magnesium/speciesMass[Magnesium], nil
}
