package widgets

import (
	"slices"
	"testing"
)

// Each key that changes what stands in a cell is told at once, also the first one of
// a text that begins like the one typed before.
func TestEachKeyIsTold(t *testing.T) {
	s := newSheet(6, 2)
	g, _, _, w, shift := gridInWindow(t, s)
	var told []string
	g.OnTyping = func() {
		if e, ok := g.Typing(); ok {
			told = append(told, e.Text)
		}
	}
	for i, c := range []struct{ keys, want string }{{"8", "8"}, {"Enter 8", "8"}, {"Enter 8", "8"}, {"5", "85"}, {"Esc 8", "8"}} {
		told = nil
		press(t, w.Canvas(), shift, c.keys)
		if !slices.Contains(told, c.want) {
			t.Errorf("%d: of %q it tells %q", i, c.want, told)
		}
	}
}
