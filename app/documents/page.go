package documents

import (
	"io"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"weirkeeper/app/chart"
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
	pdf  *fpdf.Fpdf
	lang words.Language
	y    float64
}

// say puts a sentence into the document's language.
func (s *sheet) say(t words.Text) string { return t.In(s.lang) }

// newSheet starts a document whose bytes depend on its content and made only.
func newSheet(title, foot words.Text, made time.Time, lang words.Language) *sheet {
	pdf := fpdf.New("P", "mm", "A4", "")
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetMargins(margin, margin, margin)
	addFonts(pdf)
	stamp(pdf, made)
	pdf.AliasNbPages("{nb}")
	s := &sheet{pdf: pdf, lang: lang}
	pdf.SetTitle(s.say(title), true)
	pdf.SetFooterFunc(func() {
		s.textAt(margin, pageHeight-footer+4, 8, false, shortenTo(s, s.say(foot), 8, bodyWidth-40))
		pdf.SetFont(familyText, "", 8)
		pdf.SetXY(pageWidth-margin-40, pageHeight-footer)
		pdf.CellFormat(40, 6, s.say(words.T("Page %d of %s", pdf.PageNo(), "{nb}")), "", 0, "R", false, 0, "")
	})
	return s
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
	style := ""
	if bold {
		style = "B"
	}
	for _, p := range chart.Pieces(text, bold) {
		family := familyText
		if p.Fallback {
			family = familyFallback
		}
		s.pdf.SetFont(family, style, size)
		s.pdf.Text(x, y, p.Text)
		x += s.pdf.GetStringWidth(p.Text)
	}
}

func (s *sheet) width(text string, size float64, bold bool) float64 {
	style := ""
	if bold {
		style = "B"
	}
	var w float64
	for _, p := range chart.Pieces(text, bold) {
		family := familyText
		if p.Fallback {
			family = familyFallback
		}
		s.pdf.SetFont(family, style, size)
		w += s.pdf.GetStringWidth(p.Text)
	}
	return w
}

// shortenTo cuts text to a width in mm with an ellipsis.
func shortenTo(s *sheet, text string, size, width float64) string {
	if s.width(text, size, false) <= width {
		return text
	}
	runes := []rune(text)
	for len(runes) > 0 {
		runes = runes[:len(runes)-1]
		if cut := string(runes) + "…"; s.width(cut, size, false) <= width {
			return cut
		}
	}
	return ""
}

// wrap splits text into lines of at most width mm, at spaces and line ends.
func (s *sheet) wrap(text string, size, width float64) []string {
	var lines []string
	for _, paragraph := range strings.Split(strings.ReplaceAll(text, "\r\n", "\n"), "\n") {
		line := ""
		for _, word := range strings.Fields(paragraph) {
			longer := strings.TrimSpace(line + " " + word)
			if line != "" && s.width(longer, size, false) > width {
				lines = append(lines, line)
				longer = word
			}
			line = longer
		}
		lines = append(lines, shortenTo(s, line, size, width))
	}
	return lines
}

// paragraph writes wrapped text and moves on.
func (s *sheet) paragraph(text words.Text, size float64) {
	step := size * 0.48
	for _, line := range s.wrap(s.say(text), size, bodyWidth) {
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
	s.pdf.Bookmark(text, level, s.y)
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
		text := shortenTo(s, strings.ReplaceAll(s.say(cells[i]), "\n", " "), tableSize, c.width-1.5)
		at := x
		if c.right {
			at = x + c.width - 1.5 - s.width(text, tableSize, bold)
		}
		s.textAt(at, s.y+rowHeight-1.5, tableSize, bold, text)
		x += c.width
	}
	s.y += rowHeight
	s.pdf.SetDrawColor(0xE4, 0xE8, 0xEC)
	s.pdf.SetLineWidth(0.1)
	s.pdf.Line(margin, s.y, margin+bodyWidth, s.y)
}

// write ends the document.
func (s *sheet) write(out io.Writer) error {
	if err := s.pdf.Output(out); err != nil {
		return words.Errorf("writing the PDF: %w", err)
	}
	return nil
}
