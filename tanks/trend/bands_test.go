package trend

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"
)

// The bands of a forecast hold what they claim where few readings stand behind
// the scatter. By the quantiles of a normal error those of 80 and 95 % would
// hold 78 and 93.
func TestForecastBandsOfFewReadings(t *testing.T) {
	const records = 20000
	rng := rand.New(rand.NewPCG(3, 5))
	claimed := []float64{0.5, 0.8, 0.95}
	inside := make([]float64, len(claimed))
	for range records {
		k := 6 + 2*rng.Float64()
		rec := exact(430, k, Record{}, 2, 0, 3, 6, 9)
		for i := range rec.Points {
			rec.Points[i].Value += 2 * rng.NormFloat64()
		}
		f := mustFit(t, rec, Options{})
		then := f.To.Add(7 * 24 * time.Hour)
		path := f.Forecast(f.To, then, 2, nil)
		last := path[len(path)-1]
		off := math.Abs(last.Value - follow(430, k, rec, then))
		for i, p := range claimed {
			if off <= last.Half(p) {
				inside[i]++
			}
		}
	}
	for i, p := range claimed {
		if share := inside[i] / records; share < p-0.005 || share > p+0.03 {
			t.Errorf("%.3f lie in the band of %g", share, p)
		}
	}
}
