package csvread_test

import (
	"path/filepath"
	"syscall"
	"testing"

	"weirkeeper/storage/csvread"
)

// A pipe that nobody writes to would be waited for without end.
func TestPipesAreRefused(t *testing.T) {
	path := filepath.Join(t.TempDir(), "pipe.csv")
	if err := syscall.Mkfifo(path, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := csvread.OpenFile(path); fault(err) != "file" {
		t.Errorf("%v", err)
	}
}
