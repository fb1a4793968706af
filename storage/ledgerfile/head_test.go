package ledgerfile

import (
	"path/filepath"
	"testing"

	"weirkeeper/storage/storagetest/faults"
)

// The origin of a ledger is its first action, as far as that tells it from others.
func TestOriginOf(t *testing.T) {
	const insert = "INSERT INTO actions (id, done_at, doing, baseline, hash) VALUES "
	for name, c := range map[string]struct {
		do   []string
		want Origin
	}{
		"no account": {[]string{"CREATE TABLE x (y)"}, Origin{}},
		"one that is not proved": {[]string{"CREATE TABLE actions (id, done_at, doing)",
			"INSERT INTO actions VALUES (1, 70, 'x'), (2, 80, 'y')"}, Origin{At: 70}},
		"nothing in it":             {[]string{table}, Origin{}},
		"one that is proved":        {[]string{table, insert + "(1, 70, 'x', 0, 5), (2, 80, 'y', 0, 6)"}, Origin{70, 5}},
		"proved from later on":      {[]string{table, insert + "(1, 70, 'x', 0, NULL), (2, 80, 'y', 1, 6)"}, Origin{At: 70}},
		"what an upgrade has found": {[]string{table, insert + "(1, 70, 'x', 1, 5), (2, 80, 'y', 0, 6)"}, Origin{}},
	} {
		path := filepath.Join(t.TempDir(), "db")
		faults.Execute(t, path, c.do...)
		db, err := OpenToRead(path, Alone)
		must(t, err)
		if got, err := OriginOf(t.Context(), db); err != nil || got != c.want {
			t.Errorf("%s: %+v, %v, want %+v", name, got, err, c.want)
		}
		must(t, db.Close())
	}
}

const table = "CREATE TABLE actions (id, done_at, doing, baseline, hash)"

// Two ledgers are of two origins only when both are known and differ in what both say.
func TestOtherOrigin(t *testing.T) {
	known := Origin{70, 5}
	for than, want := range map[Origin]bool{{}: false, known: false, {At: 70}: false, {At: 71}: true, {71, 5}: true, {70, 6}: true} {
		if known.Other(than) != want || than.Other(known) != want {
			t.Errorf("%+v is another than %+v: %v", known, than, !want)
		}
	}
}
