package widgets

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
)

// Sizes of the grid in the theme of now.
func gridRowHeight() float32     { return look.FieldHeight() + 2 }
func gridMessageHeight() float32 { return look.Scaled(22) }
func gridColumnMin() float32     { return look.Scaled(104) }

// gridColumnLeast is the width of a column where there is little room.
func gridColumnLeast() float32 { return look.Scaled(84) }

// gridHeadMin and gridHeadMax bound the width of the row heads.
func gridHeadMin() float32 { return look.Scaled(110) }
func gridHeadMax() float32 { return look.Scaled(260) }

// gridView places the grid's objects. Only cells in sight have objects; those
// that scroll out lend theirs to those that scroll in.
type gridView struct {
	grid       *Grid
	scroll     *container.Scroll
	body       *fyne.Container
	bodySize   *fixedSize
	rowClip    *container.Clip // frozen row heads
	rowHeads   *fyne.Container
	columnClip *container.Clip // frozen column heads
	heads      *fyne.Container
	headRule   *canvas.Rectangle
	message    *canvas.Text
	cursor     *border
	chosen     *border

	cells     []*gridCellView
	rowTexts  []*[2]*canvas.Text
	headTexts []*[3]*canvas.Text
	lines     []*canvas.Rectangle // of the body
	rowLines  []*canvas.Rectangle // of the row heads
	lefts     []float32           // of each column, and the end of the last
	headWidth float32
	broken    bool // subtitles of columns stand in two lines
	size      fyne.Size
}

// headHeight is how high the heads of the columns are.
func (v *gridView) headHeight() float32 {
	lines := float32(2)
	if v.broken {
		lines++
	}
	return lines*lineHeight(look.HeadText()) + 8
}

func newGridView(g *Grid) *gridView {
	v := &gridView{grid: g, headWidth: gridHeadMin(), lefts: []float32{0}}
	v.body, v.bodySize = newHandPlaced()
	v.rowHeads, _ = newHandPlaced()
	v.heads, _ = newHandPlaced()
	v.rowClip, v.columnClip = container.NewClip(v.rowHeads), container.NewClip(v.heads)
	v.scroll = container.NewScroll(v.body)
	v.scroll.OnScrolled = func(fyne.Position) { v.place() }
	v.headRule = canvas.NewRectangle(color.Transparent)
	v.cursor, v.chosen = newBorder(), newBorder()
	v.message = canvas.NewText("", color.Transparent)
	v.message.TextSize = 12
	return v
}

// measureHeads sets the widths of the columns by what stands over them, and lays
// everything out anew.
func (v *gridView) measureHeads() {
	v.measure(v.size.Width)
	if !v.size.IsZero() {
		v.layout(v.size)
	}
}

// measure fits the heads into a width, zero: not known. Where the columns are too
// wide for it, their subtitles break and short ones are narrower.
func (v *gridView) measure(width float32) {
	v.measureRows()
	v.broken = false
	v.measureColumns()
	if v.broken = width > 0 && v.headWidth+v.lefts[len(v.lefts)-1] > width; v.broken {
		v.measureColumns()
	}
	v.bodySize.size = fyne.NewSize(v.lefts[len(v.lefts)-1]+1, float32(v.grid.model.Rows())*gridRowHeight()+1)
}

func (v *gridView) measureColumns() {
	v.lefts = append(v.lefts[:0], 0)
	least := gridColumnMin()
	if v.broken {
		least = gridColumnLeast()
	}
	for c := range v.grid.model.Columns() {
		var width float32
		for n, line := range v.headLines(c) {
			width = max(width, fyne.MeasureText(line, look.HeadText(), fyne.TextStyle{Bold: n == 0}).Width)
		}
		v.lefts = append(v.lefts, v.lefts[c]+max(width+2*look.Inset()+1, least))
	}
}

