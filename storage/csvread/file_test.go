package csvread_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"

	"weirkeeper/storage/csvread"
	"weirkeeper/storage/storagetest/faults"
	"weirkeeper/tanks"
)

func utf16(text string) string {
	var b strings.Builder
	b.WriteString("\xff\xfe")
	for _, r := range text {
		b.WriteByte(byte(r))
		b.WriteByte(byte(r >> 8))
	}
	return b.String()
}

func TestWholeFilesAreRefused(t *testing.T) {
	for _, c := range []struct{ name, text, field, problem string }{
		{"empty", "", "file", "empty"},
		{"no header", "2026-03-09 08:30,F1,Ca,420,mg/L\n", "header", "time, system, analyte, value, unit"},
		{"two columns missing", "time,system,value\n", "header", "no column analyte, unit"},
		{"a column twice", "date,taken,system,analyte,value,unit\n", "header", `"date" and "taken" both mean the time`},
		{"a bad byte among letters", head + "2026-03-09 08:30,F1,Ca,420,mg/L,,J\xc3\xa9,\n\n2026-03-09 08:31,F1,Ca,420,mg/L,,\xe9,\n",
			"file",
			"Line 4 has a byte"},
		{"a line without end", head + "2026-03-09 08:30,F1,Ca,420,mg/L,,,\n\"" + strings.Repeat("x\n", 1<<20), "file",
			"Line 3 has more than 1024 KiB"},
		{"a header without end", strings.Repeat("x", 3<<20), "file", "Line 1 has more"},
		{"broken quotation mark", "\"time,system\n", "header", "cannot be read"},
		{"picture", "\x89PNG\r\n\x00\x00", "file", "no text"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := readAll(t, c.text, csvread.ColumnMap{})
			fault, ok := tanks.FaultsOf(err).Field(c.field)
			if !ok || !strings.Contains(fault.Problem.String(), c.problem) || fault.Remedy == "" {
				t.Errorf("got %v", err)
			}
		})
	}
	t.Run("failing reader", func(t *testing.T) {
		_, err := csvread.Open(t.Context(), failing{}, csvread.Options{Now: noon}, room)
		if !errors.Is(err, errBroken) {
			t.Errorf("got %v", err)
		}
	})
}

var errBroken = errors.New("broken")

type failing struct{}

func (failing) Read([]byte) (int, error) { return 0, errBroken }

func (failing) Seek(int64, int) (int64, error) { return 0, nil }

// Letters that a block of the file ends in the middle of are read whole.
func TestLettersAcrossBlocks(t *testing.T) {
	line := "2026-03-09 08:30,F1,temperature,25.%04d,°C,,,ä€🐠\n"
	for _, shift := range []int{0, 1, 2, 3} {
		var b strings.Builder
		b.WriteString(strings.Repeat("\n", shift) + head)
		n := 0
		for ; b.Len() < 3<<16; n++ {
			fmt.Fprintf(&b, line, n)
		}
		r := read(t, b.String())
		if len(r.readings) != n || r.BadLines != 0 || r.readings[7].Note != "ä€🐠" {
			t.Fatalf("shifted by %d: %d of %d, %+v", shift, len(r.readings), n, r.Faults[:min(1, len(r.Faults))])
		}
		// One letter of Latin-1 far behind makes the file Latin-1.
		latin := read(t, head+strings.Repeat("2026-03-09 08:30,F1,pH,8.1,,,,\n", 5000)+"2026-03-09 08:31,F1,temperature,25,\xb0C,,,\n")
		if len(latin.readings) != 5001 {
			t.Errorf("Latin-1: %+v", latin.Faults)
		}
	}
	if _, err := readAll(t, head+"\xb0", csvread.ColumnMap{Encoding: csvread.UTF8}); fault(err) != "file" {
		t.Errorf("said to be UTF-8: %v", err)
	}
	said, err := readAll(t, head+"2026-03-09 08:30,F1,pH,8.1,,,,\xc3\xa4\n", csvread.ColumnMap{Encoding: csvread.Latin1})
	if err != nil || len(said.readings) != 1 || said.readings[0].Note != "Ã¤" {
		t.Errorf("said to be Latin-1: %+v, %v", said.readings, err)
	}
}

func TestHeadOfAFile(t *testing.T) {
	head, err := csvread.ReadHead(t.Context(), strings.NewReader(wide), csvread.ColumnMap{})
	if err != nil || len(head.Header) != 7 || head.Header[4] != "Ca (mg/L)" || len(head.Lines) != 2 || head.Lines[1][3] != "" {
		t.Errorf("%+v, %v", head, err)
	}
	if _, err := csvread.ReadHead(t.Context(), bytes.NewReader(nil), csvread.ColumnMap{}); fault(err) != "file" {
		t.Errorf("of nothing: %v", err)
	}
}

// A long file is not looked through when nobody waits for it any more.
func TestLookingThroughAFileStops(t *testing.T) {
	long := head + strings.Repeat("2026-03-09 08:30,F1,pH,8.1,,,,\n", 20_000)
	for looks := 1; looks < 8; looks++ {
		ctx := faults.Stopping(t.Context(), looks)
		if _, err := csvread.Open(ctx, strings.NewReader(long), csvread.Options{Now: noon}, room); !errors.Is(err, context.Canceled) {
			t.Errorf("opened after %d looks: %v", looks, err)
		}
		if _, err := csvread.ReadHead(faults.Stopping(t.Context(), looks), strings.NewReader(long), csvread.ColumnMap{}); !errors.Is(
			err,
			context.Canceled,
		) {
			t.Errorf("the head after %d looks: %v", looks, err)
		}
	}
}
