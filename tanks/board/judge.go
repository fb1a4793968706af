package board

import (
	"time"

	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// Tells returns what a single reading tells by its method.
func (b *Board) Tells(r tanks.Reading) tanks.Estimate {
	return tanks.EstimateOf(r, b.Methods[r.Method])
}

// JudgeReading returns the verdict on a single reading of any age, as on a point
// of a chart or a line of a lab's report: by the band of its cell in the water of
// its system. It is never stale: it says how the water was. There is no verdict
// without a band.
func (b *Board) JudgeReading(r tanks.Reading) tanks.Verdict {
	return b.judge(r.Cell(), b.Tells(r), b.Water(r.System), r.At)
}

// judge is the one judge of the room.
func (b *Board) judge(c tanks.Cell, e tanks.Estimate, w chem.Water, at time.Time) tanks.Verdict {
	band, ok := b.Band(c)
	if !ok {
		return tanks.Verdict{}
	}
	return tanks.Judge(e, band, w, at)
}
