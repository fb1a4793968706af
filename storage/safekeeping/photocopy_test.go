package safekeeping

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
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

// A picture that is not what its name says takes no good one's place; a good one takes
// that of a spoilt one, of the same size too, when all are to be proved.
func TestSpoiltPictures(t *testing.T) {
	good, spoilt := []byte("GIF89a whole"), []byte("GIF89a wrong")
	sum := sha256.Sum256(good)
	name := "20260310-" + hex.EncodeToString(sum[:])[:namedSum] + ".gif"
	for what, c := range map[string]struct {
		from, there, want []byte
	}{
		"a spoilt one over a good one": {spoilt, good, good},
		"a good one over a spoilt one": {good, spoilt, good},
		"a good one that is missing":   {good, nil, good},
		"a spoilt one alone":           {spoilt, nil, spoilt},
	} {
		from, to := t.TempDir(), t.TempDir()
		if err := os.WriteFile(filepath.Join(from, name), c.from, 0o600); err != nil {
			t.Fatal(err)
		}
		if c.there != nil {
			if err := os.WriteFile(filepath.Join(to, name), c.there, 0o600); err != nil {
				t.Fatal(err)
			}
		}
		if err := copyPhotos(t.Context(), from, to, 0o600, true); err != nil {
			t.Errorf("%s: %v", what, err)
		}
		if got, err := os.ReadFile(filepath.Join(to, name)); err != nil || !bytes.Equal(got, c.want) {
			t.Errorf("%s: there is %q, %v, not %q", what, got, err, c.want)
		}
	}
}
