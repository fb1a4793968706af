package documents

import (
	"strconv"
	"unicode/utf16"

	"codeberg.org/go-pdf/fpdf"

	"weirkeeper/app/typeset"
)

// ink writes lines of text onto the open page of a document.
type ink struct{ pdf *fpdf.Fpdf }

// line writes a line with its base line beginning at x, y (mm); size in points.
func (k ink) line(l typeset.Line, x, y, size float64, bold bool) {
	style := ""
	if bold {
		style = "B"
	}
	for _, r := range l.Runs {
		switch r.Face {
		case typeset.FaceText:
			k.pdf.SetFont(familyText, style, size)
			k.pdf.Text(x, y, r.Text)
		case typeset.FaceSecond:
			k.pdf.SetFont(familyFallback, style, size)
			k.pdf.Text(x, y, r.Text)
		default:
			k.outline(r, x, y, size)
		}
		x += r.Width * size * mmPerPoint
	}
}

// outline fills a run's shape, and puts what it says there unseen, so that a
// reader of the document finds it. Coordinates are relative to the run: the same
// name is the same bytes wherever it stands, which packs well.
func (k ink) outline(r typeset.Run, x, y, size float64) {
	_, height := k.pdf.GetPageSize()
	red, green, blue := k.pdf.GetTextColor()
	b := []byte("q ")
	for _, c := range [3]int{red, green, blue} {
		b = number3(b, float64(c)/255)
	}
	b = append(b, "rg "...)
	scale := size / outlineUnit
	for _, v := range [6]float64{scale, 0, 0, scale, x / mmPerPoint, (height - y) / mmPerPoint} {
		b = number3(b, v)
	}
	b = append(b, "cm\n"...)
	b = outlineBytes(b, r.Outline)
	k.pdf.RawWriteStr(string(append(b, "f Q"...)))
	k.unseen(r.Text, x, y, size)
}

// outlineUnit is how many units of an outline's coordinates, which are whole
// numbers, an em has.
const outlineUnit = 1000

func outlineBytes(b []byte, segments []typeset.Segment) []byte {
	point := func(p [2]float64) {
		for _, v := range p {
			b = append(strconv.AppendInt(b, int64(v*outlineUnit+1e6+0.5)-1e6, 10), ' ')
		}
	}
	var at [2]float64
	for _, s := range segments {
		p := s.Points
		switch s.Op {
		case typeset.MoveTo:
			point(p[0])
			b = append(b, "m\n"...)
			at = p[0]
		case typeset.LineTo:
			point(p[0])
			b = append(b, "l\n"...)
			at = p[0]
		case typeset.QuadTo: // a quadratic curve as the cubic one that it is
			point(between(at, p[0]))
			point(between(p[1], p[0]))
			point(p[1])
			b = append(b, "c\n"...)
			at = p[1]
		case typeset.CubicTo:
			point(p[0])
			point(p[1])
			point(p[2])
			b = append(b, "c\n"...)
			at = p[2]
		}
	}
	return b
}

// between is two thirds of the way.
func between(from, to [2]float64) [2]float64 {
	return [2]float64{from[0] + (to[0]-from[0])*2/3, from[1] + (to[1]-from[1])*2/3}
}

func number3(b []byte, v float64) []byte { return append(strconv.AppendFloat(b, v, 'f', 3, 64), ' ') }

// unseen puts text there that is only found, not seen.
func (k ink) unseen(text string, x, y, size float64) {
	const invisible, filled = 3, 0
	k.pdf.SetFont(familyText, "", size)
	k.pdf.SetTextRenderingMode(invisible)
	k.pdf.Text(x, y, pdfText(text))
	k.pdf.SetTextRenderingMode(filled)
}

// pdfText makes text fit for the PDF library, which turns UTF-8 into UTF-16 by
// bytes and knows no rune above U+FFFF: such a rune is given as its two halves.
func pdfText(text string) string {
	var b []byte
	for _, r := range typeset.Clean(text) {
		if r <= 0xffff {
			b = append(b, string(r)...)
			continue
		}
		high, low := utf16.EncodeRune(r)
		for _, half := range [2]rune{high, low} {
			b = append(b, 0xe0|byte(half>>12), 0x80|byte(half>>6)&0x3f, 0x80|byte(half)&0x3f)
		}
	}
	return string(b)
}

// titleOf is a text as a document's title is kept: UTF-16 with a byte order
// mark.
func titleOf(text string) string {
	b := []byte{0xfe, 0xff}
	for _, unit := range utf16.Encode([]rune(typeset.Clean(text))) {
		b = append(b, byte(unit>>8), byte(unit))
	}
	return string(b)
}

// bookmark names a place of the document in its list of contents. The library
// takes the title as Unicode only while one of our fonts is set.
func (s *sheet) bookmark(title string, level int) {
	s.pdf.SetFont(familyText, "", tableSize)
	s.pdf.Bookmark(pdfText(title), level, s.y)
}
