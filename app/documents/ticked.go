package documents

import (
	"time"

	"weirkeeper/app/typeset"
	"weirkeeper/assets/words"
)

// Ticked is what the pages have in common that are carried to the work: a box to tick
// beside each line, for black ink.
type Ticked struct {
	Room string
	Demo bool
	Made time.Time
	Zone *time.Location // nil: UTC
	// Language is what the page is written in; nil: English.
	Language words.Language
	// Fonts are what the page is lettered with; nil: those of this machine.
	Fonts *typeset.Fonts
}

func (t Ticked) zone() *time.Location {
	if t.Zone == nil {
		return time.UTC
	}
	return t.Zone
}

// sheet begins pages of a title.
func (t Ticked) sheet(title words.Text) *sheet {
	foot := words.Text(t.Room)
	if t.Demo {
		foot = words.T("%s, invented demonstration data", foot)
	}
	return newSheet(title, foot, t.Made.UTC(), languageOr(t.Language), t.Fonts)
}

// head begins a page with its title and what it is about.
func (s *sheet) head(title, about words.Text) {
	s.addPage()
	s.y += 6
	s.textAt(margin, s.y, 15, true, s.say(title))
	s.y += 6
	s.textAt(margin, s.y, 9, false, s.say(about))
}

// tickBox draws the box to tick of a line that begins at the page's height of now.
func (s *sheet) tickBox() {
	s.pdf.SetDrawColor(0, 0, 0)
	s.pdf.SetLineWidth(0.3)
	s.pdf.Rect(margin+1, s.y+2, 5.5, 5.5, "D")
}
