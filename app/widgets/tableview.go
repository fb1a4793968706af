package widgets

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/look"
)

const (
	checkWidth = 28
	onHead     = -2 // row that stands for the head
)

// tableView places the table's objects: only rows in sight have any, and rows
// that scroll out lend theirs to those that scroll in.
type tableView struct {
	table    *Table
	scroll   *container.Scroll
	body     *fyne.Container
	bodySize *fixedSize
	headClip *container.Clip
	head     *fyne.Container
	headRule *canvas.Rectangle
	ring     *border
	titles   []*headView
	pool     []*rowView
	dropped  []bool    // of each column: there is no room for it
	scaled   []Column  // the table's, in the theme of now
	lefts    []float32 // of each column, and the end of the last
	size     fyne.Size
}

// headView is one column's title.
type headView struct {
	title, subtitle *canvas.Text
	arrow           *canvas.Raster
	down            bool
}

func newTableView(t *Table) *tableView {
	v := &tableView{table: t, headRule: canvas.NewRectangle(look.Color(look.Axis)), ring: newBorder()}
	v.body, v.bodySize = newHandPlaced()
	v.head, _ = newHandPlaced()
	v.headClip = container.NewClip(v.head)
	v.scroll = container.NewScroll(v.body)
	v.scroll.OnScrolled = func(fyne.Position) { v.place() }
	return v
}

func (v *tableView) headHeight() float32 {
	if v.table.NoHead {
		return 0
	}
	for _, c := range v.table.columns {
		if c.Subtitle != "" {
			return 2*lineHeight(look.HeadText()) + 8
		}
	}
	return lineHeight(look.HeadText()) + 10
}

func (v *tableView) layout(size fyne.Size) {
	v.size = size
	v.scale()
	v.measure()
	head := v.headHeight()
	v.headClip.Resize(fyne.NewSize(size.Width, max(head-1, 0)))
	v.headRule.Move(fyne.NewPos(0, max(head-1, 0)))
	v.headRule.Resize(fyne.NewSize(size.Width, 1))
	v.headRule.Hidden = v.table.NoHead
	v.scroll.Move(fyne.NewPos(0, head))
	v.scroll.Resize(fyne.NewSize(size.Width, max(size.Height-head, 0)))
	v.scroll.Refresh() // its bars
	v.place()
}

// measure shares the width among the columns.
func (v *tableView) measure() {
	left := float32(0)
	if v.table.Checks {
		left = checkWidth
	}
	height := v.table.tops[len(v.table.tops)-1] + 1
	free := v.size.Width - left
	if height > v.size.Height-v.headHeight() {
		free -= look.Inset() // for the bar
	}
	v.dropped = dropSpare(v.scaled, free)
	var kept []Column
	for i, c := range v.scaled {
		if !v.dropped[i] {
			kept = append(kept, c)
		}
	}
	widths := columnWidths(kept, free)
	v.lefts = append(v.lefts[:0], left)
	for i := range v.scaled {
		if !v.dropped[i] {
			left += widths[0]
			widths = widths[1:]
		}
		v.lefts = append(v.lefts, left)
	}
	width := left
	if width <= v.size.Width+1 {
		width = 0 // no bar for a rounding
	}
	v.bodySize.size = fyne.NewSize(width, height)
}

func (v *tableView) contentWidth() float32 { return max(v.size.Width, v.lefts[len(v.lefts)-1]) }

// place puts the rows in sight where they belong.
func (v *tableView) place() {
	if v.size.Width <= 0 {
		return
	}
	v.measure()
	if v.scroll.Content.MinSize() != v.scroll.Content.Size() {
		v.scroll.Refresh()
	}
	v.headRule.FillColor = look.Color(look.Axis)
	v.placeHead()
	from, to := v.inSight()
	for len(v.pool) < to-from {
		v.pool = append(v.pool, newRowView())
	}
	v.body.Objects = v.body.Objects[:0]
	for i := from; i < to; i++ {
		v.pool[i-from].show(v, i)
		v.body.Objects = append(v.body.Objects, v.pool[i-from].objects...)
	}
	v.placeRing()
	canvas.Refresh(v.body)
}

func (v *tableView) placeRing() {
	t := v.table
	if !t.focused || t.current < 0 || t.current >= len(t.rows) {
		return
	}
	top := t.tops[t.current]
	v.ring.place(look.Color(look.Accent), 2, fyne.NewPos(0, top), fyne.NewSize(v.contentWidth(), t.tops[t.current+1]-top))
	v.body.Objects = v.ring.addTo(v.body.Objects)
}

