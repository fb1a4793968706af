package widgets

import (
	"fmt"
	"reflect"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"

	"weirkeeper/app/apptest"
)

// gridInWindow shows a grid between two buttons, with the keyboard on it.
func gridInWindow(t testing.TB, s *sheet) (g *Grid, before, after *Button, w fyne.Window, shift *bool) {
	g = NewGrid(s)
	g.OnEdit = s.set
	before, after = NewSecondary("Before", nil), NewSecondary("After", nil)
	w = apptest.Window(t, container.NewVBox(before, container.NewGridWrap(fyne.NewSize(690, 230), g), after), 700, 300)
	shift = new(bool)
	g.Modifiers = func() fyne.KeyModifier {
		if *shift {
			return fyne.KeyModifierShift
		}
		return 0
	}
	w.Canvas().Focus(g)
	return g, before, after, w, shift
}

var keyNames = map[string]fyne.KeyName{
	"Enter": fyne.KeyReturn, "Tab": fyne.KeyTab, "Esc": fyne.KeyEscape, "F2": fyne.KeyF2, "F3": fyne.KeyF3, "Del": fyne.KeyDelete, "Back": fyne.KeyBackspace,
	"Up": fyne.KeyUp, "Down": fyne.KeyDown, "Left": fyne.KeyLeft, "Right": fyne.KeyRight, "Home": fyne.KeyHome, "End": fyne.KeyEnd,
	"PgUp": fyne.KeyPageUp, "PgDn": fyne.KeyPageDown,
}

// press plays a sequence: names of keys, S+name with Shift held, C+Home and
// C+End, and anything else as typed text.
func press(t testing.TB, c fyne.Canvas, shift *bool, sequence string) {
	t.Helper()
	for _, word := range strings.Fields(sequence) {
		name, shifted := strings.CutPrefix(word, "S+")
		ctrl := strings.HasPrefix(name, "C+")
		name = strings.TrimPrefix(name, "C+")
		key, isKey := keyNames[name]
		switch {
		case ctrl:
			apptest.Shortcut(t, c, &desktop.CustomShortcut{KeyName: key, Modifier: fyne.KeyModifierShortcutDefault})
		case isKey:
			*shift = shifted
			apptest.Key(t, c, key)
			*shift = false
		default:
			apptest.Type(t, c, word)
		}
	}
}

func TestGridKeys(t *testing.T) {
	cases := []struct {
		name, keys string
		want       string // cells that hold text, "row,col=text"
		row, col   int
	}{
		{"typing goes in, Enter moves down", "8.3 Enter 7.9 Enter", "0,0=8.3 1,0=7.9", 2, 0},
		{"Tab moves right and on to the next row", "1 Tab 2 Tab 3 Tab 4 Tab", "0,0=1 0,1=2 0,2=3 1,0=4", 1, 1},
		{"Shift+Tab moves left and back to the row before", "Down S+Tab 5 S+Tab", "0,2=5", 0, 1},
		{"typing replaces", "1 Enter Up 22 Enter", "0,0=22", 1, 0},
		{"F2 changes", "12 Enter Up F2 3 Enter", "0,0=123", 1, 0},
		{"F2 then Left stays in the cell", "12 Enter Up F2 Left 3 Enter", "0,0=132", 1, 0},
		{"typing then Left moves on", "12 Right Left", "0,0=12", 0, 0},
		{"typing then Right keeps and moves", "12 Right 3 Down", "0,0=12 0,1=3", 1, 1},
		{"F2 while typing makes Left stay", "12 F2 Left 3 Enter", "0,0=132", 1, 0},
		{"Esc drops what is typed", "1 Enter Up 99 Esc Enter", "0,0=1", 1, 0},
		{"Esc drops a change", "1 Enter Up F2 99 Esc", "0,0=1", 0, 0},
		{"Delete clears", "1 Enter Up Del", "", 0, 0},
		{"Backspace clears", "1 Enter Up Back", "", 0, 0},
		{"Enter at the foot goes to the top of the next column", "Down Down Down 9 Enter 4 Enter", "0,1=4 3,0=9", 1, 1},
		{"Shift+Enter moves up", "Down Down 7 S+Enter", "2,0=7", 1, 0},
		{"arrows stop at the edges", "Up Left Up", "", 0, 0},
		{"End and Home move along the row", "End 3 Home", "0,2=3", 0, 0},
		{"End, Enter, Home", "End 3 Enter Home", "0,2=3", 1, 0},
		{"Page Down and Page Up", "PgDn PgDn", "", 3, 0},
		{"Page Up from the foot", "Down Down Down PgUp PgUp", "", 0, 0},
		{"Ctrl+End and Ctrl+Home", "C+End 6 Enter C+Home 1 Enter", "0,0=1 3,2=6", 1, 0},
		{"decimal comma and sign go in as typed", "8,3 Enter <0.02 Enter -1 Enter", "0,0=8,3 1,0=<0.02 2,0=-1", 3, 0},
		{"Shift selects and Delete clears the block", "1 Tab 2 Enter Up Left S+Right Del", "", 0, 1},
		{"Enter at the very last cell stays", "C+End 6 Enter", "3,2=6", 3, 2},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			s := newSheet(4, 3)
			g, _, _, w, shift := gridInWindow(t, s)
			press(t, w.Canvas(), shift, c.keys)
			if got := s.filled(); got != c.want {
				t.Errorf("cells %q, want %q", got, c.want)
			}
			if row, col := g.Cursor(); row != c.row || col != c.col {
				t.Errorf("cursor at %d,%d, want %d,%d", row, col, c.row, c.col)
			}
		})
	}
}

