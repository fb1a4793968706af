package trend

import (
	"math"
	"slices"
	"time"

	"gonum.org/v1/gonum/stat/distuv"

	"weirkeeper/assets/words"
	"weirkeeper/tanks"
)

// ErrNotEnough tells that the record does not suffice to tell the uptake; it
// is wrapped with the reason: "not enough to tell: 2 readings, 3 are needed".
var ErrNotEnough = words.New("not enough to tell")

// Options tune a fit.
type Options struct {
	// Now ends the window; zero: the last reading does. Later readings are
	// left out, later additions and water changes stay for the forecast.
	Now time.Time
	// Window is how far back from Now readings count; zero: 60 days (common
	// practice, no source).
	Window time.Duration
	// Scatter is the standard deviation of a typical single reading around
	// the mass balance, learned from many systems with [PooledScatter]; the
	// points keep their scatter relative to each other. Zero: theirs is taken
	// as it is.
	Scatter float64
	// ScatterDF is the degrees of freedom behind Scatter; zero: 20.
	ScatterDF float64
}

// Fit is the mass balance fitted to a record. Numbers are in the analyte's
// canonical unit, times in days.
type Fit struct {
	N        int       // readings used, outliers among them
	From, To time.Time // the first and the last of them
	// Uptake is what the system uses a day, negative when it accumulates, and
	// UptakeSE its standard error. An error of the volume scales doses and
	// uptake alike and is not in it: it cancels where uptake is met by doses
	// into the same volume.
	Uptake, UptakeSE float64
	// DF is the degrees of freedom of every standard error of the fit
	// (Student's t).
	DF float64
	// Scatter is the standard deviation of a typical single reading that the
	// fit worked with; Residual the one that this record shows by itself with
	// ResidualDF degrees of freedom.
	Scatter, Residual, ResidualDF float64
	// Trueness is the standard uncertainty that the readings share.
	Trueness float64
	// Points are the readings used in order of time, and Weights what each
	// counts for, 1 fully to 0 not at all; see [Fit.Outliers].
	Points  []Point
	Weights []float64
	// Above counts readings above their method's range, which say too little
	// to be used.
	Above int

	uptakeFit
	knots []knot
}

func notEnough(format string, args ...any) error {
	return words.Errorf("%w: %s", ErrNotEnough, words.T(format, args...))
}

// T95 returns the factor by which a standard error of the fit becomes half of
// its 95 % interval.
func (f Fit) T95() float64 { return t95(f.DF) }

func t95(df float64) float64 {
	if math.IsNaN(df) || df <= 0 {
		return math.Inf(1)
	}
	return distuv.StudentsT{Sigma: 1, Nu: df}.Quantile(0.975)
}

// Estimate returns what the fit says of the level at the instant now, with
// the scatter and the trueness in quadrature.
func (f Fit) Estimate(now time.Time) tanks.Estimate {
	v, se := f.At(now)
	return tanks.Estimate{
		Value: v, Uncertainty: math.Hypot(se, f.Trueness), Scatter: se, Trueness: f.Trueness,
		At: f.To, From: words.T("fit of %d readings", f.N), N: f.N,
	}
}

// Defaults of the fit (our own choices; common practice, no source).
const (
	window = 60 * 24 * time.Hour
	// learnedDF and statedDF are the degrees of freedom that a scatter
	// learned from the room, and one stated by the method, count for.
	learnedDF = 20
	statedDF  = 5
	fewest    = 3
)

// FitRecord fits the mass balance to the record's readings within the window.
//
// The start is robust (the best line through two readings under a bounded
// loss); from it least squares are iterated with Tukey's biweight. The scale
// that tells an outlier and that the standard errors rest on is pooled: the
// scatter that methods and room are known for, with its degrees of freedom,
// and the residuals of this record, with theirs. A result below L counts as
// L/2 with L/(2√3) added to its scatter; one above a limit is left out.
//
// The error wraps [ErrNotEnough] with fewer than three readings that agree,
// or when the 95 % interval of the uptake is too wide to be of use: it is
// wider than half of the uptake to either side, and over a week leaves open
// more than one pair of readings can resolve, 2·√2 of their scatter. So an
// uptake near nothing, such as 0.1 ± 0.3 mg/L a day, is a result once
// readings of a week or two pin it down. The Fit then holds N, From, To,
// Above, and Points only.
func FitRecord(r Record, opt Options) (Fit, error) {
	f := Fit{}
	f.Points, f.Above = within(r.Points, opt)
	f.N = len(f.Points)
	if err := f.countReadings(); err != nil {
		return f, err
	}
	f.From, f.To = f.Points[0].At, f.Points[f.N-1].At
	knots, rows := carry(f.Points, r.Steps, r.Swaps)
	typical, df := setScatter(rows, f.Points, opt)
	start, ok := robustStart(rows, priorScale(df))
	if !ok {
		return f, notEnough("the readings are of one moment, or a complete water change lies between them")
	}
	scale := pooled(priorScale(df), df, spread(rows, start), madEfficiency*float64(f.N-2))
	scale = max(scale, tiny(rows, typical))
	s, weights, ok := biweight(rows, start, scale)
	if agree := count(weights); !ok || agree < fewest {
		return f, notEnough("only %d of %d readings agree, %d are needed", agree, f.N, fewest)
	}
	own, ownDF := residualScale(rows, s, weights)
	f.finish(s, pooled(priorScale(df), df, own, ownDF), df+ownDF, typical)
	f.Residual, f.ResidualDF = own*typical, ownDF
	if err := f.useful(); err != nil {
		return Fit{N: f.N, From: f.From, To: f.To, Above: f.Above, Points: f.Points}, err
	}
	f.knots, f.Weights, f.Trueness = knots, weights, shared(f.Points, weights)
	return f, nil
}

