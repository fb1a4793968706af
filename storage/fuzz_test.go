package storage_test

import (
	"encoding/binary"
	"os"
	"path/filepath"
	"testing"

	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
)

// damaged returns a file with changes, each of four bytes: where, and what is
// written there instead.
func damaged(whole, changes []byte) []byte {
	out := append([]byte{}, whole...)
	for ; len(changes) >= 4; changes = changes[4:] {
		out[int(binary.BigEndian.Uint32(changes)>>8)%len(out)] = changes[3]
	}
	return out
}

// FuzzOpen opens ledgers in which any bytes were changed: they open or say why not,
// and what opens can be read to its end.
func FuzzOpen(f *testing.F) {
	s, _ := storagetest.Room(f)
	must(f, s.Close())
	whole, err := os.ReadFile(s.Path())
	must(f, err)
	path := filepath.Join(f.TempDir(), "room.ledger")
	for _, changes := range []string{"", "\x00\x00\x12\xff", "\x00\x00\x00X", "\x00\x00\x3c\x09", "\x00\x10\x03\xff\x00\x20\x00\x0d"} {
		f.Add([]byte(changes))
	}
	f.Fuzz(func(t *testing.T, changes []byte) {
		for _, end := range []string{"-wal", "-shm", "-journal"} {
			os.Remove(path + end)
		}
		must(t, os.WriteFile(path, damaged(whole, changes), 0o600))
		s, err := storage.Open(t.Context(), path, storagetest.Clock)
		if err != nil {
			if s != nil || err.Error() == "" {
				t.Fatalf("it opened as %v with %q", s, err)
			}
			return
		}
		defer s.Close()
		// What is damaged may be refused, and must not panic.
		systems, _ := s.Systems(t.Context())
		for _, system := range systems {
			for _, r := range first(s.ReadingsOf(t.Context(), system.ID, storagetest.Now.AddDate(-1, 0, 0), storagetest.Now)) {
				if r.System != system.ID {
					t.Errorf("a reading of %d was given for %d", r.System, system.ID)
				}
			}
		}
		for _, a := range first(s.Actions(t.Context(), 10)) {
			_ = a.Doing.String()
		}
	})
}

func first[T any](v T, _ error) T { return v }
