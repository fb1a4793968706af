package durable

import (
	"path/filepath"
	"syscall"
	"testing"
)

// A pipe, which may never end, is no file to be read or copied.
func TestPipesAreNotRead(t *testing.T) {
	folder := t.TempDir()
	pipe := filepath.Join(folder, "pipe")
	must(t, syscall.Mkfifo(pipe, 0o600))
	if _, _, err := SumOf(t.Context(), pipe); err == nil {
		t.Error("it has a sum")
	}
	if err := Copy(t.Context(), filepath.Join(folder, "copy"), pipe, Private); err == nil {
		t.Error("it is copied")
	}
	if _, err := Read(pipe, 10); err == nil {
		t.Error("it is read")
	}
}
