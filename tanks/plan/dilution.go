package plan

import (
	"math"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
)

// Dilution is a water change that brings a value that is too high down to its
// aim.
type Dilution struct {
	Share  float64 // of the net volume
	Litres float64
	Fresh  float64 // of the new water, canonical unit
	Text   words.Text
}

// mostAtOnce is the largest share changed in one go (common practice, no
// source): more shocks the animals; repeat it another day.
const mostAtOnce = 0.3

// dilutionFor plans the water change for a line that is too high; Share 0 with a
// text that says what is missing when it cannot.
func dilutionFor(l Line, in Input, opt Options) *Dilution {
	fresh, ok := in.Fresh[l.Analyte]
	if !ok {
		return &Dilution{Text: words.T("A water change would help; the new water's %s is not known: test the source.",
			l.Analyte.InSentence())}
	}
	share, err := chem.ShareFor(l.Estimate.Value, l.Band.Aim, fresh)
	if err != nil {
		return &Dilution{Fresh: fresh, Text: "The new water is not lower than the aim: wait for the uptake, or change the source water."}
	}
	volume := in.System.NetVolume().Litres
	c := &Dilution{Share: share, Litres: share * volume, Fresh: fresh}
	// Compared as it is shown: 30 % is not more than 30 %.
	if math.Round(share*100) > mostAtOnce*100 {
		c.Text = words.T("%.0f %% new water (%s) would bring it to the aim: more than %.0f %% at once is hard on animals (common "+
			"practice, no source), so in several changes.", share*100, opt.volume(c.Litres), mostAtOnce*100)
		return c
	}
	if step, source := l.Band.Step(in.System.Kind); step > 0 && -l.Gap > step*withinRounding {
		c.Text = words.T("%.0f %% new water (%s) brings it to the aim, in %d changes: the largest step is %s (%s).", share*100,
			opt.volume(c.Litres), int(math.Ceil(-l.Gap/(step*withinRounding))), l.delta(step, opt), source)
		return c
	}
	c.Text = words.T("%.0f %% new water (%s) brings it to the aim.", share*100, opt.volume(c.Litres))
	return c
}
