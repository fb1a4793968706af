package typeset

import (
	"slices"

	"github.com/go-text/typesetting/di"
	"github.com/go-text/typesetting/language"
	"github.com/go-text/typesetting/shaping"
	"golang.org/x/text/unicode/bidi"
)

func scriptOf(r rune) language.Script { return language.LookupScript(r) }

// rightToLeft tells by the first letter with a direction which way a text
// runs (UAX 9, P2 and P3).
func rightToLeft(runes []rune) bool {
	for _, r := range runes {
		switch class(r) {
		case bidi.L:
			return false
		case bidi.R, bidi.AL:
			return true
		}
	}
	return false
}

// levelsOf returns the embedding level of each rune as the Unicode
// bidirectional algorithm gives it (UAX 9). Signs that set levels by
// themselves are not in the text, so there are three at the most.
func levelsOf(runes []rune) []uint8 {
	base := uint8(0)
	var p bidi.Paragraph
	if rightToLeft(runes) {
		base = 1
	}
	levels := make([]uint8, len(runes))
	if _, err := p.SetString(string(runes), bidi.DefaultDirection(bidi.LeftToRight)); err != nil {
		return levels
	}
	order, err := p.Order()
	if err != nil {
		return levels
	}
	for i := range order.NumRuns() {
		run := order.Run(i)
		from, to := run.Pos()
		number := i > 0 // digits beside letters that run to the left go with them
		for at := from; at <= to && at < len(levels); at++ {
			number = number && !endsNumber(class(runes[at]))
			switch {
			case run.Direction() == bidi.RightToLeft:
				levels[at] = 1
			case base == 1, number:
				levels[at] = 2
			}
		}
	}
	return levels
}

func endsNumber(c bidi.Class) bool {
	switch c {
	case bidi.EN, bidi.AN, bidi.ES, bidi.CS, bidi.ET, bidi.NSM:
		return false
	}
	return true
}

// part is a stretch of one face, script and level.
type part struct {
	in    shaping.Input
	level uint8
}

// cut splits what the segmenter found where the level changes.
func cut(in shaping.Input, levels []uint8) []part {
	var out []part
	for from := in.RunStart; from < in.RunEnd; {
		to := from + 1
		for to < in.RunEnd && levels[to] == levels[from] {
			to++
		}
		p := part{in, levels[from]}
		p.in.RunStart, p.in.RunEnd = from, to
		p.in.Direction = di.DirectionLTR
		if p.level%2 == 1 {
			p.in.Direction = di.DirectionRTL
		}
		out = append(out, p)
		from = to
	}
	return out
}

// visual puts parts from left to right (UAX 9, L2).
func visual(parts []part) []part {
	for level := uint8(2); level >= 1; level-- {
		for from := 0; from < len(parts); from++ {
			to := from
			for to < len(parts) && parts[to].level >= level {
				to++
			}
			slices.Reverse(parts[from:to])
			from = max(from, to-1)
		}
	}
	return parts
}
