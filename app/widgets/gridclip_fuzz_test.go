package widgets

import (
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"
)

// Whatever is on the clipboard, each of its values comes into a cell of the grid
// or is counted as outside, as text that a cell can hold.
func FuzzPaste(f *testing.F) {
	for _, text := range []string{"1\t2\n3\t4\n", "1\r2", "\"a\"\"b\"\t", "\xff\t\x00\n", "\t\t\t", "\n\n", "<0.02\t8,3\r\n",
		"\U0001F420"} {
		f.Add(text, uint8(1), uint8(2))
	}
	f.Fuzz(func(t *testing.T, text string, row, column uint8) {
		const rows, columns = 7, 5
		top, left := int(row)%rows, int(column)%columns
		block := parseBlock(text)
		values, empty := 0, 0
		for _, line := range block {
			for _, v := range line {
				values++
				if v == "" {
					empty++
				}
				if !utf8.ValidString(v) || strings.ContainsFunc(v, unicode.IsControl) {
					t.Fatalf("%q is no text of a cell", v)
				}
			}
		}
		edits, outside := place(block, top, left, rows, columns)
		if n := len(edits) + outside; n > values || n < values-empty {
			t.Fatalf("%d edits and %d outside of %d values, %d of them empty", len(edits), outside, values, empty)
		}
		for _, e := range edits {
			if e.Row < top || e.Row >= rows || e.Col < left || e.Col >= columns || e.Text != block[e.Row-top][e.Col-left] {
				t.Fatalf("edit %+v", e)
			}
		}
	})
}
