package trend

import (
	"math"
	"slices"
)

// The biweight of Tukey (Beaton and Tukey 1974): tuning for 95 % efficiency
// on normal data, and for such data the mean weight E[w] and the ratio
// E[w·u²]/E[w], which make scale and count of the weighted residuals honest.
// With w = (1−u²/c²)² they follow from the normal moments 1, 3, 15.
const (
	tuning     = 4.685
	meanWeight = 0.9151
	meanSquare = 0.8280
)

// outlierBelow is the weight under which a reading is an outlier: it lies
// more than 3.15 standard deviations off the fit.
const outlierBelow = 0.3

// madEfficiency is the efficiency of the median absolute deviation as a scale
// of normal data (Hampel 1974): what its degrees of freedom count for.
const madEfficiency = 0.37

// uptakeFit is the solution of the weighted least squares in parameters that
// are uncorrelated: the level m and the uptake k, with c0 = m + q·k.
type uptakeFit struct {
	m, k, q float64
	vm, vk  float64 // variances of m and k
}

// value returns α·c0 − β·k.
func (s uptakeFit) value(alpha, beta float64) float64 { return alpha*s.m + (alpha*s.q-beta)*s.k }

// se returns the standard error of value.
func (s uptakeFit) se(alpha, beta float64) float64 {
	lever := alpha*s.q - beta
	return math.Sqrt(alpha*alpha*s.vm + lever*lever*s.vk)
}

// leastSquares solves the rows with the given weights beside 1/sd²; ok is
// false when they do not determine both parameters. The variances are for an
// sd that is right. Level and uptake are solved one after the other, each
// against the rest, because squaring the raw rows would lose half the digits.
func leastSquares(rows []row, weights []float64) (s uptakeFit, ok bool) {
	var aa, ab, az, bb float64
	for i, r := range rows {
		w := weights[i] / (r.sd * r.sd)
		aa += w * r.alpha * r.alpha
		ab += w * r.alpha * r.beta
		az += w * r.alpha * r.z
		bb += w * r.beta * r.beta
	}
	if aa <= 0 {
		return s, false
	}
	s.q, s.m, s.vm = ab/aa, az/aa, 1/aa
	var ll, lz float64
	for i, r := range rows {
		w := weights[i] / (r.sd * r.sd)
		lever := r.alpha*s.q - r.beta
		ll += w * lever * lever
		lz += w * lever * (r.z - r.alpha*s.m)
	}
	if ll <= 1e-20*bb || ll == 0 {
		return s, false
	}
	s.k, s.vk = lz/ll, 1/ll
	return s, true
}

// through returns the solution that meets two rows exactly.
func through(a, b row) (s uptakeFit, ok bool) {
	det := a.beta*b.alpha - b.beta*a.alpha
	if math.Abs(det) <= 1e-12*(math.Abs(a.beta*b.alpha)+math.Abs(b.beta*a.alpha)) {
		return s, false
	}
	s.m = (a.beta*b.z - b.beta*a.z) / det
	s.k = (a.alpha*b.z - b.alpha*a.z) / det
	return s, true
}

// robustStart returns the best of many lines through two readings each: the
// one with the least sum of bounded losses at the given scale, or of absolute
// residuals when no scale is known (zero). With few outliers many of the
// lines meet good readings only.
func robustStart(rows []row, scale float64) (best uptakeFit, ok bool) {
	least := math.Inf(1)
	eachPair(len(rows), func(i, j int) {
		s, solved := through(rows[i], rows[j])
		if !solved {
			return
		}
		if l := loss(rows, s, scale, least); l < least {
			best, least, ok = s, l, true
		}
	})
	return best, ok
}

// fewRows is up to how many readings every pair of them is tried; with more,
// pairs about a third and a half of the record apart, wantPairs of each.
const (
	fewRows   = 12
	wantPairs = 30
)

func eachPair(n int, try func(i, j int)) {
	if n <= fewRows {
		for i := range n {
			for j := i + 1; j < n; j++ {
				try(i, j)
			}
		}
		return
	}
	for _, lag := range [...]int{n / 3, n / 2} {
		stride := max(1, (n-lag)/wantPairs)
		for i := 0; i+lag < n; i += stride {
			try(i, i+lag)
		}
	}
}

// loss sums the losses and gives up once they exceed the limit.
func loss(rows []row, s uptakeFit, scale, limit float64) float64 {
	var sum float64
	for _, r := range rows {
		u := (r.z - s.value(r.alpha, r.beta)) / r.sd
		if scale <= 0 {
			sum += math.Abs(u)
		} else {
			w := 1 - min(1, u*u/(tuning*tuning*scale*scale))
			sum += 1 - w*w*w
		}
		if sum >= limit {
			break
		}
	}
	return sum
}

// spread returns the scale of the scaled residuals by their median absolute
// value, made right for normal data and for two fitted parameters.
func spread(rows []row, s uptakeFit) float64 {
	abs := make([]float64, len(rows))
	for i, r := range rows {
		abs[i] = math.Abs(r.z-s.value(r.alpha, r.beta)) / r.sd
	}
	slices.Sort(abs)
	n := len(abs)
	median := (abs[(n-1)/2] + abs[n/2]) / 2
	return 1.4826 * median * math.Sqrt(float64(n)/float64(n-2))
}

// biweight iterates least squares from the start, each row weighted by
// Tukey's biweight of its residual at the given scale. ok is false when too
// few rows keep a weight to determine the parameters.
func biweight(rows []row, s uptakeFit, scale float64) (_ uptakeFit, weights []float64, ok bool) {
	weights = make([]float64, len(rows))
	reach := tuning * scale
	for range 50 {
		for i, r := range rows {
			u := (r.z - s.value(r.alpha, r.beta)) / (r.sd * reach)
			w := max(0, 1-u*u)
			weights[i] = w * w
		}
		next, solved := leastSquares(rows, weights)
		if !solved {
			return s, weights, false
		}
		done := math.Abs(next.k-s.k) <= 1e-4*math.Sqrt(next.vk)*scale
		s = next
		if done {
			break
		}
	}
	return s, weights, true
}

// residualScale returns the scale that the weighted residuals show and its
// degrees of freedom.
func residualScale(rows []row, s uptakeFit, weights []float64) (scale, df float64) {
	var sum, count float64
	for i, r := range rows {
		u := (r.z - s.value(r.alpha, r.beta)) / r.sd
		sum += weights[i] * u * u
		count += weights[i]
	}
	n := min(float64(len(rows)), count/meanWeight)
	df = n - 2
	if df <= 0 {
		return 0, 0
	}
	return math.Sqrt(sum / (count * meanSquare) * n / df), df
}
