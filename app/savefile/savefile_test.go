package savefile

import (
	"os"
	"path/filepath"
	"testing"
)

func TestWriteWhole(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "trend.svg")
	for _, text := range []string{"first", "second, in its place"} {
		if err := write(path, []byte(text)); err != nil {
			t.Fatal(err)
		}
		if got, err := os.ReadFile(path); err != nil || string(got) != text {
			t.Errorf("%v, holds %q", err, got)
		}
	}
	// What cannot be moved to its place leaves no part behind.
	if err := os.Mkdir(filepath.Join(folder, "taken"), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := write(filepath.Join(folder, "taken"), []byte("x")); err == nil {
		t.Error("a folder was written over")
	}
	if err := write(filepath.Join(folder, "none", "trend.svg"), []byte("x")); err == nil {
		t.Error("a folder that is not there was written to")
	}
	// A link is followed to the file that the person means.
	other := filepath.Join(t.TempDir(), "other.svg")
	if err := os.Symlink(other, path+".link"); err != nil {
		t.Fatal(err)
	}
	if err := write(path+".link", []byte("linked")); err != nil {
		t.Error(err)
	}
	if got, err := os.ReadFile(other); err != nil || string(got) != "linked" {
		t.Errorf("%v, holds %q", err, got)
	}
	if left, err := os.ReadDir(folder); err != nil || len(left) != 3 {
		t.Errorf("%v, left are %v", err, left)
	}
}