// inSight returns which rows are seen, from up to but not including to.
func (v *tableView) inSight() (from, to int) {
	tops := v.table.tops
	top, bottom := v.scroll.Offset.Y, v.scroll.Offset.Y+v.scroll.Size().Height
	for from < len(v.table.rows) && tops[from+1] <= top {
		from++
	}
	for to = from; to < len(v.table.rows) && tops[to] < bottom; {
		to++
	}
	return from, to
}

func (v *tableView) placeHead() {
	columns := v.table.columns
	for len(v.titles) < len(columns) {
		h := &headView{title: canvas.NewText("", nil), subtitle: canvas.NewText("", nil)}
		h.arrow = newMarkRaster(func() MarkKind {
			if h.down {
				return markSortedDown
			}
			return markSortedUp
		})
		h.title.TextSize, h.subtitle.TextSize, h.title.TextStyle.Bold = look.HeadText(), look.HeadText(), true
		v.titles = append(v.titles, h)
	}
	v.head.Objects = v.head.Objects[:0]
	if v.table.NoHead {
		return
	}
	for i, c := range columns {
		if !v.dropped[i] {
			v.placeTitle(v.titles[i], i, c)
		}
	}
	canvas.Refresh(v.headClip)
}

func (v *tableView) placeTitle(h *headView, i int, c Column) {
	left := v.lefts[i] - v.scroll.Offset.X + look.Inset()
	width := v.lefts[i+1] - v.lefts[i] - 2*look.Inset()
	h.title.Color, h.subtitle.Color = look.Color(look.Secondary), look.Color(look.Secondary)
	y := v.headHeight() - 5 - lineHeight(look.HeadText())
	if c.Subtitle != "" {
		placeText(h.subtitle, c.Subtitle, c.Align, left, y+1, width)
		y -= lineHeight(look.HeadText()) - 1
		v.head.Objects = append(v.head.Objects, h.subtitle)
	}
	placeText(h.title, c.Title, c.Align, left, y, width)
	v.head.Objects = append(v.head.Objects, h.title)
	if v.table.sorted == i {
		h.down = v.table.descending
		taken := fyne.MeasureText(h.title.Text, look.HeadText(), h.title.TextStyle).Width
		x := left + taken + 1
		if c.Align == fyne.TextAlignTrailing {
			x = left + width - taken - markSize - 1
		}
		putSquare(h.arrow, x, y+2)
		v.head.Objects = append(v.head.Objects, h.arrow)
	}
}

// placeText sets a text, shortened to width, aligned between left and
// left+width.
func placeText(t *canvas.Text, text string, align fyne.TextAlign, left, y, width float32) {
	t.Text = shorten(text, t.TextSize, width, t.TextStyle)
	t.Alignment = align
	t.Move(fyne.NewPos(left, y))
	t.Resize(fyne.NewSize(max(width, 0), lineHeight(t.TextSize)))
}

// lineHeight is the height of a line of text of that size.
func lineHeight(size float32) float32 { return fyne.MeasureText("0", size, fyne.TextStyle{}).Height }

// reveal scrolls so that a row is in sight.
func (v *tableView) reveal(i int) {
	if v.size.Height <= 0 {
		return
	}
	top, bottom := v.table.tops[i], v.table.tops[i+1]
	if i > 0 && v.table.rows[i-1].Group {
		top = v.table.tops[i-1] // the name of its group with it
	}
	offset, height := v.scroll.Offset, v.scroll.Size().Height
	y := offset.Y
	if bottom > y+height {
		y = bottom - height
	}
	if top < y {
		y = top
	}
	if y != offset.Y {
		v.scroll.ScrollToOffset(fyne.NewPos(offset.X, y))
	}
}

// shift scrolls sideways.
func (v *tableView) shift(by float32) {
	x := min(max(v.scroll.Offset.X+by, 0), max(v.bodySize.size.Width-v.size.Width, 0))
	v.scroll.ScrollToOffset(fyne.NewPos(x, v.scroll.Offset.Y))
	v.place()
}

// page is how many rows a page moves by.
func (v *tableView) page() int {
	return max(int(v.scroll.Size().Height/v.table.rowHeight())-1, 1)
}

// at returns what lies at a position: the row, onHead for the head, -1 for
// nothing; the column; whether it is the box to tick.
func (v *tableView) at(p fyne.Position) (row, column int, onCheck bool) {
	x := p.X + v.scroll.Offset.X
	column = -1
	for i := range v.table.columns {
		if x >= v.lefts[i] && x < v.lefts[i+1] {
			column = i
		}
	}
	if p.Y < v.headHeight() {
		return onHead, column, false
	}
	y := p.Y - v.headHeight() + v.scroll.Offset.Y
	for i := range v.table.rows {
		if y >= v.table.tops[i] && y < v.table.tops[i+1] {
			return i, column, v.table.Checks && x < checkWidth
		}
	}
	return -1, column, false
}
