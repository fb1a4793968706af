package widgets

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"

	"weirkeeper/app/look"
)

// gridCellView is the objects of one cell in sight.
type gridCellView struct {
	back             *canvas.Rectangle
	text, hint, flag *canvas.Text
	mark             *canvas.Raster
	kind             MarkKind
}

func newGridCellView() *gridCellView {
	c := &gridCellView{
		back: canvas.NewRectangle(color.Transparent),
		text: canvas.NewText("", color.Transparent),
		hint: canvas.NewText("", color.Transparent),
	}
	c.text.TextSize, c.hint.TextSize = textOnGrid(), look.SmallText()
	return c
}

// show puts a cell into the view's objects and adds them to the body. While
// the cell is edited its text is hidden, for the entry says it.
func (c *gridCellView) show(v *gridView, cell GridCell, left, top, width float32, editing bool) {
	c.back.FillColor = look.Color(look.Panel)
	if cell.Due {
		c.back.FillColor = look.Color(look.Background)
	}
	if cell.Bad {
		c.back.FillColor = look.Color(look.AboveSoft)
	}
	c.back.Move(fyne.NewPos(left, top))
	c.back.Resize(fyne.NewSize(width, gridRowHeight()))
	v.body.Objects = append(v.body.Objects, c.back)
	if editing {
		return
	}
	c.text.Color, c.hint.Color = look.Color(look.Text), look.Color(look.Secondary)
	line := lineHeight(textOnGrid())
	y := top + (gridRowHeight()-line)/2
	used := float32(0)
	if cell.Text != "" {
		placeText(c.text, cell.Text, fyne.TextAlignTrailing, left+look.Inset(), y, width-2*look.Inset())
		used = fyne.MeasureText(c.text.Text, textOnGrid(), c.text.TextStyle).Width
		v.body.Objects = append(v.body.Objects, c.text)
	}
	if cell.Bad || cell.Mark != MarkNone {
		c.showSign(v, cell, left+width-look.Inset()-used-markSize-8, y, line)
		used += markSize + 8
	}
	if cell.Hint != "" && used+2*look.Inset()+16 < width {
		placeText(c.hint, cell.Hint, fyne.TextAlignLeading, left+look.Inset(), top+3, width-2*look.Inset()-used-4)
		v.body.Objects = append(v.body.Objects, c.hint)
	}
}

// showSign draws the mark left of the number, or the sign of a bad cell.
func (c *gridCellView) showSign(v *gridView, cell GridCell, x, y, line float32) {
	if !cell.Bad {
		if c.mark == nil {
			c.mark = newMarkRaster(func() MarkKind { return c.kind })
		}
		c.kind = cell.Mark
		putSquare(c.mark, x, y+(line-markSize)/2)
		v.body.Objects = append(v.body.Objects, c.mark)
		return
	}
	if c.flag == nil {
		c.flag = canvas.NewText("!", color.Transparent)
		c.flag.TextSize, c.flag.TextStyle.Bold, c.flag.Alignment = textOnGrid(), true, fyne.TextAlignCenter
	}
	c.flag.Color = look.Color(look.Problem)
	c.flag.Move(fyne.NewPos(x, y))
	c.flag.Resize(fyne.NewSize(markSize, line))
	v.body.Objects = append(v.body.Objects, c.flag)
}
