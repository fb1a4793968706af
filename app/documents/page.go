package documents

import (
	"io"
	"strconv"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"weirkeeper/app/typeset"
	"weirkeeper/assets/words"
)

// Page sizes in mm: A4 upright.
const (
	pageWidth  = 210.0
	pageHeight = 297.0
	margin     = 18.0
	bodyWidth  = pageWidth - 2*margin
	footer     = 14.0
	bodyEnd    = pageHeight - margin
)

// sheet is a document being written, with a place that moves down the page.
type sheet struct {
	pdf   *fpdf.Fpdf
	lang  words.Language
	fonts *typeset.Fonts
	ink   ink
	foot  words.Text
	y     float64
}

// say puts a sentence into the document's language.
func (s *sheet) say(t words.Text) string { return t.In(s.lang) }

// newSheet starts a document whose bytes depend on its content and made only.
func newSheet(title, foot words.Text, made time.Time, lang words.Language, fonts *typeset.Fonts) *sheet {
	pdf := fpdf.New("P", "mm", "A4", "")
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetMargins(margin, margin, margin)
	addFonts(pdf)
	stamp(pdf, made)
	s := &sheet{pdf: pdf, lang: lang, ink: ink{pdf}, fonts: fontsOr(fonts), foot: foot}
	pdf.SetTitle(titleOf(s.say(title)), false)
	return s
}

// feet writes the feet of all pages, once it is known how many there are.
func (s *sheet) feet() {
	const size, room = 8.0, 40.0
	pages := s.pdf.PageCount()
	for n := 1; n <= pages; n++ {
		s.pdf.SetPage(n)
		s.shortAt(margin, pageHeight-footer+4, size, false, s.say(s.foot), bodyWidth-room)
		text := s.say(words.T("Page %d of %s", n, strconv.Itoa(pages)))
		s.textAt(pageWidth-margin-s.width(text, size, false), pageHeight-footer+4, size, false, text)
	}
}

// addPage starts a page.
func (s *sheet) addPage() {
	s.pdf.AddPage()
	s.pdf.SetTextColor(0x1C, 0x25, 0x30)
	s.y = margin
}

// need starts a page unless h mm are left; true: it did.
func (s *sheet) need(h float64) bool {
	if s.y+h <= bodyEnd {
		return false
	}
	s.addPage()
	return true
}

// textAt writes one line with its base line at y.
func (s *sheet) textAt(x, y, size float64, bold bool, text string) {
	s.ink.line(s.fonts.Set(text, bold), x, y, size, bold)
}

// shortAt writes one line, with an ellipsis where it is wider than width mm.
func (s *sheet) shortAt(x, y, size float64, bold bool, text string, width float64) {
	s.ink.line(s.fonts.Shorten(text, bold, width/(size*mmPerPoint)), x, y, size, bold)
}

func (s *sheet) width(text string, size float64, bold bool) float64 {
	return s.fonts.Measure(text, bold) * size * mmPerPoint
}

// paragraph writes wrapped text and moves on.
func (s *sheet) paragraph(text words.Text, size float64) {
	step := size * 0.48
	for _, line := range s.fonts.Wrap(s.say(text), false, bodyWidth/(size*mmPerPoint)) {
		s.need(step)
		s.y += step
		s.textAt(margin, s.y-step*0.25, size, false, line)
	}
	s.y += step * 0.5
}

// heading writes a section's title with a bookmark.
func (s *sheet) heading(title words.Text, level int) {
	text := s.say(title)
	size, space := 14.0, 12.0
	if level > 0 {
		size, space = 11, 9
	}
	s.need(space + 20)
	s.bookmark(text, level)
	s.y += space
	s.textAt(margin, s.y-3, size, true, text)
}

// column of a table: a title and a width in mm; right: numbers.
type column struct {
	title words.Text
	width float64
	right bool
}

const (
	rowHeight = 5.2
	tableSize = 8.0
)

// table writes rows under repeated heads. Texts are shortened to their column.
func (s *sheet) table(columns []column, rows [][]words.Text) {
	s.need(3 * rowHeight)
	s.tableHead(columns)
	for _, row := range rows {
		if s.need(rowHeight) {
			s.tableHead(columns)
		}
		s.tableRow(columns, row, false)
	}
	s.y += 3
}

func (s *sheet) tableHead(columns []column) {
	titles := make([]words.Text, len(columns))
	for i, c := range columns {
		titles[i] = c.title
	}
	s.tableRow(columns, titles, true)
	s.pdf.SetDrawColor(0x84, 0x8F, 0x9B)
	s.pdf.SetLineWidth(0.25)
	s.pdf.Line(margin, s.y, margin+bodyWidth, s.y)
}

func (s *sheet) tableRow(columns []column, cells []words.Text, bold bool) {
	x := margin
	for i, c := range columns {
		const em = tableSize * mmPerPoint
		line := s.fonts.Shorten(s.say(cells[i]), bold, (c.width-1.5)/em)
		at := x
		if c.right {
			at = x + c.width - 1.5 - line.Width*em
		}
		s.ink.line(line, at, s.y+rowHeight-1.5, tableSize, bold)
		x += c.width
	}
	s.y += rowHeight
	s.pdf.SetDrawColor(0xE4, 0xE8, 0xEC)
	s.pdf.SetLineWidth(0.1)
	s.pdf.Line(margin, s.y, margin+bodyWidth, s.y)
}

// write ends the document.
func (s *sheet) write(out io.Writer) error {
	s.feet()
	if err := s.pdf.Output(out); err != nil {
		return words.Errorf("writing the PDF: %w", err)
	}
	return nil
}
