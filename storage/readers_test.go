package storage_test

import (
	"database/sql"
	"os"
	"testing"

	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
)

// When another file comes to lie at the ledger's path, nothing is read from that one:
// all readers were there before.
func TestReplacedFileIsNotRead(t *testing.T) {
	s, _ := storagetest.Room(t)
	path := s.Path()
	must(t, s.Close())
	s = value[*storage.Store](t)(storage.Open(t.Context(), path, storagetest.Clock))
	defer s.Close()
	must(t, os.WriteFile(path+".new", []byte("another's"), 0o600))
	must(t, os.Rename(path+".new", path))
	var open []*sql.Tx
	for n := range 3 { // as many as read at once
		tx, err := s.Snapshot(t.Context())
		if err != nil {
			t.Fatalf("reader %d: %v", n, err)
		}
		open = append(open, tx)
		var systems int
		if err := tx.QueryRow("SELECT count(*) FROM systems").Scan(&systems); err != nil || systems != 2 {
			t.Errorf("reader %d finds %d systems, %v", n, systems, err)
		}
	}
	for _, tx := range open {
		must(t, tx.Rollback())
	}
}
