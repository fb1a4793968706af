package room

import (
	"weirkeeper/app/say"
	"weirkeeper/app/widgets"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

// worstCell says which analyte of a system wants a look first, whether its column
// is shown or not.
func worstCell(r boardRow) widgets.Cell {
	if !r.looked {
		return widgets.Cell{}
	}
	v, name := r.worst.Verdict, say.Of(r.worst.Cell.Analyte)
	c := widgets.Cell{Mark: widgets.MarkOf(int(v.Word), int(v.Sure), v.Stale), By: board.Rank(v)}
	switch {
	case board.Rank(v) == 0:
		c.Text, c.Quiet = say.L("all within"), true
	case v.Stale:
		c.Text = say.F("%s too old", name)
	case v.Sure == tanks.Unsure:
		c.Text = say.F("%s unsure", name)
	case v.Word == tanks.BelowBand:
		c.Bold = say.F("%s below", name)
	default:
		c.Bold = say.F("%s above", name)
	}
	return c
}
