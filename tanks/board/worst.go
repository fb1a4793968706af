package board

import (
	"slices"

	"weirkeeper/tanks"
)

// Worst is the cell of a system that wants a look first.
type Worst struct {
	Cell    tanks.Cell
	Verdict tanks.Verdict
}

// Worst returns the cell of a system whose verdict is worst of all its analytes,
// those too that no list shows: firmly outside before likely, then too old, unsure
// and within; among equals the one that is outside more probably. ok is false without
// any verdict.
func (e *Estimated) Worst(id tanks.SystemID) (worst Worst, ok bool) {
	for _, b := range e.Bands[id] { // in the order of the profile, so that equals stand still
		c := tanks.Cell{System: id, Analyte: b.Analyte}
		v := e.Judge(c)
		if v.Word == tanks.NoVerdict || (ok && !worse(v, worst.Verdict)) {
			continue
		}
		worst, ok = Worst{c, v}, true
	}
	return worst, ok
}

// WantsLook tells whether any analyte of a system is outside its band, or unsure,
// whatever else of it is too old.
func (e *Estimated) WantsLook(id tanks.SystemID) bool {
	return slices.ContainsFunc(e.Bands[id], func(b tanks.Band) bool {
		v := e.Judge(tanks.Cell{System: id, Analyte: b.Analyte})
		return v.Word != tanks.NoVerdict && (v.Word != tanks.WithinBand || v.Sure == tanks.Unsure)
	})
}

func worse(a, b tanks.Verdict) bool {
	if Rank(a) != Rank(b) {
		return Rank(a) > Rank(b)
	}
	return a.PBelow+a.PAbove > b.PBelow+b.PAbove
}

// Rank orders verdicts by how much they want a look: 0 is none, then unsure, too
// old, likely and firmly outside.
func Rank(v tanks.Verdict) int {
	switch {
	case v.Stale:
		return 2
	case v.Word == tanks.NoVerdict:
		return 0
	case v.Sure == tanks.Unsure:
		return 1
	case v.Word == tanks.WithinBand:
		return 0
	case v.Sure == tanks.Likely:
		return 3
	}
	return 4
}
