package widgets

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/look"
)

const (
	checkWidth = 28
	onHead     = -2 // row that stands for the head
)

func columnMinWidth() float32 { return look.Scaled(84) }

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
	ring     *frame
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
	v := &tableView{table: t, headRule: canvas.NewRectangle(look.Color(look.Axis)), ring: newFrame()}
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
	v.place()
}

// Columns are made to fit the cells of the first fitRows rows, up to fitMost
// wide.
const (
	fitRows = 60
	fitMost = 210
)

// scale takes the columns over in the theme of now: their widths were chosen
// for compact text, no title is cut off, and neither are cells of a usual length.
func (v *tableView) scale() {
	v.scaled = append(v.scaled[:0], v.table.columns...)
	bold := fyne.TextStyle{Bold: true}
	for i := range v.scaled {
		c := &v.scaled[i]
		title := max(fyne.MeasureText(c.Title, look.HeadText(), bold).Width, fyne.MeasureText(c.Subtitle, look.HeadText(), fyne.TextStyle{}).Width)
		if v.table.OnHead != nil {
			title += markSize
		}
		title += 2*look.Inset() + 1
		fit := min(v.fit(i), look.Scaled(fitMost)) + 2*look.Inset() + 1
		if c.Width > 0 {
			c.Width = max(look.Scaled(c.Width), title, fit)
			continue
		}
		c.Min = max(look.Scaled(c.Min), title)
		c.wish = max(c.Min, fit)
	}
}

// fit is the width of the widest of a column's first cells.
func (v *tableView) fit(column int) (width float32) {
	rows := v.table.rows
	for _, r := range rows[:min(len(rows), fitRows)] {
		if !r.Group && column < len(r.Cells) {
			width = max(width, cellWidth(r.Cells[column]))
		}
	}
	return width
}

// cellWidth is the room that a cell's parts take.
func cellWidth(c Cell) float32 {
	const gap = 6
	width := fyne.MeasureText(c.Bold, look.TextSize(), fyne.TextStyle{Bold: true}).Width + fyne.MeasureText(c.Text, look.TextSize(), fyne.TextStyle{}).Width
	if c.Bold != "" && c.Text != "" {
		width += gap
	}
	if c.Side != "" {
		width += fyne.MeasureText(c.Side, look.SmallText(), fyne.TextStyle{}).Width + gap
	}
	if c.Mark != MarkNone {
		width += markSize + gap
	}
	if c.Trend != 0 {
		width += markSize + 2
	}
	if c.Gauge != nil {
		width = max(width, gaugeMinWidth)
	}
	if c.Course != nil {
		width = max(width, courseMinWidth)
	}
	return width
}

// dropSpare makes columns that can be spared as narrow as nothing, the last one
// first, until the others have room.
func dropSpare(columns []Column, free float32) (dropped []bool) {
	dropped = make([]bool, len(columns))
	least := float32(0)
	for _, c := range columns {
		least += max(c.Width, c.wish)
	}
	for i := len(columns) - 1; i >= 0 && least > free; i-- {
		if columns[i].Spare {
			dropped[i] = true
			least -= max(columns[i].Width, columns[i].wish)
		}
	}
	return dropped
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

// columnWidths gives fixed columns their width and shares the rest of free by
// weight. A column whose share is less than its least width takes that, and
// the others share what is then left.
func columnWidths(columns []Column, free float32) []float32 {
	columns = slices.Clone(columns)
	giveWishes(columns, free)
	widths := make([]float32, len(columns))
	weights := float32(0)
	for i, c := range columns {
		widths[i] = c.Width
		free -= c.Width
		if c.Width <= 0 {
			weights += c.weight()
		}
	}
	for again := true; again; {
		again = false
		for i, c := range columns {
			if widths[i] <= 0 && c.min()*weights > c.weight()*free {
				widths[i], again = c.min(), true
				free -= c.min()
				weights -= c.weight()
			}
		}
	}
	for i, c := range columns {
		if widths[i] <= 0 {
			widths[i] = c.weight() * free / weights
		}
	}
	return widths
}

// giveWishes raises the least widths of columns to what their cells would take,
// all of it where there is room, else each the same part.
func giveWishes(columns []Column, free float32) {
	var least, wishes float32
	for i := range columns {
		c := &columns[i]
		if c.Width > 0 {
			least += c.Width
			continue
		}
		c.Min = c.min()
		c.wish = max(c.wish, c.Min)
		least += c.Min
		wishes += c.wish - c.Min
	}
	if wishes == 0 || least >= free {
		return
	}
	part := min((free-least)/wishes, 1)
	for i := range columns {
		if c := &columns[i]; c.Width <= 0 {
			c.Min += (c.wish - c.Min) * part
		}
	}
}

func (c Column) weight() float32 {
	if c.Weight > 0 {
		return c.Weight
	}
	return 1
}

func (c Column) min() float32 {
	if c.Min > 0 {
		return c.Min
	}
	return columnMinWidth()
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
