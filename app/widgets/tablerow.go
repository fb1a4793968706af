package widgets

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"

	"weirkeeper/app/look"
)

// rowView is the objects of one row in sight.
type rowView struct {
	back, rule, box *canvas.Rectangle
	cells           []*cellView
	objects         []fyne.CanvasObject
}

// cellView is the objects of one cell; objects for rare parts are made when
// they are first needed.
type cellView struct {
	cell             Cell
	bold, text, side *canvas.Text
	mark, trend      *canvas.Raster
	gauge, course    *canvas.Raster
}

func newRowView() *rowView {
	return &rowView{
		back: canvas.NewRectangle(color.Transparent),
		rule: canvas.NewRectangle(color.Transparent),
		box:  canvas.NewRectangle(color.Transparent),
	}
}

func newCellView() *cellView {
	c := &cellView{bold: canvas.NewText("", nil), text: canvas.NewText("", nil), side: canvas.NewText("", nil)}
	c.bold.TextSize, c.text.TextSize, c.side.TextSize = look.TextSize(), look.TextSize(), look.SmallText()
	c.bold.TextStyle.Bold = true
	return c
}

// show puts row i of the table into the view's objects.
func (r *rowView) show(v *tableView, i int) {
	t, row := v.table, v.table.rows[i]
	top, height, width := t.tops[i], t.tops[i+1]-t.tops[i], v.contentWidth()
	r.objects = append(r.objects[:0], r.back, r.rule)
	r.back.FillColor = color.Transparent
	current := i == t.current && !row.Group
	switch {
	case row.Group:
		r.back.FillColor = look.Color(look.Panel)
	case t.checked[row.ID], current && (t.focused || !t.anyChecked()):
		r.back.FillColor = look.Color(look.AccentSoft)
	}
	r.back.Move(fyne.NewPos(0, top))
	r.back.Resize(fyne.NewSize(width, height))
	r.rule.FillColor = look.Color(look.Rule)
	r.rule.Move(fyne.NewPos(0, top+height-1))
	r.rule.Resize(fyne.NewSize(width, 1))
	if t.Checks && !row.Group {
		r.showBox(t.checked[row.ID], top, height)
	}
	if row.Group {
		r.cell(0).show(r, row.Cells[0], fyne.TextAlignLeading, look.Inset(), top, width-2*look.Inset(), height)
		return
	}
	cells := t.cells(row)
	for n := range min(len(cells), len(t.columns)) {
		if v.dropped[n] {
			continue
		}
		left := v.lefts[n] + look.Inset()
		r.cell(n).show(r, cells[n], t.columns[n].Align, left, top, v.lefts[n+1]-look.Inset()-left, height)
	}
}

func (r *rowView) cell(n int) *cellView {
	for len(r.cells) <= n {
		r.cells = append(r.cells, newCellView())
	}
	return r.cells[n]
}

// showBox draws the box to tick: empty with a border, or filled.
func (r *rowView) showBox(on bool, top, height float32) {
	const side = 13
	r.box.StrokeWidth, r.box.StrokeColor, r.box.FillColor = 1, look.Color(look.Axis), look.Color(look.Background)
	if on {
		r.box.StrokeColor, r.box.FillColor = look.Color(look.Accent), look.Color(look.Accent)
	}
	r.box.Move(fyne.NewPos(look.Inset(), top+(height-side)/2))
	r.box.Resize(fyne.NewSize(side, side))
	r.objects = append(r.objects, r.box)
}

// show lays the cell's parts out between left and left+width.
func (c *cellView) show(r *rowView, cell Cell, align fyne.TextAlign, left, top, width, height float32) {
	c.cell = cell
	c.colour()
	line := lineHeight(look.TextSize())
	y := top + (height-1-line)/2
	if cell.Gauge != nil {
		y = top + (height-line-gaugeHeight-2)/2
		under := y + line + 1
		if cell.Bold == "" && cell.Text == "" {
			under = top + (height-1-gaugeHeight)/2
		}
		c.showGauge(r, left, under, width)
		align = fyne.TextAlignCenter
	}
	right, most := left+width, left+width
	if cell.Side != "" {
		w := fyne.MeasureText(cell.Side, look.SmallText(), fyne.TextStyle{}).Width
		placeText(c.side, cell.Side, fyne.TextAlignTrailing, right-w, y+line-lineHeight(look.SmallText())-1, w+1)
		r.objects = append(r.objects, c.side)
		most -= w + 6
		if align != fyne.TextAlignCenter {
			right = most
		}
	}
	if cell.Course != nil {
		c.showCourse(r, left, top+(height-1-courseHeight)/2, width)
	}
	if cell.Bold == "" && cell.Text == "" && cell.Mark == MarkNone {
		return
	}
	c.showText(r, align, left, right, most, y, line)
}

