package safekeeping_test

import (
	"bytes"
	"context"
	"encoding/binary"
	"os"
	"path/filepath"
	"testing"

	"weirkeeper/storage/safekeeping"
	"weirkeeper/storage/storagetest"
)

// mutated changes a file as a fuzzer says: four bytes for each change, three of the
// offset and one of the bits; an odd first byte cuts the file too.
func mutated(data, how []byte) []byte {
	data = bytes.Clone(data)
	if len(how) > 4 && how[0]%2 == 1 {
		data = data[:1+int(binary.BigEndian.Uint32(how[1:]))%(len(data)-1)]
	}
	for ; len(how) >= 4 && len(data) > 0; how = how[4:] {
		data[(int(how[0])<<16|int(how[1])<<8|int(how[2]))%len(data)] ^= how[3]
	}
	return data
}

// small is a closed ledger of some readings.
func small(f *testing.F) []byte {
	f.Helper()
	s, fixture := storagetest.Room(f)
	add(f, s, fixture, 40)
	must(f, s.Close())
	data, err := os.ReadFile(s.Path())
	must(f, err)
	f.Add([]byte{})
	f.Add([]byte{1, 0, 1, 200, 0})
	f.Add([]byte{0, 0, 100, 8, 0, 16, 0, 1, 0, 96, 7, 255})
	return data
}

// FuzzCheck checks a ledger of which any bytes are changed: it says something, and
// writes nothing.
func FuzzCheck(f *testing.F) {
	good := small(f)
	path := filepath.Join(f.TempDir(), "ledger")
	f.Fuzz(func(t *testing.T, how []byte) {
		data := mutated(good, how)
		must(t, os.WriteFile(path, data, 0o644))
		r, err := safekeeping.Check(context.Background(), path)
		if err == nil && r.Sound() && len(data) != len(good) {
			t.Error("a cut ledger is called sound")
		}
		if after, err := os.ReadFile(path); err != nil || !bytes.Equal(after, data) {
			t.Error("the check wrote")
		}
	})
}

// FuzzSalvage salvages such a ledger: what comes of it is sound.
func FuzzSalvage(f *testing.F) {
	good := small(f)
	folder := f.TempDir()
	path, to := filepath.Join(folder, "ledger"), filepath.Join(folder, "salvaged")
	f.Fuzz(func(t *testing.T, how []byte) {
		data := mutated(good, how)
		must(t, os.WriteFile(path, data, 0o644))
		os.Remove(to)
		if _, err := safekeeping.Salvage(context.Background(), path, to, storagetest.Now, nil); err == nil {
			if r, err := safekeeping.Check(context.Background(), to); err != nil || !r.Sound() {
				t.Errorf("what is salvaged is not sound: %v, %q", err, r.Faults)
			}
		}
		if after, err := os.ReadFile(path); err != nil || !bytes.Equal(after, data) {
			t.Error("the salvage wrote to the damaged ledger")
		}
	})
}
