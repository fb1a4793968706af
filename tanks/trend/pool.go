package trend

import "math"

// PooledScatter learns the standard deviation of a single reading around the
// mass balance from the fits of one analyte in many systems, by one method:
// their residual variances pooled by degrees of freedom. It returns zeros
// when the fits show nothing. Feed it to [Options]; a second round with it
// tells outliers better than the first.
func PooledScatter(fits []Fit) (sd, df float64) {
	var sum float64
	for _, f := range fits {
		if f.ResidualDF <= 0 {
			continue
		}
		sum += f.ResidualDF * f.Residual * f.Residual
		df += f.ResidualDF
	}
	if df == 0 {
		return 0, 0
	}
	return math.Sqrt(sum / df), df
}

// Calcification is the calcium that goes with a milliequivalent of alkalinity
// into calcium carbonate, in mg: half of the molar mass of calcium, 40.078
// g/mol (CIAAW), for two equivalents a mole.
const Calcification = 20.04

// CalcificationRatio returns the uptake of calcium over that of alkalinity in
// mg/L per meq/L, to be compared with [Calcification], and its standard error
// (first-order propagation, GUM 5.1.2). ok is false when the uptake of
// alkalinity is not clear of zero: the ratio then tells nothing.
func CalcificationRatio(ca, alk Fit) (ratio, se float64, ok bool) {
	if math.Abs(alk.Uptake) <= alk.T95()*alk.UptakeSE {
		return 0, 0, false
	}
	ratio = ca.Uptake / alk.Uptake
	return ratio, math.Hypot(ca.UptakeSE, ratio*alk.UptakeSE) / math.Abs(alk.Uptake), true
}
