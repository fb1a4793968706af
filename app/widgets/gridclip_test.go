package widgets

import (
	"testing"

	"fyne.io/fyne/v2"

	"weirkeeper/app/apptest"
)

// Scrolled sideways, no head of a column stands over the row heads, and each stands
// over its cells.
func TestColumnHeadsStayOffTheRowHeads(t *testing.T) {
	g := NewGrid(newSheet(4, 12))
	w := apptest.Window(t, g, 500, 250)
	for _, offset := range []float32{0, 30, 77, 400} {
		g.view.scroll.ScrollToOffset(fyne.NewPos(offset, 0))
		g.Refresh()
		heads := 0
		for _, s := range apptest.Texts(w) {
			seen := s.At.Within(s.Clip)
			if s.At.Y > g.view.headHeight() || seen.Empty() {
				continue
			}
			heads++
			if seen.X < g.view.headWidth-0.5 {
				t.Errorf("at %v the head %q is seen from %v, over the row heads that end at %v", offset, s.Text, seen.X, g.view.headWidth)
			}
		}
		if heads < 4 {
			t.Errorf("at %v only %d texts of heads are seen", offset, heads)
		}
		title := g.view.headTexts[0][0]
		first := g.view.inSight().col0
		right := g.view.headWidth + g.view.lefts[first+1] - offset - 2*8
		got := fyne.CurrentApp().Driver().AbsolutePositionForObject(title).X + title.Size().Width
		if got < right-10 || got > right+10 {
			t.Errorf("at %v the head ends at %v, its column at %v", offset, got, right)
		}
	}
}
