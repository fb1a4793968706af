package chart

import (
	"fmt"
	"math"

	"weirkeeper/assets/words"
)

// events draws the lane of additions, water changes and notes.
func (d drawing) events() {
	if d.lane.h == 0 {
		return
	}
	s, lane := d.style, d.lane
	d.rect(lane.x, lane.y, lane.w, lane.h, s.Lane)
	most := 0.0
	for _, dose := range d.figure.Doses {
		if d.inside(dose.At) {
			most = math.Max(most, dose.Amount)
		}
	}
	for _, dose := range d.figure.Doses {
		if d.inside(dose.At) && most > 0 {
			h := (lane.h - 3) * dose.Amount / most
			d.rect(d.x(dose.At)-0.7, lane.y+lane.h-h, 1.4, h, s.Dose)
		}
	}
	d.changeBoxes()
	for _, n := range d.figure.Notes {
		if d.inside(n.At) {
			x := d.x(n.At)
			d.polygon(s.Text, [2]float64{x - 3, lane.y}, [2]float64{x + 3, lane.y}, [2]float64{x, lane.y + 5})
		}
	}
	if d.Layout.words > 0 {
		d.text(lane.x+lane.w+17, lane.y+10, smallSize, false, s.Secondary, left, d.figure.say("events"))
		if most > 0 {
			d.text(lane.x+lane.w+17, lane.y+21, smallSize, false, s.Secondary, left, d.figure.say(words.T("up to %.3g", most)))
		}
	}
}

// changeBoxes write the share of water changes where there is room.
func (d drawing) changeBoxes() {
	lane, s := d.lane, d.style
	free := lane.x
	for _, c := range d.figure.Changes {
		if !d.inside(c.At) {
			continue
		}
		x := d.x(c.At)
		d.line(0.8, s.Axis, dotted, [2]float64{x, lane.y}, [2]float64{x, lane.y + lane.h})
		label := fmt.Sprintf("%.0f %%", c.Percent)
		w := d.figure.width(label, smallSize-1, false) + 6
		if x-w/2 < free || x+w/2 > lane.x+lane.w {
			continue
		}
		d.rect(x-w/2, lane.y+5, w, 14, s.Background)
		d.frame(x-w/2, lane.y+5, w, 14, 0.8, s.Text)
		d.text(x, lane.y+15.5, smallSize-1, false, s.Text, centre, label)
		free = x + w/2 + 2
	}
}
