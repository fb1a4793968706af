package safekeeping_test

import (
	"encoding/binary"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/safekeeping"
)

func TestCheck(t *testing.T) {
	store, _ := filled(t, 300)
	path := store.Path()
	// While it is open, and after it is closed.
	if r, err := safekeeping.Check(t.Context(), path); err != nil || !r.Sound() || r.Rows["readings"] != 300 {
		t.Errorf("%+v, %v", r, err)
	}
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
	if r, err := safekeeping.Check(t.Context(), path); err != nil || !r.Sound() {
		t.Errorf("%+v, %v", r, err)
	}
	execute(t, path, "UPDATE latest SET reading_id = (SELECT min(id) FROM readings WHERE id <> reading_id)",
		"PRAGMA foreign_keys = OFF", "INSERT INTO latest (system_id, analyte_id, reading_id) VALUES (1, 6, 99999)")
	r, err := safekeeping.Check(t.Context(), path)
	said := strings.Join(r.Faults, "; ")
	if err != nil || r.Sound() || !strings.Contains(said, "refers to no readings") || !strings.Contains(said, "not the newest") {
		t.Errorf("%q, %v", said, err)
	}
	// A page of zeros in the middle.
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	page := int(binary.BigEndian.Uint16(data[16:]))
	for at := len(data) / page / 2; at < len(data)/page/2+3; at++ {
		clear(data[at*page : (at+1)*page])
	}
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
	r, err = safekeeping.Check(t.Context(), path)
	var open *ledgerfile.OpenError
	if err == nil && r.Sound() || err != nil && !errors.As(err, &open) {
		t.Errorf("zeroed pages gave %+v, %v", r, err)
	}
	if after, _ := os.ReadFile(path); !slices.Equal(after, data) {
		t.Error("the check wrote to the damaged file")
	}
	if _, err := safekeeping.Check(t.Context(), filepath.Join(t.TempDir(), "none")); !errors.As(err, &open) {
		t.Errorf("no file gave %v", err)
	}
}
