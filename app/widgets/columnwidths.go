package widgets

import (
	"math"

	"fyne.io/fyne/v2"

	"weirkeeper/app/look"
)

// Columns are made to fit fitRows of the rows. Before a column is left out for it,
// another one gets fitMost; while there is room it gets up to fitLongest.
const (
	fitRows    = 60
	fitMost    = 210
	fitLongest = 520
)

func columnMinWidth() float32 { return look.Scaled(84) }

// scale takes the columns over in the theme of now, since their widths were chosen
// for compact text, with what their titles and cells need.
func (v *tableView) scale() {
	v.scaled = append(v.scaled[:0], v.table.columns...)
	for i := range v.scaled {
		c := &v.scaled[i]
		around := 2*look.Inset() + 1
		title := v.titleWidth(*c) + around
		cells := min(v.fit(i), look.Scaled(fitLongest)) + around
		c.Width, c.Max = look.Scaled(c.Width), look.Scaled(c.Max)
		if c.Width > 0 {
			c.need = max(title, min(cells, look.Scaled(fitMost)+around))
			continue
		}
		if c.Min = look.Scaled(c.Min); c.Min == 0 {
			c.Min = min(columnMinWidth(), cells)
		}
		c.Min = max(c.Min, title)
		c.need = max(c.Min, cells)
	}
}

// titleWidth is the room that a column's title takes.
func (v *tableView) titleWidth(c Column) float32 {
	width := max(
		fyne.MeasureText(c.Title, look.HeadText(), fyne.TextStyle{Bold: true}).Width,
		fyne.MeasureText(c.Subtitle, look.HeadText(), fyne.TextStyle{}).Width,
	)
	if v.table.OnHead != nil {
		width += markSize
	}
	return width
}

// fit is the width of the widest of a column's cells, of rows from all over the
// table.
func (v *tableView) fit(column int) (width float32) {
	rows := v.table.rows
	for i := 0; i < len(rows); i += 1 + len(rows)/fitRows {
		if rows[i].Group {
			continue
		}
		if cells := v.table.cells(rows[i]); column < len(cells) {
			width = max(width, cellWidth(cells[column]))
		}
	}
	return width
}

// cellWidth is the room that a cell's parts take.
func cellWidth(c Cell) float32 {
	const gap = 6
	width := fyne.MeasureText(
		c.Bold,
		look.TextSize(),
		fyne.TextStyle{Bold: true},
	).Width + fyne.MeasureText(
		c.Text,
		look.TextSize(),
		fyne.TextStyle{},
	).Width
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

// dropSpare leaves out columns that can be spared, the last one first, until the
// others have the room that they need, as far as that is usual.
func dropSpare(columns []Column, free float32) (dropped []bool) {
	dropped = make([]bool, len(columns))
	least := float32(0)
	for _, c := range columns {
		least += c.usual()
	}
	for i := len(columns) - 1; i >= 0 && least > free; i-- {
		if columns[i].Spare {
			dropped[i] = true
			least -= columns[i].usual()
		}
	}
	return dropped
}

// usual is the room that a column needs, unless its cells are very long.
func (c Column) usual() float32 { return max(c.low(), min(c.need, look.Scaled(fitMost))) }

// low is the least width of a column.
func (c Column) low() float32 {
	switch {
	case c.Width > 0 && c.need > 0:
		return c.need
	case c.Width > 0:
		return c.Width
	case c.Min > 0:
		return c.Min
	}
	return columnMinWidth()
}

func (c Column) weight() float32 {
	if c.Weight > 0 {
		return c.Weight
	}
	return 1
}

// columnWidths shares free among the columns. While that is not enough for all that
// they hold, only the longest cells are cut. What is left over widens the columns of
// a fixed width up to that, then the others by their weights, none beyond its Max.
func columnWidths(columns []Column, free float32) []float32 {
	lows, highs, weights := make([]float32, len(columns)), make([]float32, len(columns)), make([]float32, len(columns))
	needs := float32(0)
	for i, c := range columns {
		lows[i], weights[i] = c.low(), 1
		highs[i] = max(c.need, lows[i])
		needs += highs[i]
	}
	if needs > free {
		return fill(free, lows, highs, weights)
	}
	copy(lows, highs)
	for i, c := range columns {
		weights[i] = 0
		if c.Width > 0 {
			highs[i], weights[i] = max(c.Width, lows[i]), 1
		}
	}
	copy(lows, fill(free, lows, highs, weights))
	for i, c := range columns {
		weights[i] = 0
		if c.Width <= 0 {
			highs[i], weights[i] = float32(math.Inf(1)), c.weight()
			if c.Max > 0 {
				highs[i] = max(c.Max, lows[i])
			}
		}
	}
	return fill(free, lows, highs, weights)
}

// fill gives each place a part of free by its weight, not less than its low and not
// more than its high; one without weight gets its low.
func fill(free float32, lows, highs, weights []float32) []float32 {
	out := append([]float32{}, lows...)
	open := make([]bool, len(lows))
	for i := range lows {
		if open[i] = weights[i] > 0; !open[i] {
			free -= lows[i]
		}
	}
	for {
		total, over := float32(0), float32(0)
		for i := range lows {
			if open[i] {
				total += weights[i]
			}
		}
		if total == 0 {
			return out
		}
		part := free / total
		for i := range lows {
			if open[i] {
				out[i] = min(max(part*weights[i], lows[i]), highs[i])
				over += out[i] - part*weights[i]
			}
		}
		if over == 0 {
			return out
		}
		// Where more was given than there is, those at their low are settled, else
		// those at their high; the others share what is left.
		for i := range lows {
			if open[i] && (over > 0 && out[i] > part*weights[i] || over < 0 && out[i] < part*weights[i]) {
				open[i] = false
				free -= out[i]
			}
		}
	}
}
