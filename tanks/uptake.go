package tanks

import (
	"math"
	"time"

	"gonum.org/v1/gonum/stat/distuv"
)

// Uptake is what a system uses of an analyte in a day, in the analyte's
// canonical unit, as its record tells it.
type Uptake struct {
	PerDay float64 // negative: it accumulates
	SE     float64 // standard error of PerDay
	DF     float64 // degrees of freedom of SE (Student's t); zero: SE is known
	// NewestOff tells that the newest reading lies so far off the others that it
	// hardly counts.
	NewestOff bool
}

// Half returns half of the central interval of the uptake with the given
// probability, 0 to 1.
func (u Uptake) Half(p float64) float64 { return half(u.SE, u.DF, p) }

// CoursePoint is the level at one instant of a course, in the analyte's
// canonical unit.
type CoursePoint struct {
	At    time.Time
	Value float64
	SE    float64 // standard error, without what all readings share
	DF    float64 // degrees of freedom of SE (Student's t); zero: SE is known
}

// Half returns half of the central interval of the level with the given
// probability, 0 to 1.
func (c CoursePoint) Half(p float64) float64 { return half(c.SE, c.DF, p) }

// half returns half of the central interval of a Student's t variable of scale
// se, of a normal one where df is zero: the quantile of (1 + p)/2 times se
// (GUM, JCGM 100:2008, G.3).
func half(se, df, p float64) float64 {
	if se == 0 {
		return 0
	}
	if df == 0 {
		return se * math.Sqrt2 * math.Erfinv(p)
	}
	return se * distuv.StudentsT{Sigma: 1, Nu: df}.Quantile((1+p)/2)
}
