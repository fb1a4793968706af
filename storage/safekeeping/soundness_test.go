package safekeeping_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"image"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/safekeeping"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// noted is a closed ledger of ten readings.
func noted(t *testing.T) string {
	t.Helper()
	s, _ := filled(t, 10)
	must(t, s.Close())
	return s.Path()
}

// marked is a closed ledger with a reading of 402.125 and a note, of a person at a
// workstation, and with a photo, whose sum is returned.
func marked(t *testing.T) (path string, photo []byte) {
	t.Helper()
	s, f := filled(t, 10)
	one := s.As(storage.Author{Person: "AB", Workstation: "workstation-7"})
	r := tanks.Reading{System: f.Systems[0].ID, Analyte: chem.Calcium, At: f.Now, Value: 402.125, Note: "a note that stands once"}
	value[[]tanks.ReadingID](t)(one.SaveReadings(t.Context(), []tanks.Reading{r}))
	must(t, s.SaveDraft(t.Context(), "sheet", []byte("typed but not saved")))
	var picture bytes.Buffer
	must(t, png.Encode(&picture, image.NewGray(image.Rect(0, 0, 5, 1))))
	must(t, s.AddPhoto(t.Context(), &tanks.Photo{System: f.Systems[0].ID, At: f.Now}, &picture))
	must(t, s.Close())
	must(t, plain(t, s.Path()).QueryRow("SELECT sha256 FROM photos").Scan(&photo))
	return s.Path(), photo
}

// What a fault of a disk, or another program, does to a ledger is found and named,
// whether the file may be written or not, while it is open elsewhere and after.
func TestCheckNamesWhatIsWrong(t *testing.T) {
	const unchecked = "PRAGMA ignore_check_constraints = 1"
	for name, c := range map[string]struct {
		want string
		do   []string
	}{
		"an infinite value": {"readings row 3 holds what cannot be, it must be: abs(value) < 1e300",
			[]string{unchecked, "UPDATE readings SET value = 9e999 WHERE id = 3"}},
		"a status that is none": {"readings row 3 holds what cannot be, it must be: status IN (0, 1)",
			[]string{unchecked, "UPDATE readings SET status = 2 WHERE id = 3"}},
		"a rule of several columns": {"tanks row 1 holds what cannot be",
			[]string{unchecked, "UPDATE tanks SET displaced = 9000 WHERE id = 1"}},
		"a name of blanks": {"people row 1 holds what cannot be, it must be: trim(initials) <> ''",
			[]string{unchecked, "INSERT INTO people (initials) VALUES (' ')"}},
		"a table is gone":  {"the table water_changes is gone", []string{"PRAGMA foreign_keys = OFF", "DROP TABLE water_changes"}},
		"an index is gone": {"the index readings_plot is gone", []string{"DROP INDEX readings_plot"}},
		"an index is another": {"the index readings_plot is not declared as it was",
			[]string{"DROP INDEX readings_plot", "CREATE INDEX readings_plot ON readings(system_id, analyte_id, taken_at)"}},
		"a column more": {"the table people is not declared as it was", []string{"ALTER TABLE people ADD COLUMN x TEXT"}},
		"a trigger": {"the trigger doubling is none of a ledger's",
			[]string{"CREATE TRIGGER doubling AFTER INSERT ON readings BEGIN UPDATE readings SET value = 2 * value; END"}},
		"a table more":     {"the table mine is none of a ledger's", []string{"CREATE TABLE mine (x)"}},
		"a view":           {"the view mine is none of a ledger's", []string{"CREATE VIEW mine AS SELECT 1"}},
		"a newest reading": {"the kept newest reading of F1, calcium is not the newest", []string{"UPDATE latest SET reading_id = 3"}},
		"a row is gone": {"readings row 3 (2026-03-10 08:02 UTC: saving the readings) is gone",
			[]string{"DELETE FROM readings WHERE id = 3"}},
		"an analyte's key": {"analytes row 5 has changed", []string{"UPDATE analytes SET key = 'x' WHERE id = 5"}},
		"a number too high": {"the highest number ever given in actions",
			[]string{"UPDATE sqlite_sequence SET seq = 2 WHERE name = 'actions'"}},
		"actions cut off": {"the highest number ever given in actions was 99",
			[]string{"UPDATE sqlite_sequence SET seq = 99 WHERE name = 'actions'"}},
		"a version that is 2": {"is none of a ledger's", []string{"PRAGMA user_version = 2"}},
	} {
		t.Run(name, func(t *testing.T) {
			path := noted(t)
			execute(t, path, c.do...)
			finds := func(how string) {
				t.Helper()
				r, err := safekeeping.Check(t.Context(), path)
				if err != nil || !slices.ContainsFunc(r.Faults,
					func(f string) bool { return strings.HasPrefix(f, c.want) || strings.HasSuffix(f, c.want) }) {
					t.Errorf("%s: found %q, %v", how, r.Faults, err)
				}
			}
			finds("closed")
			must(t, os.Chmod(path, 0o444))
			finds("that may not be written")
			must(t, os.Chmod(path, 0o644))
			defer plain(t, path).Close()
			finds("open elsewhere")
		})
	}
}