// headLines is what stands over a column: its title, and its subtitle in one line or
// two; what makes the column no wider does not break.
func (v *gridView) headLines(c int) [3]string {
	title, subtitle := v.grid.model.ColumnHead(c)
	width := func(text string, bold bool) float32 {
		return fyne.MeasureText(text, look.HeadText(), fyne.TextStyle{Bold: bold}).Width
	}
	if !v.broken || width(subtitle, false) <= max(width(title, true), gridColumnLeast()-2*look.Inset()-1) {
		return [3]string{title, subtitle}
	}
	first, rest := twoLines(subtitle)
	return [3]string{title, first, rest}
}

// twoLines breaks a text at the space that leaves the longer line shortest.
func twoLines(text string) (first, rest string) {
	first = text
	for n, r := range text {
		if r == ' ' && max(n, len(text)-n-1) <= max(len(first), len(rest)) {
			first, rest = text[:n], text[n+1:]
		}
	}
	return first, rest
}

func (v *gridView) measureRows() {
	m, bold := v.grid.model, fyne.TextStyle{Bold: true}
	width := gridHeadMin()
	for r := range m.Rows() {
		code, name := m.RowHead(r)
		width = max(
			width,
			fyne.MeasureText(
				code,
				look.TextSize(),
				bold,
			).Width+fyne.MeasureText(
				name,
				look.TextSize(),
				fyne.TextStyle{},
			).Width+2*look.Inset()+8,
		)
	}
	v.headWidth = min(width, gridHeadMax())
}

func (v *gridView) layout(size fyne.Size) {
	if len(v.lefts)-1 != v.grid.model.Columns() || v.size.Width != size.Width {
		v.measure(size.Width)
	}
	v.size = size
	left := v.headWidth
	v.columnClip.Move(fyne.NewPos(left, 0))
	v.columnClip.Resize(fyne.NewSize(max(size.Width-left, 0), v.headHeight()-1))
	v.headRule.Move(fyne.NewPos(0, v.headHeight()-1))
	v.headRule.Resize(fyne.NewSize(min(size.Width, left+v.bodySize.size.Width), 1))
	height := max(size.Height-v.headHeight()-gridMessageHeight(), 0)
	v.rowClip.Move(fyne.NewPos(0, v.headHeight()))
	v.rowClip.Resize(fyne.NewSize(left, height))
	v.scroll.Move(fyne.NewPos(left, v.headHeight()))
	v.scroll.Resize(fyne.NewSize(max(size.Width-left, 0), height))
	v.scroll.Refresh() // its bars
	v.place()
}

// span is the cells in sight, up to but not including row1 and col1.
type span struct{ row0, row1, col0, col1 int }

func (v *gridView) inSight() span {
	m := v.grid.model
	o, size := v.scroll.Offset, v.scroll.Size()
	s := span{row0: max(int(o.Y/gridRowHeight()), 0)}
	s.row1 = min(int((o.Y+size.Height)/gridRowHeight())+1, m.Rows())
	columns := min(m.Columns(), len(v.lefts)-1)
	for s.col0 < columns && v.lefts[s.col0+1] <= o.X {
		s.col0++
	}
	for s.col1 = s.col0; s.col1 < columns && v.lefts[s.col1] < o.X+size.Width; {
		s.col1++
	}
	s.row0 = min(s.row0, s.row1)
	return s
}

// place puts everything in sight where it belongs.
func (v *gridView) place() {
	if v.size.Width <= 0 {
		return
	}
	s := v.inSight()
	v.placeBody(s)
	v.placeColumnHeads(s)
	v.placeRowHeads(s)
	v.placeMessage()
}

func (v *gridView) placeBody(s span) {
	g := v.grid
	v.body.Objects = v.body.Objects[:0]
	n := 0
	for r := s.row0; r < s.row1; r++ {
		for c := s.col0; c < s.col1; c++ {
			if n == len(v.cells) {
				v.cells = append(v.cells, newGridCellView())
			}
			hidden := g.editing && r == g.row && c == g.col
			v.cells[n].show(v, g.model.Cell(r, c), v.lefts[c], float32(r)*gridRowHeight(), v.lefts[c+1]-v.lefts[c], hidden)
			n++
		}
	}
	v.placeLines(s)
	v.placeCursor()
	canvas.Refresh(v.body)
}

