package trend

import (
	"math"
	"testing"
	"time"
)

func TestStanding(t *testing.T) {
	now := time.Date(2026, 3, 10, 8, 0, 0, 0, time.UTC)
	daysAgo := func(changes ...float64) []Step {
		var out []Step
		for n, c := range changes {
			if c != 0 {
				out = append(out, Step{At: now.Add(-time.Duration(n)*24*time.Hour - time.Hour), Change: c})
			}
		}
		return out
	}
	cases := map[string]struct {
		steps []Step
		want  float64
	}{
		"every day":                  {daysAgo(3, 3, 3, 3, 3, 3, 3), 3},
		"every other day":            {daysAgo(7, 0, 7, 0, 7, 0, 7), 4},
		"single doses":               {daysAgo(20, 0, 0, 20), 0},
		"long ago":                   {daysAgo(0, 0, 0, 0, 0, 0, 0, 0, 3, 3, 3, 3, 3), 0},
		"yet to come does not count": {[]Step{{At: now.Add(time.Hour), Change: 5}}, 0},
		"none":                       {nil, 0},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			if got := Standing(c.steps, now); math.Abs(got-c.want) > 1e-12 {
				t.Errorf("got %g a day, want %g", got, c.want)
			}
		})
	}
}

// Spread over days, the steps add up to the daily change.
func TestStandingSteps(t *testing.T) {
	from := time.Date(2026, 3, 10, 8, 0, 0, 0, time.UTC)
	var sum float64
	steps := StandingSteps(2.5, from, from.AddDate(0, 0, 10))
	for _, s := range steps {
		if !s.At.After(from) {
			t.Fatalf("a step at %v does not lie after %v", s.At, from)
		}
		sum += s.Change
	}
	if math.Abs(sum-25) > 1e-9 || len(steps) != 40 {
		t.Errorf("%d steps add to %g, want 40 and 25", len(steps), sum)
	}
	if got := StandingSteps(0, from, from.AddDate(0, 0, 1)); got != nil {
		t.Errorf("no dose gives %v", got)
	}
}
