package chart

import (
	"fmt"

	"weirkeeper/assets/words"
)

// legendItem is one entry of the legend: a word and how to draw its mark.
type legendItem struct {
	word words.Text
	draw func(x, y float64)
}

// drawLegend explains what is present, as far as it fits.
func (d drawing) drawLegend() {
	if d.legend == 0 {
		return
	}
	x := edge
	for _, item := range d.legendItems() {
		width := d.figure.width(d.figure.say(item.word), smallSize, false)
		if x+16+width > d.w-edge {
			return
		}
		item.draw(x+5, d.legend-3.5)
		d.text(x+15, d.legend, smallSize, false, d.style.Secondary, left, d.figure.say(item.word))
		x += 15 + width + 14
	}
}

func (d drawing) legendItems() []legendItem {
	s := d.style
	present := map[string]bool{}
	for _, p := range d.figure.Panels {
		present["forecast"] = present["forecast"] || len(p.Forecast) > 0
		present["fit"] = present["fit"] || len(p.Fit) > 0
		for _, pt := range p.Points {
			switch {
			case pt.Limit != LimitNone:
				present["bound"] = true
			case pt.Lab:
				present["lab"] = true
			default:
				present[fmt.Sprint(pt.State)] = true
			}
		}
	}
	state := func(v State) func(x, y float64) {
		return func(x, y float64) { d.mark(x, y, v, s.state(v), s.Background) }
	}
	all := []struct {
		key string
		legendItem
	}{
		{fmt.Sprint(StateBelow), legendItem{"below the band", state(StateBelow)}},
		{fmt.Sprint(StateWithin), legendItem{"within", state(StateWithin)}},
		{fmt.Sprint(StateAbove), legendItem{"above", state(StateAbove)}},
		{"lab", legendItem{"laboratory ± 2 u", func(x, y float64) { d.diamond(x, y, s.Inside, s.Background) }}},
		{"bound", legendItem{"only a bound", func(x, y float64) { d.ring(x, y-1, y+6, s.Inside, s.Background) }}},
		{"fit",
			legendItem{"fitted course", func(x, y float64) { d.line(1.4, s.Forecast50, nil, [2]float64{x - 5, y}, [2]float64{x + 6, y}) }}},
		{"forecast", legendItem{"forecast 50 %, 80 % if regular doses go on", func(x, y float64) {
			d.rect(x-5, y-5, 11, 10, s.Forecast80)
			d.rect(x-5, y-2.5, 11, 5, s.Forecast50)
			d.line(1.2, s.Forecast, dashed, [2]float64{x - 5, y}, [2]float64{x + 6, y})
		}}},
	}
	var out []legendItem
	for _, item := range all {
		if present[item.key] {
			out = append(out, item.legendItem)
		}
	}
	if len(d.figure.Doses) > 0 {
		out = append(out, legendItem{"addition", func(x, y float64) { d.rect(x-1, y-5, 2, 10, s.Dose) }})
	}
	if len(d.figure.Changes) > 0 {
		out = append(out,
			legendItem{"water change", func(x, y float64) { d.line(1, s.Axis, dotted, [2]float64{x, y - 6}, [2]float64{x, y + 6}) }})
	}
	return out
}
