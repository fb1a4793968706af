package typeset

import "github.com/go-text/typesetting/segmenter"

// boxSign stands for a cluster that no font can draw. Clean takes it out of
// what people typed.
const boxSign = '\ufffc'

// Sizes of the box that is drawn for such a cluster.
const (
	boxAdvance = 0.66
	boxLeft    = 0.06
	boxRight   = 0.60
	boxTop     = 0.71
	boxLine    = 0.05
)

// boxedText is a text with boxSign for each cluster that no font can draw.
type boxedText struct {
	runes []rune
	boxed map[int]string // what a boxSign stands for, by its index
}

// boxed looks for clusters without a font.
func (f *Fonts) boxed(runes []rune, w *weight) boxedText {
	var clusters segmenter.Segmenter
	clusters.Init(runes)
	t := boxedText{boxed: map[int]string{}}
	for next := clusters.GraphemeIterator(); next.Next(); {
		cluster := next.Grapheme().Text
		if f.drawable(cluster, w) {
			t.runes = append(t.runes, cluster...)
			continue
		}
		t.boxed[len(t.runes)] = string(cluster)
		t.runes = append(t.runes, boxSign)
	}
	return t
}

func (f *Fonts) drawable(cluster []rune, w *weight) bool {
	for _, r := range cluster {
		if joiner(r) || w.sign(r).face != FaceNone {
			continue
		}
		w.script = scriptOf(r)
		if w.machineFace(r, f.system) == nil {
			return false
		}
	}
	return true
}

// joiner tells of runes that change how others look and have no look of their
// own.
func joiner(r rune) bool {
	return r == '\u200c' || r == '\u200d' || r >= 0xfe00 && r <= 0xfe0f || r >= 0xe0020 && r <= 0xe007f || r >= 0xe0100 && r <= 0xe01ef
}

// said returns what a stretch of the text says, boxes as what they stand for.
func (t boxedText) said(from, to int) string {
	if len(t.boxed) == 0 {
		return string(t.runes[from:to])
	}
	var out []byte
	for i := from; i < to; i++ {
		if text, ok := t.boxed[i]; ok {
			out = append(out, text...)
			continue
		}
		out = append(out, string(t.runes[i])...)
	}
	return string(out)
}

// boxes draws one box a rune.
func boxes(runes []rune, said string) Run {
	r := Run{Text: said}
	for _, c := range runes {
		if joiner(c) {
			continue
		}
		if c == ' ' {
			r.Width += boxAdvance / 2
			continue
		}
		r.Outline = append(r.Outline, box(r.Width)...)
		r.Width += boxAdvance
	}
	return r
}

// box is a frame on the base line: an outer and an inner rectangle that run
// opposite ways.
func box(x float64) []Segment {
	corner := func(op Op, dx, y float64) Segment { return Segment{Op: op, Points: [3][2]float64{{x + dx, y}}} }
	const l, r, b, t = boxLeft + boxLine, boxRight - boxLine, boxLine, boxTop - boxLine
	return []Segment{
		corner(MoveTo, boxLeft, 0), corner(LineTo, boxRight, 0), corner(LineTo, boxRight, boxTop), corner(LineTo, boxLeft, boxTop),
		corner(MoveTo, l, b), corner(LineTo, l, t), corner(LineTo, r, t), corner(LineTo, r, b),
	}
}
