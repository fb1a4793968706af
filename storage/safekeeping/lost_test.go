package safekeeping_test

import (
	"bytes"
	"encoding/binary"
	"fmt"
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

// rootOf is the number of the page at the root of a table or an index.
func rootOf(t *testing.T, path, name string) (root int) {
	t.Helper()
	db := plain(t, path)
	defer db.Close()
	must(t, db.QueryRow("SELECT rootpage FROM sqlite_schema WHERE name = ?", name).Scan(&root))
	return root
}

// leavesOf are the numbers of the pages of a table that hold its rows.
func leavesOf(t *testing.T, data []byte, root int) (all []int) {
	t.Helper()
	page := data[(root-1)*4096 : root*4096]
	if page[0] == 13 {
		return []int{root}
	}
	for i := range int(binary.BigEndian.Uint16(page[3:])) {
		at := binary.BigEndian.Uint16(page[12+2*i:])
		all = append(all, leavesOf(t, data, int(binary.BigEndian.Uint32(page[at:])))...)
	}
	return append(all, leavesOf(t, data, int(binary.BigEndian.Uint32(page[8:])))...)
}

// What takes away no row takes nothing away: each of these is salvaged whole.
func TestSalvageLosesNothing(t *testing.T) {
	path, all := bigRoom(t)
	good := read(t, path)
	readings, plot := rootOf(t, path, "readings"), rootOf(t, path, "readings_plot")
	versions, sums := rootOf(t, path, "versions"), rootOf(t, path, "row_sums")
	for name, spoil := range map[string]func(d []byte) []byte{
		"nothing":                          func(d []byte) []byte { return d },
		"the kind of a root":               func(d []byte) []byte { d[(readings-1)*4096] ^= 4; return d },
		"the cells of a root":              func(d []byte) []byte { clear(d[(readings-1)*4096+12 : readings*4096]); return d },
		"a root of zeros":                  func(d []byte) []byte { clear(d[(readings-1)*4096 : readings*4096]); return d },
		"a bit of the roots of an index":   func(d []byte) []byte { d[(plot-1)*4096+9] ^= 1; return d },
		"an index of zeros":                func(d []byte) []byte { clear(d[(plot-1)*4096 : plot*4096]); return d },
		"the name of the format":           func(d []byte) []byte { d[2] ^= 1; return d },
		"the sign of a ledger":             func(d []byte) []byte { d[68] ^= 0x20; return d },
		"the version":                      func(d []byte) []byte { d[63] ^= 8; return d },
		"the size of a page":               func(d []byte) []byte { d[16] ^= 0x30; return d },
		"the encoding":                     func(d []byte) []byte { d[59] ^= 2; return d },
		"the whole header":                 func(d []byte) []byte { clear(d[:100]); return d },
		"the list of free pages":           func(d []byte) []byte { d[33], d[39] = 7, 9; return d },
		"a bit of a value":                 func(d []byte) []byte { return flipOnce(t, d, "note 5500, to", "note 5500, To") },
		"a bit of a row's number":          func(d []byte) []byte { return flipNumber(t, d, readings) },
		"a bit of what an action says":     func(d []byte) []byte { return flipOnce(t, d, "saving the readings", "saving the reaDings") },
		"the kind of the root of versions": func(d []byte) []byte { d[(versions-1)*4096] ^= 2; return d },
		"an analyte's key":                 func(d []byte) []byte { return flipOnce(t, d, "beryllium", "beryl\x00ium") },
		"two roots swapped":                func(d []byte) []byte { return swapped(d, readings, sums) },
		"a page of zeros more":             func(d []byte) []byte { return append(d, make([]byte, 4096)...) },
	} {
		t.Run(name, func(t *testing.T) {
			damaged := filepath.Join(t.TempDir(), "damaged.ledger")
			must(t, os.WriteFile(damaged, spoil(slices.Clone(good)), 0o444))
			got, kept := salvaged(t, damaged)
			if len(kept["readings"]) != len(all) || len(got.Lost) > 0 || got.Unnamed > 0 || len(got.Doubtful) > 0 {
				t.Errorf("%d of %d readings, %+v", len(kept["readings"]), len(all), got)
			}
			if mended := strings.HasPrefix(name, "a bit of a ") || strings.HasPrefix(name, "a bit of what"); mended != (got.Repaired == 1) {
				t.Errorf("%d rows were put right", got.Repaired)
			}
			truth := value[content](t)(contentOf(t, path))
			same(t, kept["readings"], truth["readings"])
			same(t, kept["systems"], truth["systems"])
			same(t, kept["analytes"], truth["analytes"])
		})
	}
}

// swapped are pages in each other's place.
func swapped(data []byte, a, b int) []byte {
	one := bytes.Clone(data[(a-1)*4096 : a*4096])
	copy(data[(a-1)*4096:], data[(b-1)*4096:b*4096])
	copy(data[(b-1)*4096:], one)
	return data
}

// flipOnce changes a text that must be there.
func flipOnce(t *testing.T, data []byte, from, to string) []byte {
	t.Helper()
	if !bytes.Contains(data, []byte(from)) {
		t.Fatalf("no %q", from)
	}
	return bytes.Replace(data, []byte(from), []byte(to), 1)
}

// flipNumber changes the number of a row in the middle of a table.
func flipNumber(t *testing.T, data []byte, root int) []byte {
	t.Helper()
	leaves := leavesOf(t, data, root)
	page := data[(leaves[len(leaves)/2]-1)*4096:]
	page[int(binary.BigEndian.Uint16(page[8+2*5:]))+2] ^= 1 // behind the size, which takes one byte
	return data
}

// salvaged is what a salvage says, and what is then in the new ledger.
func salvaged(t *testing.T, damaged string, backups ...safekeeping.Backup) (safekeeping.Salvaged, content) {
	t.Helper()
	to := filepath.Join(t.TempDir(), "salvaged.ledger")
	got, err := safekeeping.Salvage(t.Context(), damaged, to, storagetest.Now, nil, backups...)
	must(t, err)
	r := value[ledgerfile.Report](t)(safekeeping.Check(t.Context(), to))
	// The photo of the kept ledgers is not kept with them.
	r.Faults = slices.DeleteFunc(r.Faults, func(f string) bool { return strings.HasPrefix(f, "the photo") })
	if !r.Sound() {
		t.Errorf("what is salvaged is not sound: %q", r.Faults)
	}
	return got, value[content](t)(contentOf(t, to))
}

// losses are what is lost in words.
func losses(got safekeeping.Salvaged) string {
	var all []string
	for _, one := range got.Losses {
		all = append(all, one.String())
	}
	return strings.Join(all, "; ")
}

// Of a page that is destroyed it is said exactly which rows are lost, of which system
// and time; a backup that has them gives them back.
func TestSalvageSaysWhatIsLost(t *testing.T) {
	s, f := filled(t, 600)
	must(t, s.WithdrawReading(t.Context(), 300, "spilt", "AB"))
	backup := value[safekeeping.Backup](t)(safekeeping.TakeBackup(t.Context(), s, t.TempDir(), storagetest.Now, nil))
	add(t, s, f, 1)
	must(t, s.Close())
	truth := value[content](t)(contentOf(t, s.Path()))
	data := read(t, s.Path())
	leaves := leavesOf(t, data, rootOf(t, s.Path(), "readings"))
	clear(data[(leaves[3]-1)*4096 : leaves[3]*4096])
	damaged := filepath.Join(t.TempDir(), "damaged.ledger")
	must(t, os.WriteFile(damaged, data, 0o644))

	got, kept := salvaged(t, damaged)
	lost := len(truth["readings"]) - len(kept["readings"])
	if lost < 20 || got.Lost["readings"] != lost || got.Unnamed != 0 || len(got.Losses) != 1 {
		t.Errorf("%d are lost, said are %v, %q and %d more", lost, got.Lost, losses(got), got.Unnamed)
	}
	first, last := int64(1<<62), int64(0)
	for key, row := range truth["readings"] {
		if _, there := kept["readings"][key]; !there {
			first, last = min(first, row[3].(int64)), max(last, row[3].(int64))
		}
	}
	day := func(at int64) string { return time.UnixMilli(at).In(f.Zone).Format("2 Jan 2006") }
	if want := fmt.Sprintf("readings of F1: %d, of %s to %s", lost, day(first), day(last)); losses(got) != want {
		t.Errorf("said is %q, not %q", losses(got), want)
	}

	got, kept = salvaged(t, damaged, backup)
	same(t, kept["readings"], truth["readings"])
	if got.FromBackup != lost || len(got.Losses) != 0 {
		t.Errorf("of the backup: %+v", got)
	}
}

// What is lost makes a salvage one that did not bring all back; with a backup that has
// it, nothing is.
func TestLostRowsInTheirOrder(t *testing.T) {
	s, f := filled(t, 4)
	must(t, s.SaveObservation(t.Context(), &tanks.Observation{System: f.Systems[0].ID, At: f.Now, Text: "x"}))
	backup := value[safekeeping.Backup](t)(safekeeping.TakeBackup(t.Context(), s, t.TempDir(), storagetest.Now, nil))
	must(t, s.Close())
	execute(t, s.Path(), "PRAGMA foreign_keys = OFF", "DELETE FROM methods", "DELETE FROM latest", "DELETE FROM readings",
		"DELETE FROM observations")
	got, err := safekeeping.Salvage(t.Context(), s.Path(), filepath.Join(t.TempDir(), "to"), storagetest.Now, nil)
	must(t, err)
	if want := "readings: 4, of 10 Mar 2026; observations: 1, of 10 Mar 2026; methods: 3, of 10 Mar 2026"; losses(got) != want ||
		got.Whole() {
		t.Errorf("said is %q, whole %v, not %q", losses(got), got.Whole(), want)
	}
	if got, err := safekeeping.Salvage(t.Context(), s.Path(), filepath.Join(t.TempDir(), "to"), storagetest.Now, nil, backup); err != nil ||
		!got.Whole() {
		t.Errorf("with a backup: %q, %v", losses(got), err)
	}
}

// A file that is cut by a page, or within one, gives everything but what stood there.
func TestSalvageOfACutFile(t *testing.T) {
	path, all := bigRoom(t)
	good := read(t, path)
	for name, size := range map[string]int{"by a page": len(good) - 4096, "within a page": len(good) - 6000,
		"by a third": len(good) / 3 * 2} {
		damaged := filepath.Join(t.TempDir(), "damaged.ledger")
		must(t, os.WriteFile(damaged, good[:size], 0o644))
		got, kept := salvaged(t, damaged)
		lost := len(all) - len(kept["readings"])
		if size > len(good)-4096*2 && lost > 100 || lost > len(all)/2 {
			t.Errorf("%s: %d of %d readings are lost", name, lost, len(all))
		}
		if lost != got.Lost["readings"] && (got.Unnamed == 0 || lost > got.Lost["readings"]+got.Unnamed) {
			t.Errorf("%s: %d are lost, said are %v and at most %d", name, lost, got.Lost, got.Unnamed)
		}
	}
}

// What was taken away stays away, although pages that were given back still hold it.
func TestSalvageBringsNothingBackToLife(t *testing.T) {
	s, f := filled(t, 500)
	s = s.As(storage.Author{Person: "AB", Workstation: "one"})
	for range 3 {
		add(t, s, f, 400)
		value[any](t)(s.Undo(t.Context(), "AB"))
	}
	must(t, s.Close())
	truth := value[content](t)(contentOf(t, s.Path()))
	// A row that nobody wrote, as far as the account goes.
	execute(t, s.Path(), "INSERT INTO readings (id, system_id, analyte_id, taken_at, value, entered_at) VALUES (9999, 1, 5, 1, 1, 1)")
	if len(truth["readings"]) != 500 {
		t.Fatalf("%d readings", len(truth["readings"]))
	}
	data := read(t, s.Path())
	for _, table := range []string{"readings", "systems"} {
		data[(rootOf(t, s.Path(), table)-1)*4096] ^= 8
	}
	clear(data[32:40]) // the list of the pages that were given back
	damaged := filepath.Join(t.TempDir(), "damaged.ledger")
	must(t, os.WriteFile(damaged, data, 0o644))
	_, kept := salvaged(t, damaged)
	same(t, kept["readings"], truth["readings"])
}

// The ledgers of older versions are salvaged as far as it goes without their account.
func TestSalvageOfOlderVersions(t *testing.T) {
	for _, name := range []string{"version-1.sqlite", "version-2.sqlite", "version-3.sqlite", "version-4.sqlite", "version-5.sqlite"} {
		data := read(t, filepath.Join("..", "testdata", name))
		path := filepath.Join(t.TempDir(), "older.ledger")
		must(t, os.WriteFile(path, data, 0o644))
		truth := value[content](t)(contentOf(t, path))
		for what, spoil := range map[string]func(){"nothing": func() {}, "the header": func() { clear(data[:100]) }, "the root": func() {
			data[(rootOf(t, path, "readings")-1)*4096+3] ^= 1
		}} {
			spoil()
			damaged := filepath.Join(t.TempDir(), "damaged.ledger")
			must(t, os.WriteFile(damaged, data, 0o644))
			_, kept := salvaged(t, damaged)
			for _, table := range []string{"readings", "systems", "methods", "additions", "addition_changes"} {
				if len(kept[table]) != len(truth[table]) {
					t.Errorf("%s, %s: %d of %d %s", name, what, len(kept[table]), len(truth[table]), table)
				}
			}
			data = read(t, path)
		}
	}
}

// One bit of a reading's value is put right by its sum: the ledger never says a value
// that nobody measured.
func TestSalvagePutsABitRight(t *testing.T) {
	s, f := filled(t, 50)
	r := tanks.Reading{System: f.Systems[0].ID, Analyte: chem.Calcium, At: f.Now, Value: 402.125}
	ids := value[[]tanks.ReadingID](t)(s.SaveReadings(t.Context(), []tanks.Reading{r}))
	must(t, s.Close())
	data := read(t, s.Path())
	was := binary.BigEndian.AppendUint64(nil, math.Float64bits(402.125))
	bytesOf := slices.Clone(was)
	bytesOf[2] ^= 0x10
	damaged := filepath.Join(t.TempDir(), "damaged.ledger")
	must(t, os.WriteFile(damaged, bytes.ReplaceAll(data, was, bytesOf), 0o644)) // in the table and in the index
	got, kept := salvaged(t, damaged)
	if v := kept["readings"][fmt.Sprint(int64(ids[0]))][4]; v != 402.125 || got.Repaired != 1 {
		t.Errorf("the value is %v, %+v", v, got)
	}
}

// Pages that the log has newer still hold rows that were taken away, and what they were
// before they were corrected.
func TestSalvageBringsNothingBackFromReplacedPages(t *testing.T) {
	s, f := filled(t, 500)
	must(t, s.Close())
	s = value[*storage.Store](t)(storage.Open(t.Context(), s.Path(), storagetest.Clock)).As(storage.Author{Person: "AB",
		Workstation: "one"})
	add(t, s, f, 400)
	must(t, s.Close())
	s = value[*storage.Store](t)(storage.Open(t.Context(), s.Path(), storagetest.Clock)).As(storage.Author{Person: "AB",
		Workstation: "one"})
	defer s.Close()
	value[any](t)(s.Undo(t.Context(), "AB"))
	must(t, s.WithdrawReading(t.Context(), 7, "spilt", "AB"))
	truth := value[content](t)(contentOf(t, s.Path()))
	if len(truth["readings"]) != 500 {
		t.Fatalf("%d readings", len(truth["readings"]))
	}
	data, log := read(t, s.Path()), read(t, s.Path()+"-wal")
	data[(rootOf(t, s.Path(), "systems")-1)*4096] ^= 8
	damaged := filepath.Join(t.TempDir(), "damaged.ledger")
	must(t, os.WriteFile(damaged, data, 0o644))
	must(t, os.WriteFile(damaged+"-wal", log, 0o644))
	_, kept := salvaged(t, damaged)
	same(t, kept["readings"], truth["readings"])
}

// A draft that is not as it was typed is kept, and named.
func TestSalvageDoubtsADraft(t *testing.T) {
	path, _ := marked(t)
	data := read(t, path)
	damaged := filepath.Join(t.TempDir(), "damaged.ledger")
	must(t, os.WriteFile(damaged, bytes.ReplaceAll(data, []byte("typed but not saved"), []byte("typed but not Saved")), 0o644))
	got, kept := salvaged(t, damaged)
	if len(kept["drafts"]) != 1 || len(got.Doubtful) != 1 || !strings.Contains(got.Doubtful[0].String(), "drafts 1") {
		t.Errorf("kept are %v, doubtful %q", kept["drafts"], got.Doubtful)
	}
	must(t, os.WriteFile(damaged, data, 0o644))
	if got, _ := salvaged(t, damaged); len(got.Doubtful) != 0 {
		t.Errorf("of a whole one doubtful are %q", got.Doubtful)
	}
}
