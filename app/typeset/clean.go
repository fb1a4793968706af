package typeset

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/bidi"
	"golang.org/x/text/unicode/norm"
)

// mostMarks is how many accents in a row are drawn; more would only run over
// the lines above.
const mostMarks = 6

// Clean makes any string fit to be drawn on one line: U+FFFD for what is no
// UTF-8, a blank for line ends and tabs, nothing for other signs that steer
// instead of saying something, accents joined to their letters.
func Clean(text string) string {
	if plain(text) {
		return text
	}
	var b strings.Builder
	marks := 0
	for i, r := range text {
		switch {
		case r == utf8.RuneError:
			if i > 0 && strings.HasSuffix(b.String(), "\ufffd") && text[i] != 0xef {
				continue // a run of bad bytes is one sign
			}
		case r == '\n', r == '\t', r == '\r', r == '\u2028', r == '\u2029', r == 0x85:
			r = ' '
		case steering(r):
			continue
		}
		if unicode.Is(unicode.M, r) {
			if marks++; marks > mostMarks {
				continue
			}
		} else {
			marks = 0
		}
		b.WriteRune(r)
	}
	return norm.NFC.String(b.String())
}

// plain tells of the usual text without accents that stand alone.
func plain(text string) bool {
	for _, r := range text {
		if r < ' ' || r >= 0x7f && r < 0xa0 || r >= 0x300 && r < 0x370 || r >= 0x482 && r < 0x48a || r > 0x52f && r < 0x1e00 ||
			r > 0x2000 && r < 0x2010 || r > 0x2026 {
			return false
		}
	}
	return true
}

// steering tells of signs that say nothing by themselves: controls, signs that
// turn the direction of what follows, noncharacters. Joiners stay, since
// letters join by them.
func steering(r rune) bool {
	switch {
	case r == '\u200c', r == '\u200d', r >= 0xfe00 && r <= 0xfe0f:
		return false
	case r < ' ', r >= 0x7f && r < 0xa0, r == '\u00ad', r == '\u200b', r == '\ufeff', r == '\ufffc':
		return true
	case r >= 0x202a && r <= 0x202e, r >= 0x2060 && r <= 0x206f, r >= 0xfff9 && r <= 0xfffb:
		return true
	case r >= 0xfdd0 && r <= 0xfdef, r&0xfffe == 0xfffe:
		return true
	}
	return r == 0x61c || r == '\u200e' || r == '\u200f'
}

// simple tells of runes that need no shaping: one glyph each, left to right.
func simple(r rune) bool {
	if r < 0x300 {
		return true
	}
	if unicode.Is(unicode.M, r) || unicode.Is(unicode.Cf, r) {
		return false
	}
	if unicode.IsLetter(r) {
		return unicode.In(r, unicode.Latin, unicode.Greek, unicode.Cyrillic)
	}
	switch class(r) {
	case bidi.R, bidi.AL, bidi.AN:
		return false
	}
	return true
}

func class(r rune) bidi.Class {
	p, _ := bidi.LookupRune(r)
	return p.Class()
}