// Values that no statement can bring into a ledger: bytes that a disk changed.
func TestCheckFindsWhatNoStatementWrites(t *testing.T) {
	nan := binary.BigEndian.AppendUint64(nil, math.Float64bits(math.NaN()))
	value := binary.BigEndian.AppendUint64(nil, math.Float64bits(402.125))
	path, photo := marked(t)
	data := read(t, path)
	for name, c := range map[string]struct{ from, to []byte }{
		"no number":     {value, nan},
		"the last bit":  {value, append(slices.Clone(value[:7]), value[7]^1)},
		"infinite":      {value, binary.BigEndian.AppendUint64(nil, math.Float64bits(math.Inf(1)))},
		"a letter":      {[]byte("a note that stands once"), []byte("a note that stands 0nce")},
		"no text":       {[]byte("a note that stands once"), []byte("a note that stands \xffnce")},
		"a draft":       {[]byte("typed but not saved"), []byte("typed but not Saved")},
		"who did it":    {[]byte("workstation-7"), []byte("workstation-6")},
		"a photo's sum": {photo, append(slices.Clone(photo[:63]), photo[63]^1)},
	} {
		t.Run(name, func(t *testing.T) {
			if !bytes.Contains(data, c.from) {
				t.Fatal("the ledger does not hold it")
			}
			must(t, os.WriteFile(path, bytes.ReplaceAll(data, c.from, c.to), 0o644))
			r, err := safekeeping.Check(t.Context(), path)
			r.Faults = slices.DeleteFunc(r.Faults, func(f string) bool { return strings.HasPrefix(f, "the photo") })
			if err == nil && r.Sound() {
				t.Error("it is called sound")
			}
		})
	}
}

// A ledger that ends before its newest backup does was cut off, and is told from one
// that was restored from an older backup.
func TestCheckAgainstBackups(t *testing.T) {
	s, f := filled(t, 10)
	folder := t.TempDir()
	older := value[safekeeping.Backup](t)(safekeeping.TakeBackup(t.Context(), s, folder, storagetest.Now, nil))
	add(t, s, f, 3)
	newer := value[safekeeping.Backup](t)(safekeeping.TakeBackup(t.Context(), s, folder, storagetest.Now.Add(time.Hour), nil))
	if older.Head == newer.Head || newer.Head.Action != older.Head.Action+1 {
		t.Errorf("heads are %+v and %+v", older.Head, newer.Head)
	}
	all := value[[]safekeeping.Backup](t)(safekeeping.Backups(folder, s.Path()))
	same(t, all[0].Head, newer.Head)
	faults := func(backups ...safekeeping.Backup) []string {
		t.Helper()
		return value[ledgerfile.Report](t)(safekeeping.Check(t.Context(), s.Path(), backups...)).Faults
	}
	same(t, len(faults(all...)), 0)
	add(t, s, f, 1)
	same(t, len(faults(all...)), 0)
	must(t, s.Close())
	value[string](t)(safekeeping.Restore(t.Context(), older, s.Path(), storagetest.Now))
	same(t, len(faults(all...)), 0)
	cut := []string{"the newest 1 actions of the backup of 2026-03-10 09:02 UTC are not in the ledger: they were cut off"}
	same(t, faults(newer), cut)
	checked, err := safekeeping.Reverify(t.Context(), folder, s.Path(), storagetest.Now.Add(90*day), day)
	if err != nil || checked.Head != older.Head {
		t.Errorf("%+v, %v", checked, err)
	}
	again := value[*storage.Store](t)(storage.Open(t.Context(), s.Path(), storagetest.Clock))
	add(t, again, f, 2)
	must(t, again.Close())
	same(t, len(faults(all...)), 0)

	// A backup whose head is not that which stands beside it is no proof.
	other := newer
	other.Head.Hash++
	if other.Verify(t.Context()) == nil {
		t.Error("a backup of another history is taken for this one")
	}
	older.Remove()
	value[string](t)(safekeeping.Restore(t.Context(), newer, s.Path(), storagetest.Now.Add(time.Hour)))
	execute(t, s.Path(), "DELETE FROM versions WHERE action_id = (SELECT max(id) FROM actions)",
		"DELETE FROM actions WHERE id = (SELECT max(id) FROM actions)")
	if _, err := safekeeping.Reverify(t.Context(), folder, s.Path(), storagetest.Now.Add(90*day), day); err == nil ||
		err.Error() != cut[0] {
		t.Errorf("the renewed proof of a backup says %v", err)
	}
}

