package widgets

import (
	"testing"

	"fyne.io/fyne/v2"

	"weirkeeper/app/apptest"
)

// longHeads is a sheet whose columns have a long subtitle.
type longHeads struct{ *sheet }

func (longHeads) ColumnHead(int) (title, subtitle string) {
	return "Alkalinity", "Alkalinity titration, dKH"
}

// Where columns would have to scroll for the length of their subtitles alone, these
// stand in two lines; with more room in one.
func TestLongSubtitlesBreak(t *testing.T) {
	g := NewGrid(longHeads{newSheet(3, 6)})
	w := apptest.Window(t, g, 1400, 250)
	heads := func() (all []string) {
		for _, s := range apptest.Texts(w) {
			if s.At.Y < g.view.headHeight() && !s.At.Within(s.Clip).Empty() {
				all = append(all, s.Text)
			}
		}
		return all
	}
	one := g.view.headHeight()
	if got := heads(); len(got) != 12 || got[1] != "Alkalinity titration, dKH" || g.view.broken {
		t.Fatalf("with room there stand %q", got)
	}
	wide := g.view.lefts[6]
	w.Resize(fyne.NewSize(850, 250))
	got := heads()
	if len(got) != 18 || got[0] != "Alkalinity" || got[1] != "Alkalinity" || got[2] != "titration, dKH" {
		t.Errorf("with little room there stand %q", got)
	}
	if g.view.lefts[6] > g.view.scroll.Size().Width || g.view.headHeight() <= one {
		t.Errorf("the columns are %v wide and were %v, of %v; the heads are %v high", g.view.lefts[6], wide, g.view.scroll.Size().Width,
			g.view.headHeight())
	}
	if row, col, ok := g.view.at(fyne.NewPos(g.view.headWidth+2, g.view.headHeight()+2)); row != 0 || col != 0 || !ok {
		t.Errorf("below the heads is cell %d, %d, %v", row, col, ok)
	}
	w.Resize(fyne.NewSize(1400, 250))
	if got := heads(); len(got) != 12 || g.view.headHeight() != one {
		t.Errorf("with room again there stand %q", got)
	}
}

// shortHeads are long ones, but for the first column.
type shortHeads struct{ longHeads }

func (s shortHeads) ColumnHead(c int) (title, subtitle string) {
	if c == 0 {
		return "Safe change", "a day"
	}
	return s.longHeads.ColumnHead(c)
}

// What makes its column no wider stays in one line beside those that break.
func TestShortSubtitlesStay(t *testing.T) {
	g := NewGrid(shortHeads{longHeads{newSheet(3, 6)}})
	apptest.Window(t, g, 850, 250)
	if got := g.view.headLines(0); got != [3]string{"Safe change", "a day"} {
		t.Errorf("over the first column stands %q", got)
	}
	if got := g.view.headLines(1); got[2] != "titration, dKH" {
		t.Errorf("over the second stands %q", got)
	}
}

func TestTwoLines(t *testing.T) {
	for text, want := range map[string][2]string{
		"Alkalinity titration, dKH": {"Alkalinity", "titration, dKH"}, "pH meter, pH": {"pH meter,", "pH"}, "days": {"days", ""}, "": {},
	} {
		if first, rest := twoLines(text); first != want[0] || rest != want[1] {
			t.Errorf("%q breaks into %q and %q", text, first, rest)
		}
	}
}
