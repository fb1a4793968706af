package widgets

import (
	"image"
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/assets/words"
)

// MarkKind is what a verdict mark says by its shape: direction and how sure.
type MarkKind int

// The kinds of mark. Triangles point where the value lies, filled when that is
// firm and in outline when it is likely; a diamond is unsure, a dashed ring is
// too old to say, a small dot or ring is within.
const (
	MarkNone MarkKind = iota
	MarkBelowFirm
	MarkBelowLikely
	MarkWithinFirm
	MarkWithinLikely
	MarkAboveFirm
	MarkAboveLikely
	MarkUnsure
	MarkStale
	markRising
	markFalling
	markSortedUp
	markSortedDown
)

// Word says the mark in words; MarkNone has none.
func (k MarkKind) Word() string {
	switch k {
	case MarkBelowFirm:
		return say.L("below")
	case MarkBelowLikely:
		return say.L("likely below")
	case MarkWithinFirm:
		return say.L("within")
	case MarkWithinLikely:
		return say.L("likely within")
	case MarkAboveFirm:
		return say.L("above")
	case MarkAboveLikely:
		return say.L("likely above")
	case MarkUnsure:
		return say.L("unsure")
	case MarkStale:
		return say.L("too old")
	}
	return ""
}

// MarkOf returns the mark of a verdict given as numbers: word 0 none, 1 below,
// 2 within, 3 above; sure 0 unsure, 1 likely, 2 firm. A stale verdict is too
// old to say.
func MarkOf(word, sure int, stale bool) MarkKind {
	switch {
	case word < 1 || word > 3:
		return MarkNone
	case stale:
		return MarkStale
	case sure <= 0:
		return MarkUnsure
	}
	likely := MarkKind(0)
	if sure == 1 {
		likely = 1
	}
	return [...]MarkKind{MarkBelowFirm, MarkWithinFirm, MarkAboveFirm}[word-1] + likely
}

// ColorName returns the name of the colour that the mark is drawn in.
func (k MarkKind) ColorName() fyne.ThemeColorName {
	switch k {
	case MarkBelowFirm, MarkBelowLikely:
		return look.Below
	case MarkAboveFirm, MarkAboveLikely:
		return look.Above
	case markRising, markFalling, markSortedUp, markSortedDown:
		return look.Secondary
	}
	return look.Inside
}

// markSize is the side of a mark.
const markSize = 12

// markImage draws the mark into w by h pixels.
func markImage(k MarkKind, c color.Color, w, h int) image.Image {
	s := newSketch(w, h, float32(min(w, h))/markSize)
	switch k {
	case MarkBelowFirm:
		s.fill(pt(1, 2), pt(11, 2), pt(6, 10.5))
	case MarkBelowLikely:
		s.outline(1.4, pt(1, 2), pt(11, 2), pt(6, 10.5))
	case MarkAboveFirm:
		s.fill(pt(6, 1.5), pt(11, 10), pt(1, 10))
	case MarkAboveLikely:
		s.outline(1.4, pt(6, 1.5), pt(11, 10), pt(1, 10))
	case MarkUnsure:
		s.outline(1.3, pt(6, 1), pt(11, 6), pt(6, 11), pt(1, 6))
	case MarkWithinFirm:
		s.ring(pt(6, 6), 2.2, 0)
	case MarkWithinLikely:
		s.ring(pt(6, 6), 2.6, 1.2)
	case MarkStale:
		s.dashedRing(pt(6, 6), 4.6, 1.3, 8)
	case markRising:
		s.stroke(1.2, pt(2.5, 9.5), pt(9, 3))
		s.stroke(1.2, pt(4.5, 2.8), pt(9.2, 2.8), pt(9.2, 7.5))
	case markFalling:
		s.stroke(1.2, pt(2.5, 2.5), pt(9, 9))
		s.stroke(1.2, pt(4.5, 9.2), pt(9.2, 9.2), pt(9.2, 4.5))
	case markSortedUp:
		s.fill(pt(6, 4), pt(9.5, 8.5), pt(2.5, 8.5))
	case markSortedDown:
		s.fill(pt(2.5, 4), pt(9.5, 4), pt(6, 8.5))
	}
	return s.image(c)
}

// newMarkRaster returns a raster that draws the kind that is asked for at
// each painting.
func newMarkRaster(kind func() MarkKind) *canvas.Raster {
	r := canvas.NewRaster(func(w, h int) image.Image {
		k := kind()
		return markImage(k, look.Color(k.ColorName()), w, h)
	})
	r.ScaleMode = canvas.ImageScalePixels
	r.SetMinSize(fyne.NewSize(markSize, markSize))
	return r
}

// Mark is a verdict mark, drawn as a shape.
type Mark struct {
	widget.BaseWidget
	kind   MarkKind
	raster *canvas.Raster
}

// NewMark returns a mark of that kind.
func NewMark(kind MarkKind) *Mark {
	m := &Mark{kind: kind}
	m.raster = newMarkRaster(func() MarkKind { return m.kind })
	m.ExtendBaseWidget(m)
	return m
}

// Kind returns the kind of the mark.
func (m *Mark) Kind() MarkKind { return m.kind }

// SetKind changes the kind.
func (m *Mark) SetKind(kind MarkKind) {
	if m.kind == kind {
		return
	}
	m.kind = kind
	m.Refresh()
}

// CreateRenderer implements fyne.Widget.
func (m *Mark) CreateRenderer() fyne.WidgetRenderer {
	return newLaidOut(m, widget.NewSimpleRenderer(container.NewCenter(m.raster)))
}

// NewMarkLegend returns the marks with their words.
func NewMarkLegend() fyne.CanvasObject {
	var all []fyne.CanvasObject
	for _, e := range []struct {
		kind MarkKind
		word words.Text
	}{
		{MarkBelowFirm, "below"}, {MarkAboveFirm, "above"}, {MarkWithinFirm, "within"},
		{MarkBelowLikely, "likely"}, {MarkUnsure, "unsure"}, {MarkStale, "too old"},
	} {
		all = append(
			all,
			container.New(layout.NewCustomPaddedHBoxLayout(4), NewMark(e.kind), NewLine(say.L(e.word)+"  ", look.Secondary, false)),
		)
	}
	return NewBar(all...)
}
