package trend

import "time"

// Standing doses are looked for in the last standingDays; on fewer days than
// standingLeast they count as single ones (our choice).
const (
	standingDays  = 7
	standingLeast = 4
)

// Standing returns the change a day, in canonical units, that regular
// additions made over the seven days before now: what a dosing pump goes on
// giving unless it is set anew. Additions on fewer than four of the seven days
// are single ones: the result is 0.
func Standing(steps []Step, now time.Time) float64 {
	days := map[int]bool{}
	var sum float64
	for _, s := range steps {
		age := now.Sub(s.At)
		if age < 0 || age >= standingDays*24*time.Hour {
			continue
		}
		days[int(age/(24*time.Hour))] = true
		sum += s.Change
	}
	if len(days) < standingLeast {
		return 0
	}
	return sum / standingDays
}

// stepsADay is how finely standing doses are spread in a forecast.
const stepsADay = 4

// StandingSteps spreads a change a day evenly from from to to, for
// [Fit.Forecast].
func StandingSteps(daily float64, from, to time.Time) []Step {
	if daily == 0 {
		return nil
	}
	const every = 24 * time.Hour / stepsADay
	var out []Step
	for at := from.Add(every); !at.After(to); at = at.Add(every) {
		out = append(out, Step{At: at, Change: daily / stepsADay})
	}
	return out
}
