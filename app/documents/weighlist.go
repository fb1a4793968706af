package documents

import (
	"io"

	"weirkeeper/assets/words"
)

// WeighList is the page that is carried to the vat where new water is made.
type WeighList struct {
	Ticked
	// Water says what is made: "180.0 L, 2 batches of 90.0 L", For which system or recipe.
	Water, For words.Text
	// Holds says what the water is to hold in the end, a line for each thing.
	Holds []words.Text
	Steps []WeighStep
}

// WeighStep is one thing to do: its amount with the unit, and what to heed.
type WeighStep struct {
	Title, Amount words.Text
	Notes         []words.Text
}

// weighRow is the height of a step without its notes in mm, weighRoom what a step
// needs to begin on a page.
const (
	weighRow  = 10
	weighRoom = 34
	titleRoom = 96
)

// WriteWeighList writes the list as a PDF for black ink: a box to tick, the amount
// large, and room to write what was really weighed.
func WriteWeighList(out io.Writer, l WeighList) error {
	title := words.T("New water of %s", l.Made.In(l.zone()))
	s := l.sheet(title)
	s.weighHead(title, l)
	for i, step := range l.Steps {
		if s.y+weighRoom > bodyEnd {
			s.weighHead(title, l)
		}
		s.weighStep(i+1, step)
	}
	for i, line := range l.Holds {
		if i == 0 {
			s.paragraph("What it then holds:", 10)
		}
		s.paragraph(line, 10)
	}
	s.paragraph("Follow the label of each product. What is put in is decided by whoever puts it in.", 9)
	return s.write(out)
}

func (s *sheet) weighHead(title words.Text, l WeighList) {
	s.head(title, words.T("%s, %s. In this order. Tick, and write what was really put in.", l.Room, l.Water))
	if l.For != "" {
		s.y += 5
		s.shortAt(margin, s.y, 9, true, s.say(l.For), bodyWidth)
	}
	s.y += 5
	s.textAt(margin+146, s.y, 8, false, s.say("put in"))
	s.y += 1
}

func (s *sheet) weighStep(n int, step WeighStep) {
	s.tickBox()
	size := 11.0
	if s.width(s.say(step.Title), size, true) > titleRoom-10 {
		size = 8.5
	}
	s.shortAt(margin+10, s.y+6.6, size, true, s.say(words.T("%d  %s", n, step.Title)), titleRoom)
	s.textAt(margin+142-s.width(s.say(step.Amount), 13, true), s.y+7, 13, true, s.say(step.Amount))
	s.pdf.SetLineWidth(0.2)
	s.pdf.Line(margin+146, s.y+8, margin+174, s.y+8)
	s.y += weighRow
	for _, note := range step.Notes {
		s.paragraph(note, 9)
	}
	s.y += 2
}
