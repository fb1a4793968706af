package apptest

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// PDFText returns the text of a PDF by poppler's pdftotext, another
// program than the one that wrote it. Without poppler the test is skipped, unless
// make test has promised it.
func PDFText(t testing.TB, data []byte) string {
	t.Helper()
	if _, err := exec.LookPath("pdftotext"); err != nil {
		if os.Getenv("WEIRKEEPER_WINDOW_TEST") == "required" {
			t.Fatal("pdftotext is missing; run .ci/setup test")
		}
		t.Skip("pdftotext is not installed; make test installs it")
	}
	path := filepath.Join(t.TempDir(), "x.pdf")
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
	text, err := exec.Command("pdftotext", "-layout", path, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}
