package csvread_test

import (
	"bytes"
	"encoding/csv"
	"testing"
	"unicode/utf8"

	"weirkeeper/storage/csvread"
)

func TestGuard(t *testing.T) {
	for text, want := range map[string]string{
		"":               "",
		"plain":          "plain",
		"a=b":            "a=b",
		"420":            "420",
		"=1+1":           "'=1+1",
		"+1":             "'+1",
		"-2 °C":          "'-2 °C",
		"@sum":           "'@sum",
		";=1":            "';=1",
		" =1":            "' =1",
		"\n=1":           "'\n=1",
		"\u200b=1":       "'\u200b=1",
		"\ufeff@x":       "'\ufeff@x",
		"\u00a0\u200d+1": "'\u00a0\u200d+1",
		"\u0301=1":       "'\u0301=1",
		"\uff1d1":        "'\uff1d1",
		"\xbc=1":         "'\xbc=1",
		"\tx":            "'\tx",
		"'":              "''",
		"'=1":            "''=1",
		"  two words":    "  two words",
	} {
		got := csvread.Guard(text)
		if got != want {
			t.Errorf("%q becomes %q, want %q", text, got, want)
		}
		if back := csvread.Unguard(got); back != text {
			t.Errorf("%q comes back as %q", text, back)
		}
	}
}

// Any text comes back from its guarded cell.
func FuzzGuard(f *testing.F) {
	for _, text := range []string{"=1", ";=1", "'", "''", "\xbc\r", "\u200b-1"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		cell := csvread.Guard(text)
		if back := csvread.Unguard(cell); back != text {
			t.Fatalf("%q comes back as %q", text, back)
		}
		if !utf8.ValidString(text) || bytes.ContainsRune([]byte(text), '\r') {
			return
		}
		var file bytes.Buffer
		w := csv.NewWriter(&file)
		if err := w.Write([]string{"a", cell}); err != nil {
			t.Fatal(err)
		}
		w.Flush()
		cells, err := csv.NewReader(&file).Read()
		if err != nil || csvread.Unguard(cells[1]) != text {
			t.Fatalf("%q comes back as %q, %v", text, cells, err)
		}
	})
}