// filled lists the cells with text.
func (s *sheet) filled() string {
	var parts []string
	for r := range s.Rows() {
		for c := range s.Columns() {
			if text := s.Cell(r, c).Text; text != "" {
				parts = append(parts, fmt.Sprintf("%d,%d=%s", r, c, text))
			}
		}
	}
	return strings.Join(parts, " ")
}

func TestTabLeavesTheGrid(t *testing.T) {
	cases := []struct {
		name, keys string
		rows       int
		after      bool
	}{
		{"Tab at the last cell", "C+End Tab", 2, true},
		{"Tab after typing in the last cell", "C+End 5 Tab", 2, true},
		{"Shift+Tab at the first cell", "S+Tab", 2, false},
		{"Tab in an empty grid", "Tab", 0, true},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			s := newSheet(c.rows, 2)
			_, before, after, w, shift := gridInWindow(t, s)
			press(t, w.Canvas(), shift, c.keys)
			want := fyne.Focusable(before)
			if c.after {
				want = after
			}
			if w.Canvas().Focused() != want {
				t.Errorf("the keyboard is on %T", w.Canvas().Focused())
			}
			if strings.Contains(c.keys, "5") && s.filled() != "1,1=5" {
				t.Errorf("cells %q", s.filled())
			}
		})
	}
}

func TestCommit(t *testing.T) {
	s := newSheet(3, 2)
	g, _, after, w, shift := gridInWindow(t, s)
	press(t, w.Canvas(), shift, "8.1")
	if !g.Editing() || s.filled() != "" {
		t.Fatalf("editing %v, cells %q before the commit", g.Editing(), s.filled())
	}
	g.Commit()
	if g.Editing() || s.filled() != "0,0=8.1" {
		t.Errorf("editing %v, cells %q after the commit", g.Editing(), s.filled())
	}
	if w.Canvas().Focused() != fyne.Focusable(g) {
		t.Errorf("the keyboard is on %T, want the grid", w.Canvas().Focused())
	}
	g.Commit()
	press(t, w.Canvas(), shift, "Down 9")
	test.Tap(after)
	if s.filled() != "0,0=8.1 1,0=9" {
		t.Errorf("cells %q after a click elsewhere", s.filled())
	}
	if len(s.edits) != 2 {
		t.Errorf("edits %v, want each once", s.edits)
	}
}

func TestUnchangedEditIsNoEdit(t *testing.T) {
	s := newSheet(2, 2)
	_, _, _, w, shift := gridInWindow(t, s)
	press(t, w.Canvas(), shift, "8 Enter Up F2 Enter")
	if want := []Edit{{0, 0, "8"}}; !reflect.DeepEqual(s.edits, want) {
		t.Errorf("edits %v, want %v", s.edits, want)
	}
}

