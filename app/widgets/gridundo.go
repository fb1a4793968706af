package widgets

// gridEdits is what one edit or paste changed: the texts before and after it.
type gridEdits struct{ before, after []Edit }

// note keeps what an edit is about to change, so that it can be taken back.
func (g *Grid) note(edits []Edit) {
	step := gridEdits{after: edits}
	for _, e := range edits {
		step.before = append(step.before, Edit{e.Row, e.Col, g.model.Cell(e.Row, e.Col).Text})
	}
	g.done, g.undone = append(g.done, step), nil
}

// UndoEdit takes the last edit or paste back, or drops the one under way; false:
// there is none.
func (g *Grid) UndoEdit() bool {
	if g.editing {
		g.drop()
		return true
	}
	step, ok := pop(&g.done)
	if ok {
		g.undone = append(g.undone, step)
		g.put(step.before)
	}
	return ok
}

// RedoEdit puts back what UndoEdit took back.
func (g *Grid) RedoEdit() bool {
	step, ok := pop(&g.undone)
	if ok {
		g.done = append(g.done, step)
		g.put(step.after)
	}
	return ok
}

// ForgetEdits drops what could be taken back: the cells are others now.
func (g *Grid) ForgetEdits() { g.done, g.undone = nil, nil }

func pop(stack *[]gridEdits) (step gridEdits, ok bool) {
	n := len(*stack) - 1
	if n < 0 {
		return step, false
	}
	step, *stack = (*stack)[n], (*stack)[:n]
	return step, true
}

// put writes texts into their cells, as far as there still are such cells.
func (g *Grid) put(edits []Edit) {
	var there []Edit
	for _, e := range edits {
		if e.Row < g.model.Rows() && e.Col < g.model.Columns() {
			there = append(there, e)
		}
	}
	if len(there) == 0 {
		return
	}
	g.hand(there, 0)
	g.moveTo(there[0].Row, there[0].Col, false)
}
