package documents

import (
	"bytes"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"os"

	"weirkeeper/app/apptest"
	"weirkeeper/app/chart"
)

// A figure on paper is one page of its size with its words as text, read back
// by another program's reader.
func TestWriteFigure(t *testing.T) {
	from := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
	f := chart.Figure{Title: "F2", From: from, To: from.AddDate(0, 0, 10), Panels: []chart.Panel{{Name: "Calcium", Unit: "mg/L",
		Band: &chart.Band{Low: 400, Aim: 420, High: 440}, Points: []chart.Point{{At: from, Value: 410},
			{At: from.AddDate(0, 0, 5), Value: 431}}}}}
	var first, second bytes.Buffer
	for _, out := range []*bytes.Buffer{&first, &second} {
		if err := WriteFigure(out, f, from, 600, 300); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(first.Bytes(), second.Bytes()) {
		t.Error("two writings differ")
	}
	text := apptest.PDFText(t, first.Bytes())
	for _, want := range []string{"Calcium", "mg/L", "400 to 440", "431 mg/L"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in the text\n%s", want, text)
		}
	}
	path := filepath.Join(t.TempDir(), "x.pdf")
	if err := os.WriteFile(path, first.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	info, err := exec.Command("pdfinfo", path).Output()
	if err != nil || !strings.Contains(string(info), "600 x 300 pts") || !strings.Contains(string(info), "Pages:           1") {
		t.Errorf("%v\n%s", err, info)
	}
}
