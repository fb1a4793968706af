package durable

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"weirkeeper/storage/storagetest/faults"
)

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func read(t *testing.T, path string) []byte {
	t.Helper()
	data, err := os.ReadFile(path)
	must(t, err)
	return data
}

// A file of several strides is summed and copied whole, and neither goes on when
// its context has ended.
func TestLongFiles(t *testing.T) {
	data := bytes.Repeat([]byte("0123456789abcdef"), (3*stride+1000)/16)
	from := filepath.Join(t.TempDir(), "from")
	must(t, os.WriteFile(from, data, 0o644))
	want := sha256.Sum256(data)
	if sum, size, err := SumOf(t.Context(), from); sum != hex.EncodeToString(want[:]) || size != int64(len(data)) || err != nil {
		t.Errorf("sum %s of %d bytes, %v", sum, size, err)
	}
	to := filepath.Join(t.TempDir(), "to")
	must(t, Copy(t.Context(), to, from, Private))
	if !bytes.Equal(read(t, to), data) {
		t.Error("the copy differs")
	}
	for looks := 1; looks <= 4; looks++ {
		if _, size, err := SumOf(faults.Stopping(t.Context(), looks), from); !errors.Is(err, context.Canceled) ||
			size != int64((looks-1)*stride) {
			t.Errorf("stopped at look %d the sum took %d bytes, %v", looks, size, err)
		}
		if err := Copy(faults.Stopping(t.Context(), looks), to, from, Private); !errors.Is(err, context.Canceled) {
			t.Errorf("stopped at look %d the copy gave %v", looks, err)
		}
	}
	if err := Copy(t.Context(), filepath.Join(to, "x"), from, Private); err == nil {
		t.Error("copied into no folder")
	}
}