// placeLines draws the thin lines between cells.
func (v *gridView) placeLines(s span) {
	n := 0
	line := func(x, y, w, h float32) {
		if n == len(v.lines) {
			v.lines = append(v.lines, canvas.NewRectangle(color.Transparent))
		}
		l := v.lines[n]
		n++
		l.FillColor = look.Color(look.Rule)
		l.Move(fyne.NewPos(x, y))
		l.Resize(fyne.NewSize(w, h))
		v.body.Objects = append(v.body.Objects, l)
	}
	if s.col0 == s.col1 || s.row0 == s.row1 {
		return
	}
	left, right := v.lefts[s.col0], v.lefts[s.col1]
	top, bottom := float32(s.row0)*gridRowHeight(), float32(s.row1)*gridRowHeight()
	for r := s.row0 + 1; r <= s.row1; r++ {
		line(left, float32(r)*gridRowHeight(), right-left, 1)
	}
	for c := s.col0; c <= s.col1; c++ {
		line(v.lefts[c], top, 1, bottom-top)
	}
}

// placeCursor draws the selection, the cursor, and the entry while editing.
func (v *gridView) placeCursor() {
	g := v.grid
	if g.empty() {
		return
	}
	if g.row != g.ar || g.col != g.ac {
		top, left, bottom, right := g.selection()
		v.chosen.place(look.Color(look.Accent), 1, fyne.NewPos(v.lefts[left], float32(top)*gridRowHeight()),
			fyne.NewSize(v.lefts[right+1]-v.lefts[left]+1, float32(bottom+1-top)*gridRowHeight()+1))
		v.body.Objects = v.chosen.addTo(v.body.Objects)
	}
	x, y, width := v.lefts[g.col], float32(g.row)*gridRowHeight(), v.lefts[g.col+1]-v.lefts[g.col]
	if g.editing {
		g.entry.Move(fyne.NewPos(x, y))
		g.entry.Resize(fyne.NewSize(width+1, gridRowHeight()+1))
		v.body.Objects = append(v.body.Objects, g.entry)
	}
	name, thick := look.Axis, float32(1)
	if g.focused || g.editing {
		name, thick = look.Accent, 2
	}
	v.cursor.place(look.Color(name), thick, fyne.NewPos(x, y), fyne.NewSize(width+1, gridRowHeight()+1))
	v.body.Objects = v.cursor.addTo(v.body.Objects)
}

func twoTexts(size float32) *[2]*canvas.Text {
	pair := &[2]*canvas.Text{canvas.NewText("", color.Transparent), canvas.NewText("", color.Transparent)}
	pair[0].TextSize, pair[1].TextSize, pair[0].TextStyle.Bold = size, size, true
	return pair
}

func headTexts() *[3]*canvas.Text {
	pair := twoTexts(look.HeadText())
	rest := canvas.NewText("", color.Transparent)
	rest.TextSize = look.HeadText()
	return &[3]*canvas.Text{pair[0], pair[1], rest}
}

func (v *gridView) placeColumnHeads(s span) {
	v.headRule.FillColor = look.Color(look.Axis)
	v.heads.Objects = v.heads.Objects[:0]
	line := lineHeight(look.HeadText())
	for c := s.col0; c < s.col1; c++ {
		if c-s.col0 == len(v.headTexts) {
			v.headTexts = append(v.headTexts, headTexts())
		}
		texts := v.headTexts[c-s.col0]
		left, width := v.lefts[c]-v.scroll.Offset.X+look.Inset(), v.lefts[c+1]-v.lefts[c]-2*look.Inset()
		for n, text := range v.headLines(c) {
			y := 2 + float32(n)*line
			if n > 0 {
				y++
			}
			texts[n].Color = look.Color(look.Secondary)
			placeText(texts[n], text, fyne.TextAlignTrailing, left, y, width)
			v.heads.Objects = append(v.heads.Objects, texts[n])
		}
		texts[0].Color = look.Color(look.Text)
	}
	canvas.Refresh(v.columnClip)
}

