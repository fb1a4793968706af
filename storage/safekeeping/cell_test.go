package safekeeping

import (
	"bytes"
	"encoding/csv"
	"testing"

	"pgregory.net/rapid"

	"weirkeeper/storage/ledgerfile"
)

// Any value comes back from its cell as it was, through the file.
func TestCellLaw(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		nullable := rapid.Bool().Draw(r, "nullable")
		cases := []struct {
			kind  string
			value any
		}{
			{
				"TEXT",
				rapid.OneOf(
					rapid.String(),
					rapid.StringOfN(rapid.SampledFrom([]rune("'=+-@\t\r\n\x00\"json:,;0a")), 0, 12, -1),
				).Draw(
					r,
					"text",
				),
			},
			{"INTEGER", rapid.Int64().Draw(r, "integer")},
			{"REAL", rapid.Float64().Draw(r, "real")},
			{"BLOB", rapid.SliceOfN(rapid.Byte(), 1, 20).Draw(r, "blob")},
		}
		var file bytes.Buffer
		w := csv.NewWriter(&file)
		var line []string
		for _, c := range cases {
			line = append(line, writeCell(ledgerfile.Column{Kind: c.kind, Nullable: nullable}, c.value))
		}
		if err := w.Write(line); err != nil {
			r.Fatal(err)
		}
		w.Flush()
		cells, err := csv.NewReader(&file).Read()
		if err != nil {
			r.Fatal(err)
		}
		for i, c := range cases {
			got, err := readCell(ledgerfile.Column{Kind: c.kind, Nullable: nullable}, cells[i])
			if blob, ok := got.([]byte); ok {
				if want, ok := c.value.([]byte); !ok || !bytes.Equal(blob, want) {
					r.Fatalf("%v came back as %v from %q", c.value, got, cells[i])
				}
				continue
			}
			if err != nil || got != c.value {
				r.Fatalf("%s %#v came back as %#v from %q, %v", c.kind, c.value, got, cells[i], err)
			}
		}
	})
}

// Any text comes back from its cell byte for byte, through the file.
func FuzzCell(f *testing.F) {
	for _, text := range []string{"", "=1", ";=1", "\xbc\r", "json:", "hex:", "'", "\ufeff", "\r\n", "a\x00"} {
		f.Add(text, true)
		f.Add(text, false)
	}
	f.Fuzz(func(t *testing.T, text string, nullable bool) {
		column := ledgerfile.Column{Kind: "TEXT", Nullable: nullable}
		var file bytes.Buffer
		w := csv.NewWriter(&file)
		if err := w.Write([]string{"first", writeCell(column, text)}); err != nil {
			t.Fatal(err)
		}
		w.Flush()
		cells, err := csv.NewReader(&file).Read()
		if err != nil {
			t.Fatal(err)
		}
		if got, err := readCell(column, cells[1]); err != nil || got != text {
			t.Fatalf("%q came back as %q from %q, %v", text, got, cells[1], err)
		}
	})
}
