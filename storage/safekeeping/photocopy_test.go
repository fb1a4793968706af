package safekeeping

import (
	"os"
	"path/filepath"
	"testing"
)

// A copy that differs from its photo, in whatever, is found.
func TestSameFile(t *testing.T) {
	folder := t.TempDir()
	one, other := filepath.Join(folder, "one"), filepath.Join(folder, "other")
	for text, same := range map[string]bool{"picture": true, "pictura": false, "pict": false, "": false} {
		for path, data := range map[string]string{one: "picture", other: text} {
			if err := os.WriteFile(path, []byte(data), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		if err := sameFile(t.Context(), one, other); (err == nil) != same {
			t.Errorf("%q: %v", text, err)
		}
	}
	if sameFile(t.Context(), one, filepath.Join(folder, "none")) == nil {
		t.Error("a copy that is not there is taken")
	}
}