func (v *gridView) placeRowHeads(s span) {
	v.rowHeads.Objects = v.rowHeads.Objects[:0]
	line := lineHeight(look.TextSize())
	for r := s.row0; r < s.row1; r++ {
		if n := r - s.row0; n == len(v.rowTexts) {
			v.rowTexts = append(v.rowTexts, twoTexts(look.TextSize()))
			v.rowLines = append(v.rowLines, canvas.NewRectangle(color.Transparent))
		}
		pair, rule := v.rowTexts[r-s.row0], v.rowLines[r-s.row0]
		code, name := v.grid.model.RowHead(r)
		top := float32(r)*gridRowHeight() - v.scroll.Offset.Y
		y := top + (gridRowHeight()-line)/2
		pair[0].Color, pair[1].Color = look.Color(look.Text), look.Color(look.Text)
		placeText(pair[0], code, fyne.TextAlignLeading, look.Inset(), y, v.headWidth-2*look.Inset())
		x := look.Inset() + fyne.MeasureText(pair[0].Text, look.TextSize(), pair[0].TextStyle).Width + 7
		placeText(pair[1], name, fyne.TextAlignLeading, x, y, v.headWidth-look.Inset()-x+2)
		rule.FillColor = look.Color(look.Rule)
		rule.Move(fyne.NewPos(0, top+gridRowHeight()))
		rule.Resize(fyne.NewSize(v.headWidth, 1))
		v.rowHeads.Objects = append(v.rowHeads.Objects, rule, pair[0], pair[1])
	}
	canvas.Refresh(v.rowClip)
}

// placeMessage says under the grid what is wrong with the cell under the
// cursor, else that every cell is stopped at.
func (v *gridView) placeMessage() {
	text, name := "", look.Problem
	if !v.grid.empty() {
		text = v.grid.model.Cell(v.grid.row, v.grid.col).Message
	}
	if text == "" && v.grid.every {
		text, name = say.L("Enter and Tab stop at every cell. F3: only at those that are due."), look.Secondary
	}
	v.message.Color = look.Color(name)
	y := v.headHeight() + min(v.scroll.Size().Height, v.bodySize.size.Height) + 2
	placeText(v.message, text, fyne.TextAlignLeading, look.Inset(), y, v.size.Width-2*look.Inset())
	canvas.Refresh(v.message)
}

// reveal scrolls so that a cell is in sight.
func (v *gridView) reveal(row, col int) {
	if v.size.Width <= 0 || col+1 >= len(v.lefts) {
		return
	}
	o, size := v.scroll.Offset, v.scroll.Size()
	to := fyne.NewPos(
		into(o.X, v.lefts[col], v.lefts[col+1]+1, size.Width),
		into(o.Y, float32(row)*gridRowHeight(), float32(row+1)*gridRowHeight()+1, size.Height))
	if to != o {
		v.scroll.ScrollToOffset(to)
	}
}

// into moves an offset as little as brings from..to into a window of that
// size; where it does not fit, from is seen.
func into(offset, from, to, size float32) float32 {
	if to > offset+size {
		offset = to - size
	}
	return min(offset, from)
}

// page is how many rows a page moves by.
func (v *gridView) page() int { return max(int(v.scroll.Size().Height/gridRowHeight())-1, 1) }

// at returns the cell at a position; ok is false outside the cells.
func (v *gridView) at(p fyne.Position) (row, col int, ok bool) {
	x, y := p.X-v.headWidth+v.scroll.Offset.X, p.Y-v.headHeight()+v.scroll.Offset.Y
	if p.Y < v.headHeight() || p.X < v.headWidth {
		return 0, 0, false
	}
	row = int(y / gridRowHeight())
	for col = 0; col < len(v.lefts)-1; col++ {
		if x < v.lefts[col+1] {
			return row, col, row < v.grid.model.Rows()
		}
	}
	return 0, 0, false
}
