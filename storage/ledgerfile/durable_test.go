package ledgerfile

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
	must(t, CopyFile(t.Context(), to, from))
	if !bytes.Equal(read(t, to), data) {
		t.Error("the copy differs")
	}
	for looks := 1; looks <= 4; looks++ {
		if _, size, err := SumOf(faults.Stopping(t.Context(), looks), from); !errors.Is(err, context.Canceled) ||
			size != int64((looks-1)*stride) {
			t.Errorf("stopped at look %d the sum took %d bytes, %v", looks, size, err)
		}
		if err := CopyFile(faults.Stopping(t.Context(), looks), to, from); !errors.Is(err, context.Canceled) {
			t.Errorf("stopped at look %d the copy gave %v", looks, err)
		}
	}
	if err := CopyFile(t.Context(), filepath.Join(to, "x"), from); err == nil {
		t.Error("copied into no folder")
	}
}
