package dossier

import (
	"fmt"
	"io"
	"time"
)

// RunSheet is the page that is carried round the room.
type RunSheet struct {
	Room  string
	Demo  bool
	Made  time.Time
	Zone  *time.Location // nil: UTC
	Items []RunLine      // in walking order
	// Cautions are printed at the end, each once.
	Cautions []string
}

// RunLine is one dose.
type RunLine struct {
	System  string // code and name
	Product string
	Amount  string // with its unit
	Due     time.Time
	Purpose string // "Calcium"
}

const runRow = 9.5

// WriteRunSheet writes the run sheet as a PDF for black ink: a box to tick,
// the amount large, and room to write what was given, when and by whom.
func WriteRunSheet(out io.Writer, r RunSheet) error {
	zone := r.Zone
	if zone == nil {
		zone = time.UTC
	}
	title := "Run sheet of " + r.Made.In(zone).Format("Monday 2 January 2006")
	foot := r.Room
	if r.Demo {
		foot += ", invented demonstration data"
	}
	s := newSheet(title, foot, r.Made.UTC())
	s.runHead(title, r)
	for start := 0; start < len(r.Items); {
		end := start
		for end < len(r.Items) && r.Items[end].System == r.Items[start].System {
			end++
		}
		if s.y+float64(end-start)*runRow+8 > bodyEnd {
			s.runHead(title, r)
		}
		s.runSystem(r.Items[start:end], zone)
		start = end
	}
	if len(r.Items) == 0 {
		s.paragraph("Nothing is to be given.", 11)
	}
	for _, c := range r.Cautions {
		s.paragraph("Caution. "+c, 9)
	}
	s.paragraph("Follow the label of each product. What is given is decided by whoever gives it.", 9)
	return s.write(out)
}

func (s *sheet) runHead(title string, r RunSheet) {
	s.addPage()
	s.y += 6
	s.textAt(margin, s.y, 15, true, title)
	s.y += 6
	s.textAt(margin, s.y, 9, false, fmt.Sprintf("%s, %d doses. Tick, and write what was really given.", r.Room, len(r.Items)))
	s.y += 5
	s.textAt(margin+118, s.y, 8, false, "given")
	s.textAt(margin+140, s.y, 8, false, "time")
	s.textAt(margin+158, s.y, 8, false, "by")
	s.y += 1
}

// runSystem writes one system's doses; they stay on one page.
func (s *sheet) runSystem(items []RunLine, zone *time.Location) {
	s.pdf.SetDrawColor(0, 0, 0)
	s.pdf.SetLineWidth(0.6)
	s.pdf.Line(margin, s.y, margin+bodyWidth, s.y)
	s.y += 5.5
	s.textAt(margin, s.y, 11, true, shortenTo(s, items[0].System, 10, bodyWidth))
	s.y += 1.5
	for _, item := range items {
		s.pdf.SetDrawColor(0, 0, 0)
		s.pdf.SetLineWidth(0.3)
		s.pdf.Rect(margin+1, s.y+2, 5.5, 5.5, "D")
		s.textAt(margin+10, s.y+6.6, 10, false, shortenTo(s, item.Product, 10, 48))
		s.textAt(margin+60, s.y+6.6, 8, false, shortenTo(s, item.Purpose+", "+item.Due.In(zone).Format("Mon 15:04"), 8, 28))
		s.textAt(margin+115-s.width(item.Amount, 13, true), s.y+7, 13, true, item.Amount)
		s.pdf.SetLineWidth(0.2)
		for _, x := range [][2]float64{{118, 136}, {140, 154}, {158, 174}} {
			s.pdf.Line(margin+x[0], s.y+8, margin+x[1], s.y+8)
		}
		s.y += runRow
	}
	s.y += 2
}