// within returns the readings that count, in order of time, those below a
// limit as half of it, and how many above a limit were left out.
func within(points []Point, opt Options) (kept []Point, above int) {
	now, span := opt.Now, opt.Window
	if span <= 0 {
		span = window
	}
	if now.IsZero() {
		for _, p := range points {
			if p.At.After(now) {
				now = p.At
			}
		}
	}
	first := now.Add(-span)
	kept = make([]Point, 0, len(points))
	for _, p := range points {
		switch {
		case p.At.Before(first) || p.At.After(now) || math.IsNaN(p.Value) || math.IsInf(p.Value, 0):
		case p.Limit == tanks.Above:
			above++
		case p.Limit == tanks.Below:
			half := p.Value / 2
			p.Value, p.Scatter = half, math.Hypot(p.Scatter, half/math.Sqrt(3))
			kept = append(kept, p)
		default:
			kept = append(kept, p)
		}
	}
	return inOrder(kept, first, func(p Point) time.Time { return p.At }), above
}

func (f Fit) countReadings() error {
	exact := 0
	for _, p := range f.Points {
		if p.Limit == tanks.Exact {
			exact++
		}
	}
	switch {
	case f.N < fewest && f.Above > 0:
		return notEnough("%s within the method's range, %d are needed", readings(f.N), fewest)
	case f.N < fewest:
		return notEnough("%s, %d are needed", readings(f.N), fewest)
	case exact == 0:
		return notEnough("all %d readings are below the limit of detection", f.N)
	}
	return nil
}

func readings(n int) words.Text {
	if n == 0 {
		return "no reading"
	}
	return words.N(n, "%d reading", "%d readings")
}

// setScatter gives each row its standard deviation and returns that of a
// typical reading with the degrees of freedom behind it; none when nothing is
// known, and then every row counts alike.
func setScatter(rows []row, points []Point, opt Options) (typical, df float64) {
	known := make([]float64, 0, len(points))
	for _, p := range points {
		if p.Scatter > 0 && p.Limit == tanks.Exact {
			known = append(known, p.Scatter)
		}
	}
	typical, df = 1, 0
	if len(known) > 0 {
		slices.Sort(known)
		typical, df = known[len(known)/2], statedDF
	}
	factor := 1.0
	if opt.Scatter > 0 {
		factor, df = opt.Scatter/typical, opt.ScatterDF
		if df <= 0 {
			df = learnedDF
		}
	}
	for i, p := range points {
		sd := p.Scatter
		if sd <= 0 {
			sd = typical
		}
		rows[i].sd = sd * factor
	}
	return typical * factor, df
}

// priorScale returns 1, the scale in units of the rows' standard deviations,
// when those are known; else 0.
func priorScale(df float64) float64 {
	if df > 0 {
		return 1
	}
	return 0
}

// pooled returns the scale of two samples taken together.
func pooled(a, aDF, b, bDF float64) float64 {
	if aDF+bDF <= 0 {
		return 0
	}
	return math.Sqrt((aDF*a*a + bDF*b*b) / (aDF + bDF))
}

// tiny returns a scale far under the digits of the readings, so that exact
// ones of unknown scatter do not divide by zero.
func tiny(rows []row, typical float64) float64 {
	var top float64
	for _, r := range rows {
		top = max(top, math.Abs(r.z))
	}
	return max(1e-12*top/typical, 1e-300)
}

func count(weights []float64) (agree int) {
	for _, w := range weights {
		if w >= outlierBelow {
			agree++
		}
	}
	return agree
}

func (f *Fit) finish(s uptakeFit, scale, df, typical float64) {
	s.vm *= scale * scale
	s.vk *= scale * scale
	f.uptakeFit = s
	f.Uptake, f.UptakeSE = s.k, math.Sqrt(s.vk)
	f.Scatter, f.DF = scale*typical, df
}

// usefulDays is the horizon of the test in useful: a week, the usual interval
// between tests (common practice, no source).
const usefulDays = 7

func (f Fit) useful() error {
	half := f.T95() * f.UptakeSE
	if half <= math.Abs(f.Uptake)/2 || half*usefulDays <= 2*math.Sqrt2*f.Scatter {
		return nil
	}
	span := f.To.Sub(f.From).Hours() / 24
	return notEnough("%s over %.1f days do not stand out from their scatter", readings(f.N), span)
}

// shared returns the trueness of the readings' weighted mean. It is common to
// all of them, so it does not average out.
func shared(points []Point, weights []float64) float64 {
	var sum, count float64
	for i, p := range points {
		sum += weights[i] * p.Trueness
		count += weights[i]
	}
	return sum / count
}

// Outliers returns the indices of the Points that lie more than 3.15 standard
// deviations off the fit, so that it hardly heeds them.
func (f Fit) Outliers() []int {
	var out []int
	for i, w := range f.Weights {
		if w < outlierBelow {
			out = append(out, i)
		}
	}
	return out
}
