package widgets

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2/container"

	"weirkeeper/app/apptest"
)

// A short text takes what it needs, a long one no more than its share; both leave the
// rest of the height to what is under them.
func TestAbove(t *testing.T) {
	text := container.NewVBox(NewWrapped("short"))
	table := NewTable([]Column{{Title: "A"}})
	above := NewAbove(text, table, 0.4)
	apptest.Window(t, above, 400, 500)
	if got := table.Position().Y; got < 10 || got > 60 || table.Size().Height != 500-got {
		t.Errorf("under a short text the table is at %v with %v", table.Position(), table.Size())
	}
	text.Add(NewWrapped(strings.Repeat("a long sentence ", 100)))
	above.Refresh()
	if got := table.Position().Y; got != 200 || table.Size().Height != 300 {
		t.Errorf("under a long text the table is at %v with %v", table.Position(), table.Size())
	}
}