// A ledger that was cut off between two backups is told by the newer one, although it
// has all of the older.
func TestCheckAgainstTheNewestBackup(t *testing.T) {
	s, f := filled(t, 10)
	folder := t.TempDir()
	value[safekeeping.Backup](t)(safekeeping.TakeBackup(t.Context(), s, folder, storagetest.Now, nil))
	add(t, s, f, 3)
	add(t, s, f, 3)
	value[safekeeping.Backup](t)(safekeeping.TakeBackup(t.Context(), s, folder, storagetest.Now, nil))
	must(t, s.Close())
	execute(t, s.Path(), "DELETE FROM versions WHERE action_id = (SELECT max(id) FROM actions)",
		"DELETE FROM actions WHERE id = (SELECT max(id) FROM actions)")
	all := value[[]safekeeping.Backup](t)(safekeeping.Backups(folder, s.Path()))
	r := value[ledgerfile.Report](t)(safekeeping.Check(t.Context(), s.Path(), all...))
	if said := strings.Join(r.Faults, "; "); !strings.Contains(said,
		"the newest 1 actions of the backup of 2026-03-10 08:02 UTC are not in the ledger") {
		t.Errorf("found %q", said)
	}
}

// A ledger whose first page is damaged is called damaged, so that a backup or a
// salvage is offered, and not another program's.
func TestDamagedHeadIsNoOtherProgram(t *testing.T) {
	good := read(t, noted(t))
	for name, at := range map[string]int{"the name of the format": 3, "the sign of a ledger": 69} {
		data := slices.Clone(good)
		data[at] ^= 4
		path := filepath.Join(t.TempDir(), "room.ledger")
		must(t, os.WriteFile(path, data, 0o644))
		var open *ledgerfile.OpenError
		if err := ledgerfile.Identify(path); !errors.As(err, &open) || !open.Damaged() {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A file whose end is cut off is not sound, where nothing but zeros stood at its end too.
func TestCheckFindsACutEnd(t *testing.T) {
	path := noted(t)
	whole := read(t, path)
	ended := len(bytes.TrimRight(whole, "\x00"))
	for _, size := range []int{len(whole) - 1, len(whole) - 512, len(whole) - 2048, ended, ended - 1, len(whole) - 4096} {
		must(t, os.WriteFile(path, whole[:size], 0o600))
		if r, err := safekeeping.Check(t.Context(), path); err == nil && r.Sound() {
			t.Errorf("cut from %d to %d bytes it is called sound", len(whole), size)
		}
	}
	must(t, os.WriteFile(path, whole, 0o600))
	if r, err := safekeeping.Check(t.Context(), path); err != nil || !r.Sound() {
		t.Errorf("the whole file: %q, %v", r.Faults, err)
	}
}
