package trend

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
	"time"
)

func noisy(rng *rand.Rand, rec Record, k, sd, outliers float64, days []float64) Record {
	rec = exact(430, k, rec, sd, days...)
	for i := range rec.Points {
		rec.Points[i].Value += sd * rng.NormFloat64()
		if rng.Float64() < outliers {
			rec.Points[i].Value += sd * (8 + 12*rng.Float64()) * float64(1-2*rng.IntN(2))
		}
	}
	return rec
}

func simulate(rng *rand.Rand, outliers float64) (Record, float64) {
	k := 1 + 4*rng.Float64()
	rec := Record{}
	n := 5 + rng.IntN(12)
	days := make([]float64, n)
	for i := range days {
		days[i] = float64(i)*3 + rng.Float64()
	}
	for d := 0.5; d < days[n-1]; d++ {
		rec.Steps = append(rec.Steps, Step{day(d), k * (0.8 + 0.4*rng.Float64())})
	}
	for d := 10.7; d < days[n-1]; d += 14 {
		rec.Swaps = append(rec.Swaps, Swap{day(d), 0.15, 440})
	}
	return noisy(rng, rec, k, 4, outliers, days), k
}

// The 95 % intervals of uptake and of a forecast cover what they claim, over
// simulated records with and without outliers, when the scatter is learned
// from the room first. The methods' own claim starts 30 % too low.
func TestCoverage(t *testing.T) {
	const records = 2000
	for _, c := range []struct {
		name     string
		outliers float64
	}{{"normal", 0}, {"with outliers", 0.06}} {
		t.Run(c.name, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(7, 11))
			opt := learn(t, rng, c.outliers)
			near(t, "learned scatter", opt.Scatter, 4, 0.3)
			var covered, ahead, fits float64
			for range records {
				rec, k := simulate(rng, c.outliers)
				f, err := FitRecord(rec, opt)
				if err != nil {
					continue
				}
				fits++
				if math.Abs(f.Uptake-k) <= f.T95()*f.UptakeSE {
					covered++
				}
				then := f.To.Add(7 * 24 * time.Hour)
				if v, se := f.At(then); math.Abs(v-follow(430, k, rec, then)) <= f.T95()*se {
					ahead++
				}
			}
			t.Logf("%g fits, uptake %.4f, forecast %.4f, scatter %.3f (%.0f)", fits, covered/fits, ahead/fits, opt.Scatter, opt.ScatterDF)
			if fits < 0.97*records {
				t.Errorf("only %g of %d records are fitted", fits, records)
			}
			near(t, "coverage of the uptake", covered/fits, 0.95, 0.02)
			near(t, "coverage of the forecast", ahead/fits, 0.95, 0.02)
		})
	}
}

func learn(t *testing.T, rng *rand.Rand, outliers float64) Options {
	t.Helper()
	opt := Options{}
	records := make([]Record, 60)
	for i := range records {
		records[i], _ = simulate(rng, outliers)
		for j := range records[i].Points {
			records[i].Points[j].Scatter *= 0.7
		}
	}
	for range 2 {
		var fits []Fit
		for _, r := range records {
			if f, err := FitRecord(r, opt); err == nil {
				fits = append(fits, f)
			}
		}
		opt.Scatter, opt.ScatterDF = PooledScatter(fits)
	}
	return opt
}

func BenchmarkFitRecord(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 2))
	rec := Record{}
	for i := range 400 {
		rec.Steps = append(rec.Steps, Step{day(float64(i)*0.15 + 0.01), 0.6})
	}
	days := make([]float64, 60)
	for i := range days {
		days[i] = float64(i)
	}
	rec = noisy(rng, rec, 4, 3, 0.05, days)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := FitRecord(rec, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

// A room of 200 systems and 12 analytes, weekly readings, daily doses.
func BenchmarkFitRoom(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 2))
	records := make([]Record, 2400)
	for i := range records {
		records[i], _ = simulate(rng, 0.02)
	}
	b.ReportAllocs()
	for b.Loop() {
		for _, r := range records {
			if _, err := FitRecord(r, Options{}); err != nil && !errors.Is(err, ErrNotEnough) {
				b.Fatal(err)
			}
		}
	}
}
