package chem

import "fmt"

// DilutedBy returns the concentration after a share f of the water, 0 to 1, is
// replaced by water of concentration fresh: (1−f)·c + f·fresh.
func DilutedBy(c, share, fresh float64) float64 { return (1-share)*c + share*fresh }

// ShareFor returns the share of the water, 0 to 1, to replace in one change so
// that c becomes goal: (c−goal)/(c−fresh). The error wraps [ErrFreshCant] when
// the goal does not lie between c and fresh.
func ShareFor(c, goal, fresh float64) (float64, error) {
	if !finite(c) || !finite(goal) || !finite(fresh) {
		return 0, fmt.Errorf("a water change from %g to %g with water of %g: a value is no number", c, goal, fresh)
	}
	if c == goal {
		return 0, nil
	}
	if goal < min(c, fresh) || goal > max(c, fresh) {
		return 0, fmt.Errorf("a water change from %g to %g with water of %g: %w", c, goal, fresh, ErrFreshCant)
	}
	return (c - goal) / (c - fresh), nil
}