// A click on the grid while a cell is edited keeps the edit and moves there.
func TestTapMovesTheCursor(t *testing.T) {
	s := newSheet(4, 3)
	g, _, _, w, shift := gridInWindow(t, s)
	press(t, w.Canvas(), shift, "5")
	at := func(row, col int) fyne.Position {
		return fyne.NewPos(g.view.headWidth+g.view.lefts[col]+10, g.view.headHeight()+float32(row)*gridRowHeight()+10)
	}
	test.TapAt(g, at(2, 1))
	row, col := g.Cursor()
	if row != 2 || col != 1 || s.filled() != "0,0=5" || w.Canvas().Focused() != fyne.Focusable(g) {
		t.Errorf("cursor %d,%d, cells %q, keyboard on %T", row, col, s.filled(), w.Canvas().Focused())
	}
	test.TapAt(g, at(2, 1))
	if !g.Editing() {
		t.Error("a second tap does not edit the cell")
	}
	test.TapAt(g, fyne.NewPos(5, g.view.headHeight()+5))
	if row, col := g.Cursor(); row != 2 || col != 1 || g.Editing() {
		t.Errorf("a tap on a row head moved the cursor to %d,%d or left the edit open", row, col)
	}
}

func TestPaste(t *testing.T) {
	cases := []struct {
		name, at, text, want string
		outside              int
	}{
		{"a block", "", "1\t2\n3\t4\n", "0,0=1 0,1=2 1,0=3 1,1=4", 0},
		{"a block with CRLF", "", "1\t2\r\n3\t4\r\n", "0,0=1 0,1=2 1,0=3 1,1=4", 0},
		{"a block with old line ends", "", "1\r2", "0,0=1 1,0=2", 0},
		{"from the cursor on", "Down Right", "8,3\n<0.02", "1,1=8,3 2,1=<0.02", 0},
		{"beyond the edge", "C+End", "1\t2\n3\t4", "3,2=1", 3},
		{"an empty value clears", "9 Enter Up", "\t5", "0,1=5", 0},
		{"quoted values", "", "\"1\"\t\"say \"\"8\"\"\"", `0,0=1 0,1=say "8"`, 0},
		{"one value fills the selection", "S+Down S+Right", "7", "0,0=7 0,1=7 1,0=7 1,1=7", 0},
		{"spaces around values", "", " 1 \t 2 ", "0,0=1 0,1=2", 0},
		{"nothing", "", "", "", 0},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			s := newSheet(4, 3)
			g, _, _, w, shift := gridInWindow(t, s)
			outside := 0
			g.OnPaste = func(edits []Edit, beyond int) {
				outside = beyond
				for _, e := range edits {
					s.set(e.Row, e.Col, e.Text)
				}
			}
			press(t, w.Canvas(), shift, c.at)
			apptest.Paste(t, w.Canvas(), c.text)
			if got := s.filled(); got != c.want || outside != c.outside {
				t.Errorf("cells %q, %d outside; want %q, %d", got, outside, c.want, c.outside)
			}
		})
	}
}

// While a cell is edited a block goes into the grid, a value into the cell.
func TestPasteWhileEditing(t *testing.T) {
	s := newSheet(3, 2)
	_, _, _, w, shift := gridInWindow(t, s)
	press(t, w.Canvas(), shift, "9")
	apptest.Paste(t, w.Canvas(), ".5")
	press(t, w.Canvas(), shift, "Enter 4")
	apptest.Paste(t, w.Canvas(), "1\t2\n")
	if got := s.filled(); got != "0,0=9.5 1,0=1 1,1=2" {
		t.Errorf("cells %q", got)
	}
}

// Only what a block changes is an edit.
func TestPasteOfTheSame(t *testing.T) {
	s := newSheet(3, 2)
	_, _, _, w, shift := gridInWindow(t, s)
	press(t, w.Canvas(), shift, "1 Enter C+Home")
	apptest.Paste(t, w.Canvas(), "1\t\n\t4")
	if want := []Edit{{0, 0, "1"}, {1, 1, "4"}}; !reflect.DeepEqual(s.edits, want) {
		t.Errorf("edits %v, want %v", s.edits, want)
	}
}

