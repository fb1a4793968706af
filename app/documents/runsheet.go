package documents

import (
	"io"
	"time"

	"weirkeeper/assets/words"
)

// RunSheet is the page that is carried round the room.
type RunSheet struct {
	Ticked
	Items []RunLine // in walking order
	// Cautions are printed at the end, each once.
	Cautions []words.Text
}

// RunLine is one dose.
type RunLine struct {
	System  string // code and name
	Product string
	Amount  words.Text // with its unit
	Due     time.Time
	Purpose words.Text // "Calcium"
}

// runRow is the height of a dose in mm, runRows how many of one system go on a page.
const (
	runRow  = 9.5
	runRows = 24
)

// WriteRunSheet writes the run sheet as a PDF for black ink: a box to tick,
// the amount large, and room to write what was given, when and by whom.
func WriteRunSheet(out io.Writer, r RunSheet) error {
	title := words.T("Run sheet of %s", r.Made.In(r.zone()))
	s := r.sheet(title)
	s.runHead(title, r)
	for start := 0; start < len(r.Items); {
		end := start
		for end < len(r.Items) && end-start < runRows && r.Items[end].System == r.Items[start].System {
			end++
		}
		if s.y+float64(end-start)*runRow+8 > bodyEnd {
			s.runHead(title, r)
		}
		s.runSystem(r.Items[start:end], r.zone())
		start = end
	}
	if len(r.Items) == 0 {
		s.paragraph("Nothing is to be given.", 11)
	}
	for _, c := range r.Cautions {
		s.paragraph(words.T("Caution. %s", c), 9)
	}
	s.paragraph("Follow the label of each product. What is given is decided by whoever gives it.", 9)
	return s.write(out)
}

func (s *sheet) runHead(title words.Text, r RunSheet) {
	s.head(title, words.T("%s, %s. Tick, and write what was really given.", r.Room, words.N(len(r.Items), "%d dose", "%d doses")))
	s.y += 5
	s.textAt(margin+118, s.y, 8, false, s.say("given"))
	s.textAt(margin+140, s.y, 8, false, s.say("time"))
	s.textAt(margin+158, s.y, 8, false, s.say("by"))
	s.y += 1
}

// runSystem writes one system's doses; they stay on one page.
func (s *sheet) runSystem(items []RunLine, zone *time.Location) {
	s.pdf.SetDrawColor(0, 0, 0)
	s.pdf.SetLineWidth(0.6)
	s.pdf.Line(margin, s.y, margin+bodyWidth, s.y)
	s.y += 5.5
	s.shortAt(margin, s.y, 11, true, items[0].System, bodyWidth)
	s.y += 1.5
	for _, item := range items {
		s.tickBox()
		s.shortAt(margin+10, s.y+6.6, 10, false, item.Product, 48)
		s.shortAt(margin+60, s.y+6.6, 8, false, s.say(words.T("%s, %s", item.Purpose, words.Moment(item.Due.In(zone)))), 30)
		s.textAt(margin+115-s.width(s.say(item.Amount), 13, true), s.y+7, 13, true, s.say(item.Amount))
		s.pdf.SetLineWidth(0.2)
		for _, x := range [][2]float64{{118, 136}, {140, 154}, {158, 174}} {
			s.pdf.Line(margin+x[0], s.y+8, margin+x[1], s.y+8)
		}
		s.y += runRow
	}
	s.y += 2
}
