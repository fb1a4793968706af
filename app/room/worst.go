package room

import (
	"weirkeeper/app/say"
	"weirkeeper/app/state"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// worst is the verdict of a system that wants a look first, of all analytes that
// have one, shown or not.
type worst struct {
	analyte chem.Analyte
	verdict tanks.Verdict
	rank    rank
}

// rank is how much a verdict wants a look.
type rank int

const (
	notJudged rank = iota
	within
	notSure
	tooOld
	likelyOutside
	firmOutside
)

func rankOf(v tanks.Verdict) rank {
	outside := v.Word == tanks.BelowBand || v.Word == tanks.AboveBand
	switch {
	case v.Stale:
		return tooOld
	case v.Word == tanks.NoVerdict:
		return notJudged
	case v.Sure == tanks.Unsure:
		return notSure
	case outside && v.Sure == tanks.Firm:
		return firmOutside
	case outside:
		return likelyOutside
	}
	return within
}

// worstOf looks at every analyte of a system. Among equals the more probable one
// to be outside is the worse.
func worstOf(r *state.Room, id tanks.SystemID) worst {
	var w worst
	for _, info := range chem.Catalogue() {
		v := r.Verdict[tanks.Cell{System: id, Analyte: info.Analyte}]
		at, before := rankOf(v), w.rank
		if at > before || (at == before && at != notJudged && outsideChance(v) > outsideChance(w.verdict)) {
			w = worst{info.Analyte, v, at}
		}
	}
	return w
}

func outsideChance(v tanks.Verdict) float64 { return max(v.PBelow, v.PAbove) }

// asksForALook tells whether any analyte of a system is outside its band, or it
// cannot be told.
func asksForALook(r *state.Room, id tanks.SystemID) bool {
	for _, info := range chem.Catalogue() {
		v := r.Verdict[tanks.Cell{System: id, Analyte: info.Analyte}]
		if v.Word != tanks.NoVerdict && (v.Word != tanks.WithinBand || v.Sure == tanks.Unsure) {
			return true
		}
	}
	return false
}

// cell is the worst verdict as the board shows it.
func (w worst) cell() widgets.Cell {
	c := widgets.Cell{Mark: widgets.MarkOf(int(w.verdict.Word), int(w.verdict.Sure), w.verdict.Stale), By: int(w.rank)}
	name := say.Of(w.analyte)
	switch {
	case w.rank == notJudged:
		return widgets.Cell{By: int(w.rank)}
	case w.rank == within:
		c.Text, c.Quiet = say.L("all within"), true
	case w.rank == notSure:
		c.Text = say.F("%s unsure", name)
	case w.rank == tooOld:
		c.Text = say.F("%s too old", name)
	case w.verdict.Word == tanks.BelowBand:
		c.Bold = say.F("%s below", name)
	default:
		c.Bold = say.F("%s above", name)
	}
	return c
}
