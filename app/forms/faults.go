package forms

import (
	"weirkeeper/app/say"
	"weirkeeper/app/widgets"
	"weirkeeper/tanks"
)

// Faults returns the faults within err as a form shows them; none when err
// carries none.
func Faults(err error) []widgets.Fault {
	return widgets.FaultsFrom(tanks.FaultsOf(err), func(f tanks.Fault) widgets.Fault {
		return widgets.Fault{Field: f.Field, Problem: say.L(f.Problem), Remedy: say.L(f.Remedy)}
	})
}