func (c *cellView) colour() {
	name := c.cell.Color
	switch {
	case name != "":
	case c.cell.Quiet:
		name = look.Secondary
	default:
		name = look.Text
	}
	outside := c.cell.Mark.ColorName() == look.Below || c.cell.Mark.ColorName() == look.Above
	c.text.TextStyle.Bold = c.cell.Gauge != nil && outside
	if c.text.TextStyle.Bold {
		name = c.cell.Mark.ColorName()
	}
	c.text.Color, c.bold.Color, c.side.Color = look.Color(name), look.Color(name), look.Color(look.Secondary)
}

// showText lays mark, bold part, text and trend on one line. The mark of a
// centred cell stands at its left edge, so that marks make a column; its text gives
// way to what begins at most.
func (c *cellView) showText(r *rowView, align fyne.TextAlign, left, right, most, y, line float32) {
	const gap = 6
	if c.cell.Mark != MarkNone && align != fyne.TextAlignTrailing {
		c.showMark(r, left, y+(line-markSize)/2)
		if align == fyne.TextAlignLeading {
			left += markSize + gap
		}
	}
	boldWidth := float32(0)
	if c.cell.Bold != "" {
		c.bold.Text = shorten(c.cell.Bold, look.TextSize(), right-left, c.bold.TextStyle)
		boldWidth = fyne.MeasureText(c.bold.Text, look.TextSize(), c.bold.TextStyle).Width
		if c.cell.Text != "" {
			boldWidth += gap
		}
	}
	c.text.Text = shorten(c.cell.Text, look.TextSize(), right-left-boldWidth, c.text.TextStyle)
	textWidth := fyne.MeasureText(c.text.Text, look.TextSize(), c.text.TextStyle).Width
	x := left
	switch align {
	case fyne.TextAlignTrailing:
		x = right - boldWidth - textWidth
	case fyne.TextAlignCenter:
		x = (left + right - boldWidth - textWidth) / 2
		if c.cell.Trend != 0 {
			most -= markSize + 2
		}
		x = max(left, min(x, most-boldWidth-textWidth))
	}
	if c.cell.Bold != "" {
		putText(c.bold, x, y, boldWidth, line)
		r.objects = append(r.objects, c.bold)
	}
	putText(c.text, x+boldWidth, y, textWidth, line)
	r.objects = append(r.objects, c.text)
	if c.cell.Mark != MarkNone && align == fyne.TextAlignTrailing {
		c.showMark(r, x-markSize-gap, y+(line-markSize)/2)
	}
	if c.cell.Trend != 0 {
		c.showTrend(r, x+boldWidth+textWidth+2, y+(line-markSize)/2)
	}
}

func putText(t *canvas.Text, x, y, width, height float32) {
	t.Alignment = fyne.TextAlignLeading
	t.Move(fyne.NewPos(x, y))
	t.Resize(fyne.NewSize(width, height))
}

func (c *cellView) showMark(r *rowView, x, y float32) {
	if c.mark == nil {
		c.mark = newMarkRaster(func() MarkKind { return c.cell.Mark })
	}
	putSquare(c.mark, x, y)
	r.objects = append(r.objects, c.mark)
}

func (c *cellView) showTrend(r *rowView, x, y float32) {
	if c.trend == nil {
		c.trend = newMarkRaster(func() MarkKind {
			if c.cell.Trend < 0 {
				return markFalling
			}
			return markRising
		})
	}
	putSquare(c.trend, x, y)
	r.objects = append(r.objects, c.trend)
}

func putSquare(o fyne.CanvasObject, x, y float32) {
	o.Move(fyne.NewPos(x, y))
	o.Resize(fyne.NewSize(markSize, markSize))
}

func (c *cellView) showCourse(r *rowView, left, y, width float32) {
	if c.course == nil {
		c.course = newCourseRaster(func() *Course { return c.cell.Course })
	}
	c.course.Move(fyne.NewPos(left, y))
	c.course.Resize(fyne.NewSize(width, courseHeight))
	r.objects = append(r.objects, c.course)
}

func (c *cellView) showGauge(r *rowView, left, y, width float32) {
	if c.gauge == nil {
		c.gauge = newGaugeRaster(func() *GaugeValue { return c.cell.Gauge })
	}
	c.gauge.Move(fyne.NewPos(left, y))
	c.gauge.Resize(fyne.NewSize(width, gaugeHeight))
	r.objects = append(r.objects, c.gauge)
}
