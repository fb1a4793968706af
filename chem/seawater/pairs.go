package seawater

import "math"

// ligand and cation count the partners of ion pairs.
const (
	withHCO3 = iota
	withCO3
	withSO4
	ligands
)

const (
	ofCa = iota
	ofMg
	ofNa
	ofK
	cations
)

// pairs are the ion pairs of a water: how strongly its cations bind to
// bicarbonate, carbonate and sulfate.
type pairs struct {
	total   [cations]float64 // of the cations, free and bound, mol/kg of water
	sulfate float64          // free and bound
	// bind are association constants in concentrations, kg/mol.
	bind [ligands][cations]float64
	free [ligands]float64 // as it was found last, where the next search begins
}

// newPairs takes the association constants of phreeqc.dat (Parkhurst and Appelo
// 2013; those of CaHCO3 and CaCO3 are of Plummer and Busenberg 1982) at t in K into
// concentrations.
func newPairs(t float64, d debyeHuckel, total [cations]float64, sulfated float64) pairs {
	const kcal = 1 / 0.00198720 // 1/R, K for a kcal/mol
	log10T, warmth := math.Log10(t), kcal*(1/298.15-1/t)
	vantHoff := func(log10K, heat float64) float64 { return math.Ln10*log10K + heat*warmth }
	p := pairs{total: total, sulfate: sulfated}
	hco3, co3, so4 := d.ln(bicarbonate), d.ln(carbonate), d.ln(sulfate)
	ca, mg, na, k := d.ln(calcium), d.ln(magnesium), d.ln(sodium), d.ln(potassium)
	zero, one := d.ln(neutral), d.ln(anyPair)
	p.bind = [ligands][cations]float64{
		withHCO3: {
			ofCa: math.Exp(math.Ln10*(1209.12+0.31294*t-34765.05/t-478.782*log10T) + ca + hco3 - d.ln(ion{1, 6, 0})),
			ofMg: math.Exp(math.Ln10*(-59.215+2537.455/t+20.92298*log10T) + mg + hco3 - d.ln(ion{1, 4, 0})),
			ofNa: math.Exp(vantHoff(-0.25, -1) + na + hco3 - zero),
		},
		withCO3: {
			ofCa: math.Exp(math.Ln10*(-1228.732-0.299440*t+35512.75/t+485.818*log10T) + ca + co3 - zero),
			ofMg: math.Exp(math.Ln10*(0.9910+0.00667*t) + mg + co3 - zero),
			ofNa: math.Exp(vantHoff(1.27, 8.91) + na + co3 - one),
		},
		withSO4: {
			ofCa: math.Exp(vantHoff(2.25, 1.325) + ca + so4 - zero),
			ofMg: math.Exp(vantHoff(2.37, 4.55) + mg + so4 - zero),
			ofNa: math.Exp(vantHoff(0.7, 1.12) + na + so4 - d.ln(bicarbonate)),
			ofK:  math.Exp(math.Ln10*(3.106-673.6/t) + k + so4 - d.ln(bicarbonate)),
		},
	}
	return p
}

// bound returns how many times more bicarbonate, carbonate and calcium there is
// in all than free, with so much bicarbonate and carbonate in all, in mol/kg of
// water. Cations and ligands take turns; each turn only loosens what the one before
// bound too much, so that it settles.
func (p *pairs) bound(hco3, co3 float64) (overHCO3, overCO3, overCa float64) {
	total := [ligands]float64{hco3, co3, p.sulfate}
	for l := range total {
		if p.free[l] == 0 {
			p.free[l] = total[l]
		}
	}
	var over [ligands]float64
	for range 200 {
		overCa = p.turn(&over)
		moved := false
		for l := range total {
			next := total[l] / over[l]
			moved = moved || math.Abs(next-p.free[l]) > pairsSettled*total[l]
			p.free[l] = next
		}
		if !moved {
			break
		}
	}
	return over[withHCO3], over[withCO3], overCa
}

// pairsSettled is how little, as a share, a ligand moves at the end.
const pairsSettled = 1e-13

// turn finds how many times more of each ligand and of calcium there is in all
// than free, from the ligands that are free.
func (p *pairs) turn(over *[ligands]float64) (overCa float64) {
	a, b, c := &p.bind[withHCO3], &p.bind[withCO3], &p.bind[withSO4]
	x, y, z := 1.0, 1.0, 1.0
	for i := range cations {
		held := 1 + a[i]*p.free[withHCO3] + b[i]*p.free[withCO3] + c[i]*p.free[withSO4]
		cation := p.total[i] / held
		x += a[i] * cation
		y += b[i] * cation
		z += c[i] * cation
		if i == ofCa {
			overCa = held
		}
	}
	over[withHCO3], over[withCO3], over[withSO4] = x, y, z
	return overCa
}