func TestCopyAndCut(t *testing.T) {
	s := newSheet(3, 2)
	_, _, _, w, shift := gridInWindow(t, s)
	press(t, w.Canvas(), shift, "1 Tab 2 Tab 3 C+Home S+Right S+Down")
	board := &apptest.Clipboard{}
	apptest.Shortcut(t, w.Canvas(), &fyne.ShortcutCopy{Clipboard: board})
	if board.Text != "1\t2\n3\t" {
		t.Errorf("copied %q", board.Text)
	}
	apptest.Shortcut(t, w.Canvas(), &fyne.ShortcutCut{Clipboard: board})
	if board.Text != "1\t2\n3\t" || s.filled() != "" {
		t.Errorf("cut %q, left %q", board.Text, s.filled())
	}
}

func TestGridScrollsWithTheCursor(t *testing.T) {
	s := newSheet(500, 40)
	g, _, _, w, shift := gridInWindow(t, s)
	press(t, w.Canvas(), shift, "C+End")
	v := g.inView()
	if v.row1 != 500 || v.col1 != 40 {
		t.Errorf("in sight %+v, want the last cell in it", v)
	}
	press(t, w.Canvas(), shift, "C+Home")
	if v = g.inView(); v.row0 != 0 || v.col0 != 0 {
		t.Errorf("in sight %+v, want the first cell in it", v)
	}
	if len(g.view.cells) > 100 {
		t.Errorf("%d cells have objects: they are not lent on", len(g.view.cells))
	}
}

func (g *Grid) inView() span { return g.view.inSight() }

// An edit whose cell has gone with a reload lands nowhere.
func TestReloadDropsAnEditOfALostCell(t *testing.T) {
	s := newSheet(3, 2)
	g, _, _, w, shift := gridInWindow(t, s)
	press(t, w.Canvas(), shift, "C+End 5")
	s.names = s.names[:1]
	g.Reload()
	if g.Editing() || s.filled() != "" {
		t.Errorf("editing %v, cells %q", g.Editing(), s.filled())
	}
	if row, col := g.Cursor(); row != 0 || col != 1 {
		t.Errorf("cursor %d,%d, want 0,1", row, col)
	}
}

func TestGridSaysWhatIsWrong(t *testing.T) {
	s := newSheet(3, 2)
	g, _, _, w, shift := gridInWindow(t, s)
	press(t, w.Canvas(), shift, "8x Enter")
	if g.view.message.Text != "" {
		t.Errorf("message %q while the cursor is elsewhere", g.view.message.Text)
	}
	press(t, w.Canvas(), shift, "Up")
	if !strings.HasPrefix(g.view.message.Text, "This is no number") {
		t.Errorf("message %q", g.view.message.Text)
	}
	if s.filled() != "0,0=8x" {
		t.Errorf("what was typed is gone: %q", s.filled())
	}
}

// A round of 12 systems by 6 analytes needs one key a value beside its digits.
func TestKeysForARound(t *testing.T) {
	s := newSheet(12, 6)
	_, _, _, w, shift := gridInWindow(t, s)
	pressed := 0
	for range 12 * 6 {
		press(t, w.Canvas(), shift, "8.3 Enter")
		pressed++
	}
	if got := strings.Count(s.filled(), "=8.3"); got != 72 {
		t.Errorf("%d of 72 values went in", got)
	}
	if beyond := float64(pressed) / 72; beyond > 1.15 {
		t.Errorf("%.2f presses beyond the digits a value", beyond)
	}
}

func BenchmarkGrid(b *testing.B) {
	s := newSheet(500, 40)
	g, _, _, w, shift := gridInWindow(b, s)
	w.SetContent(g)
	w.Resize(fyne.NewSize(1280, 800))
	w.Canvas().Focus(g)
	b.Run("move, type and scroll", func(b *testing.B) {
		for b.Loop() {
			press(b, w.Canvas(), shift, "Down 8 Tab")
			if row, _ := g.Cursor(); row > 480 {
				g.MoveTo(0, 0)
			}
		}
	})
	b.Run("page", func(b *testing.B) {
		for b.Loop() {
			press(b, w.Canvas(), shift, "PgDn")
			if row, _ := g.Cursor(); row > 480 {
				g.MoveTo(0, 0)
			}
		}
	})
	b.Run("with the software driver", func(b *testing.B) {
		for b.Loop() {
			press(b, w.Canvas(), shift, "Down 8 Tab")
			w.Canvas().Capture()
			if row, _ := g.Cursor(); row > 480 {
				g.MoveTo(0, 0)
			}
		}
	})
}
