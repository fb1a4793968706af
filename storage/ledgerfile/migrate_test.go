package ledgerfile

import (
	"context"
	"database/sql"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
	"weirkeeper/storage/durable"

	"weirkeeper/storage/storagetest/faults"
)

var upgradeTime = time.Date(2026, 3, 10, 8, 2, 0, 0, time.UTC)

// olderLedger opens a copy of the kept ledger of a version.
func olderLedger(t *testing.T, name string) *File {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "room.ledger")
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
	f, err := Open(t.Context(), path, upgradeTime, nothing)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	t.Cleanup(func() { f.Close() })
	return f
}

// nothing is done to an upgraded ledger.
func nothing(context.Context, *sql.Tx, int) error { return nil }

// holdsKeptRoom tells that a file holds what the kept ledgers hold.
func holdsKeptRoom(t *testing.T, path string) {
	t.Helper()
	var name string
	var readings int
	err := faults.Plain(t, path).QueryRow("SELECT (SELECT name FROM room), (SELECT count(*) FROM readings)").Scan(&name, &readings)
	if err != nil || name != "Kept room" || readings == 0 {
		t.Errorf("the copy %s holds %q and %d readings, %v", path, name, readings, err)
	}
}

func kept(t *testing.T, f *File) []string {
	t.Helper()
	all, err := filepath.Glob(f.path + "-before-version-*")
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// A change of the schema is made on a ledger of which a copy is kept; one that
// fails leaves the ledger as it was.
func TestUpgradeKeepsACopy(t *testing.T) {
	f := olderLedger(t, "version-1.sqlite")
	steps, err := migrations()
	if err != nil {
		t.Fatal(err)
	}
	for _, copied := range kept(t, f) { // of the upgrade from version 1
		holdsKeptRoom(t, copied)
		if err := os.Remove(copied); err != nil {
			t.Fatal(err)
		}
	}
	if err := f.upgrade(t.Context(), len(steps), steps, upgradeTime, nil); err != nil || len(kept(t, f)) != 0 {
		t.Errorf("with nothing to do: %v, %v", err, kept(t, f))
	}
	failing := append(steps, "ALTER TABLE systems ADD COLUMN extra TEXT; ALTER TABLE no_table ADD COLUMN x TEXT;")
	if err := f.upgrade(t.Context(), len(steps), failing, upgradeTime, nil); err == nil ||
		!strings.Contains(err.Error(), "bringing the ledger to version") {
		t.Errorf("a failing step gave %v", err)
	}
	if version, err := Version(t.Context(), f.Writer()); version != len(steps) || err != nil {
		t.Errorf("after it the version is %d, %v", version, err)
	}
	copies := kept(t, f)
	if len(copies) != 1 {
		t.Fatalf("kept are %v", copies)
	}
	holdsKeptRoom(t, copies[0])
	if err := os.Remove(copies[0]); err != nil {
		t.Fatal(err)
	}
	// What must be done to an upgraded ledger is done once, by the last step, or the
	// step is undone.
	good := append(steps, "ALTER TABLE systems ADD COLUMN extra TEXT;")
	wrong := errors.New("wrong")
	if err := f.upgrade(t.Context(), len(steps), good, upgradeTime, func(context.Context, *sql.Tx, int) error { return wrong }); !errors.Is(
		err,
		wrong,
	) {
		t.Errorf("an upgrade that could not be finished: %v", err)
	}
	if err := os.Remove(kept(t, f)[0]); err != nil {
		t.Fatal(err)
	}
	var done []int
	finish := func(_ context.Context, tx *sql.Tx, version int) error {
		done = append(done, version)
		_, err := tx.Exec("UPDATE systems SET extra = 'finished'")
		return err
	}
	if err := f.upgrade(t.Context(), len(steps), good, upgradeTime, finish); err != nil || !slices.Equal(done, []int{len(good)}) {
		t.Errorf("finished at %v, %v", done, err)
	}
	if version, err := Version(t.Context(), f.Writer()); version != len(good) || err != nil || len(kept(t, f)) != 1 {
		t.Errorf("after a good step the version is %d, %v, kept %v", version, err, kept(t, f))
	}
	if err := os.WriteFile(f.path+"-before-version-99-"+upgradeTime.Format(Stamp), []byte("in the way"), 0o644); err != nil {
		t.Fatal(err)
	}
	blocked := append(good, make([]string, 99-len(good))...)
	if err := f.upgrade(t.Context(), len(good), blocked, upgradeTime, nil); err == nil ||
		!strings.Contains(err.Error(), "nothing was changed") {
		t.Errorf("without a copy: %v", err)
	}
}

// A ledger whose copy cannot be proved is not changed.
func TestNoUpgradeWithoutAGoodCopy(t *testing.T) {
	path := filepath.Join(t.TempDir(), "room.ledger")
	must(t, durable.Copy(t.Context(), path, filepath.Join("..", "testdata", "version-1.sqlite"), 0o644))
	faults.Execute(t, path, "PRAGMA foreign_keys = OFF", "INSERT INTO tanks (system_id, length, width, height) VALUES (99, 1, 1, 1)")
	if _, err := Open(t.Context(), path, upgradeTime, nothing); err == nil || !strings.Contains(err.Error(), "nothing was changed") ||
		!strings.Contains(err.Error(), "refers to no systems") {
		t.Errorf("opening gave %v", err)
	}
	if version, err := Version(t.Context(), faults.Plain(t, path)); version != 1 || err != nil {
		t.Errorf("the version is %d, %v", version, err)
	}
}

// TestMigrationThatBreaksReferencesIsUndone gives a step that leaves rows
// pointing nowhere.
func TestMigrationThatBreaksReferencesIsUndone(t *testing.T) {
	f := newLedger(t)
	steps, err := migrations()
	if err != nil {
		t.Fatal(err)
	}
	newest := len(steps)
	for name, c := range map[string]struct{ script, want string }{
		"rows that point nowhere": {"INSERT INTO tanks (system_id, length, width, height) VALUES (99, 1, 1, 1)",
			"1 row would point nowhere"},
		"wrong SQL": {"CREATE TABLE extra (id INTEGER); SELECT nonsense", "no such column"},
	} {
		t.Run(name, func(t *testing.T) {
			if err := f.step(t.Context(), newest+1, c.script, nil); err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v", err)
			}
			var left int
			err := f.Reader().QueryRow(
				"SELECT (SELECT count(*) FROM tanks) + (SELECT count(*) FROM sqlite_schema WHERE name = 'extra')",
			).Scan(
				&left,
			)
			if v, verr := Version(t.Context(), f.Writer()); left != 0 || v != newest || err != nil || verr != nil {
				t.Errorf("%d left, version %d, %v, %v", left, v, err, verr)
			}
			if err := f.assertSafe(t.Context()); err != nil {
				t.Error(err)
			}
		})
	}
	if err := f.step(t.Context(), 1, "nonsense", nil); err != nil {
		t.Errorf("a step that is done already: %v", err)
	}
}
