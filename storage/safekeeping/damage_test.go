package safekeeping_test

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/pages"
	"weirkeeper/storage/safekeeping"
	"weirkeeper/storage/storagetest"
	"weirkeeper/storage/storagetest/faults"
	"weirkeeper/storage/versions"
	"weirkeeper/tanks"
)

// content is what every table of a ledger holds, by table and key.
type content map[string]map[string][]any

// contentOf reads it by plain SQL.
func contentOf(t testing.TB, path string) (content, error) {
	t.Helper()
	db := plain(t, path)
	defer db.Close()
	tables, err := versions.Tables(t.Context(), db)
	if err != nil {
		return nil, err
	}
	all := content{}
	for name, table := range tables {
		all[name] = map[string][]any{}
		err := table.Each(t.Context(), db, "1", nil, func(row []any) error {
			var key []any
			for _, k := range table.KeyOf() {
				key = append(key, row[k])
			}
			all[name][fmt.Sprint(key...)] = slices.Clone(row)
			return nil
		})
		if err != nil {
			return nil, err
		}
	}
	return all, nil
}

// busyRoom is an open ledger of some three thousand readings, which came one by one,
// in sheets and in an import; some were corrected, withdrawn, taken back and put back.
func busyRoom(t testing.TB) *storage.Store {
	t.Helper()
	s, f := storagetest.Room(t)
	s = s.As(storage.Author{Person: "AB", Workstation: "one"})
	ctx := t.Context()
	n := 0
	reading := func() tanks.Reading {
		n++
		return tanks.Reading{
			System: f.Systems[n%2].ID, Analyte: chem.Calcium, At: f.Now.Add(-time.Duration(n) * time.Hour), Value: 380 + float64(n%80)/2,
			Typed: fmt.Sprint(n), Person: "AB", Note: strings.Repeat("n", n%40),
		}
	}
	sheet := func(of int) (ids []tanks.ReadingID) {
		var all []tanks.Reading
		for range of {
			all = append(all, reading())
		}
		return value[[]tanks.ReadingID](t)(s.SaveReadings(ctx, all))
	}
	for range 8 {
		ids := sheet(70)
		must(t, s.AmendReading(ctx, ids[3], reading(), "slip", "AB"))
		must(t, s.WithdrawReading(ctx, ids[7], "spilt", "AB"))
		sheet(40)
		value[any](t)(s.Undo(ctx, "AB"))
		sheet(1)
	}
	var file strings.Builder
	file.WriteString("time,system,analyte,value,unit,note\n")
	for i := range 400 {
		fmt.Fprintf(&file, "%s,F1,Mg,%d,mg/L,imported %d\n", f.Now.Add(-time.Duration(i)*time.Minute).Format("2006-01-02 15:04"), 1200+i%90,
			i)
	}
	value[storage.Imported](t)(s.ImportCSV(ctx, strings.NewReader(file.String()), storage.CSVOptions{}))
	for range 30 {
		must(t, s.SaveAddition(ctx, &tanks.Addition{System: f.Systems[0].ID, Product: f.Products["calcium"].ID, At: f.Now, Amount: 5}))
	}
	must(t, s.SaveObservation(ctx, &tanks.Observation{System: f.Systems[1].ID, At: f.Now, Text: strings.Repeat("a long note. ", 900)}))
	must(t, s.SaveDraft(ctx, "sheet", []byte("typed")))
	return s
}

// lying is a ledger as it lies on a disk, and what it holds.
type lying struct {
	name      string
	main, log []byte
	truth     content
	heads     map[int64]int64 // hashes by action
}

func lie(t testing.TB, name, path string) *lying {
	t.Helper()
	l := &lying{name: name, heads: map[int64]int64{}}
	l.main = value[[]byte](t)(os.ReadFile(path))
	l.log, _ = os.ReadFile(path + "-wal")
	truth, err := contentOf(t, path)
	must(t, err)
	l.truth = truth
	for _, row := range truth["actions"] {
		hash, _ := row[len(row)-1].(int64)
		l.heads[row[0].(int64)] = hash
	}
	return l
}

// damage is done to the bytes of a file; it tells what it did.
func damage(rng *rand.Rand, data []byte) ([]byte, string) {
	data = bytes.Clone(data)
	const page = 4096
	pages := max(1, len(data)/page)
	switch kind := rng.IntN(9); kind {
	case 0, 1, 2:
		var said []string
		for range 1 + rng.IntN(3) {
			at, bit := rng.IntN(len(data)), rng.IntN(8)
			data[at] ^= 1 << bit
			said = append(said, fmt.Sprintf("bit %d of byte %d (page %d)", bit, at, at/page+1))
		}
		return data, strings.Join(said, ", ")
	case 3: // among the first bytes of a page, which say what it is
		n := rng.IntN(pages)
		at := n*page + rng.IntN(12)
		data[at] ^= 1 << rng.IntN(8)
		return data, fmt.Sprintf("the head of page %d, byte %d", n+1, at%page)
	case 4:
		at := rng.IntN(len(data))
		n := min(16<<rng.IntN(10), len(data)-at)
		for i := range n {
			data[at+i] = byte(rng.Uint32())
		}
		return data, fmt.Sprintf("%d bytes of noise at %d (page %d)", n, at, at/page+1)
	case 5:
		at := rng.IntN(len(data)) / 512 * 512
		n := min(512<<rng.IntN(6), len(data)-at)
		clear(data[at : at+n])
		return data, fmt.Sprintf("%d zeros at %d (page %d)", n, at, at/page+1)
	case 6:
		n := len(data) - 1 - rng.IntN(len(data)/3)
		if rng.IntN(2) == 0 {
			n = max(1, n/page) * page
		}
		return data[:n], fmt.Sprintf("cut after %d of %d bytes", n, len(data))
	case 7:
		a, b := rng.IntN(pages), rng.IntN(pages)
		one := bytes.Clone(data[a*page : (a+1)*page])
		copy(data[a*page:], data[b*page:(b+1)*page])
		copy(data[b*page:], one)
		return data, fmt.Sprintf("pages %d and %d swapped", a+1, b+1)
	}
	at := rng.IntN(min(len(data), 100))
	data[at] ^= 1 << rng.IntN(8)
	return data, fmt.Sprintf("byte %d of the header", at)
}

// spoilt writes a damaged ledger down.
func (l *lying) spoilt(t testing.TB, rng *rand.Rand) (path, said string) {
	t.Helper()
	main, log := l.main, l.log
	if len(log) > 0 && rng.IntN(2) == 0 {
		log, said = damage(rng, log)
		said = "of the log: " + said
	} else {
		main, said = damage(rng, main)
	}
	path = filepath.Join(t.TempDir(), "damaged.ledger")
	must(t, os.WriteFile(path, main, 0o444))
	if len(log) > 0 {
		must(t, os.WriteFile(path+"-wal", log, 0o644))
	}
	return path, fmt.Sprintf("%s, %s", l.name, said)
}

// Whatever damage is done, a check finds every changed value, and a salvage brings
// back what can be read, nothing else, and says what is lost.
func TestAnyDamage(t *testing.T) {
	s := busyRoom(t)
	folder := t.TempDir()
	backup := value[safekeeping.Backup](t)(safekeeping.TakeBackup(t.Context(), s, folder, storagetest.Now, nil))
	logged := lie(t, "with a log", s.Path())
	must(t, s.Close())
	closed := lie(t, "closed", s.Path())
	copied := lie(t, "a backup", backup.Path)
	if len(logged.log) == 0 {
		t.Fatal("the ledger has no log")
	}
	type damaging struct {
		seed uint64
		i    int
	}
	// These lost rows without a word once, or made up a system.
	all := []damaging{{13518515245175957075, 1230}, {13518515245175957075, 1616}, {12111519264549539811, 153}, {12111519264549539811, 193},
		{12111519264549539811, 586}, {9916153149984967056, 633}}
	seed, n := uint64(20260310), 40
	if rounds := faults.Rounds(); rounds > 0 {
		seed, n = rand.Uint64(), 2000*rounds
	}
	t.Logf("seed %d", seed)
	for i := range n {
		all = append(all, damaging{seed, i})
	}
	for _, one := range all {
		i := one.i
		rng := rand.New(rand.NewPCG(one.seed, uint64(i)))
		l := []*lying{closed, logged, copied}[i%3]
		path, said := l.spoilt(t, rng)
		said = fmt.Sprintf("%d: %s", i, said)
		before, beforeLog := read(t, path), maybe(path+"-wal")
		l.check(t, path, said)
		var with []safekeeping.Backup
		if i%4 == 3 {
			with = append(with, backup)
		}
		l.salvage(t, path, said, with)
		if !bytes.Equal(read(t, path), before) || !bytes.Equal(maybe(path+"-wal"), beforeLog) {
			t.Errorf("%s: the damaged ledger was written to", said)
		}
		must(t, os.RemoveAll(filepath.Dir(path)))
	}
}

func maybe(path string) []byte {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil
	}
	return data
}

// check expects a check to find what differs. A log whose end is lost leaves a ledger
// as it once was, which only its backups can tell.
func (l *lying) check(t *testing.T, path, said string) {
	t.Helper()
	r, err := safekeeping.Check(t.Context(), path)
	if err != nil || !r.Sound() {
		return
	}
	copied := filepath.Join(t.TempDir(), "copy")
	must(t, os.WriteFile(copied, read(t, path), 0o644))
	if log := maybe(path + "-wal"); log != nil {
		must(t, os.WriteFile(copied+"-wal", log, 0o644))
	}
	got, err := contentOf(t, copied)
	if err != nil {
		t.Errorf("%s: called sound, and cannot be read: %v", said, err)
		return
	}
	if l.log != nil && len(got["actions"]) < len(l.truth["actions"]) && l.heads[r.Head.Action] == r.Head.Hash {
		return
	}
	for table, rows := range l.truth {
		if table == "drafts" && l.log != nil {
			continue // a draft is no action: the last that was kept may be what the log lost
		}
		if !reflect.DeepEqual(rows, got[table]) {
			t.Errorf("%s: %s has changed, and the check calls the ledger sound", said, table)
		}
	}
}

// salvage expects to get back what can be had.
func (l *lying) salvage(t *testing.T, path, said string, backups []safekeeping.Backup) {
	t.Helper()
	to := filepath.Join(t.TempDir(), "salvaged")
	got, err := safekeeping.Salvage(t.Context(), path, to, storagetest.Now, nil, backups...)
	var open *ledgerfile.OpenError
	if err != nil {
		t.Errorf("%s: salvage: %v (%v)", said, err, errors.As(err, &open))
		return
	}
	r := value[ledgerfile.Report](t)(safekeeping.Check(t.Context(), to))
	if !r.Sound() {
		t.Errorf("%s: what is salvaged is not sound: %q", said, r.Faults)
	}
	kept, err := contentOf(t, to)
	must(t, err)
	doubtful, invented, dropped := 0, 0, 0
	missing := 0
	lost := 0
	for table, rows := range l.truth {
		if slices.Contains([]string{"actions", "versions", "row_sums", "latest", "analytes", "drafts"}, table) {
			continue
		}
		numbers := map[string]bool{}
		for key, row := range kept[table] {
			want, had := rows[key]
			switch {
			case !had:
				t.Errorf("%s: %s %s was not in the ledger: %v", said, table, key, row)
			case !reflect.DeepEqual(row, want):
				made := func(v any) bool { return v == "LOST"+key || v == "Salvaged room" || v == "lost product "+key }
				if slices.ContainsFunc(row, made) {
					invented++
				} else if onlyDropped(row, want) {
					dropped++
				} else {
					doubtful++
				}
			}
		}
		for key, row := range rows {
			if _, there := kept[table][key]; !there {
				numbers[fmt.Sprint(row[0])] = true
			}
		}
		missing += len(numbers)
		lost += got.Lost[table]
	}
	if doubtful > len(got.Doubtful) && len(got.Doubtful) < ledgerfile.MostFaults && got.Unnamed == 0 {
		t.Errorf("%s: %d rows are not as they were, doubtful are %q", said, doubtful, got.Doubtful)
	}
	if dropped > 0 && !strings.Contains(losses(got), "stay without the") {
		t.Errorf("%s: %d rows have lost what they refer to, said is %q", said, dropped, losses(got))
	}
	if lost < missing-got.Unnamed || lost > missing+invented+doubtful {
		t.Errorf("%s: %d rows are missing (%d invented), lost are said to be %v and at most %d more",
			said, missing, invented, got.Lost, got.Unnamed)
	}
	l.wholePages(t, path, said, kept)
}

// Of a file that is cut off anywhere at its end, in the account too, it is said how much
// is lost at the most.
func TestSalvageOfAnyCutEnd(t *testing.T) {
	s := busyRoom(t)
	must(t, s.Close())
	l := lie(t, "closed", s.Path())
	const page = 4096
	for gone := range 24 {
		path := filepath.Join(t.TempDir(), "cut.ledger")
		must(t, os.WriteFile(path, l.main[:len(l.main)-(gone+1)*page], 0o600))
		l.salvage(t, path, fmt.Sprintf("without its last %d pages", gone+1), nil)
	}
}

// Rows of one number that go with a lost one count once.
func TestRowsThatGoWithALostOne(t *testing.T) {
	s := busyRoom(t)
	must(t, s.Close())
	execute(t, s.Path(), "PRAGMA foreign_keys = OFF",
		"DELETE FROM additions WHERE id = (SELECT addition_id FROM addition_changes GROUP BY 1 HAVING count(*) > 1 ORDER BY 1 DESC LIMIT 1)")
	got, _ := salvaged(t, s.Path())
	same(t, got.Lost, map[string]int{"additions": 1, "addition_changes": 1})
}

// onlyDropped tells a row that lost nothing but references.
func onlyDropped(row, want []any) bool {
	for i := range row {
		if row[i] != nil && !reflect.DeepEqual(row[i], want[i]) {
			return false
		}
	}
	return true
}

// wholePages expects nearly all rows of pages that are as they were.
func (l *lying) wholePages(t *testing.T, path, said string, kept content) {
	t.Helper()
	if len(l.log) > 0 {
		return // which pages are in force is the log's to say
	}
	data := read(t, path)
	f := pages.Open(bytes.NewReader(l.main), int64(len(l.main)), nil, 0)
	const page = 4096
	whole, had := 0, 0
	for n := uint32(2); n <= f.Pages(); n++ {
		at := int(n-1) * page
		if at+page > len(data) || !bytes.Equal(data[at:at+page], l.main[at:at+page]) {
			continue
		}
		f.Cells(n, f.Page(n), func(c pages.Cell) {
			row, err := pages.Decode(c.Payload)
			want := l.truth["readings"][fmt.Sprint(c.Row)]
			if err != nil || c.Index || len(row) != len(want) || fmt.Sprint(row[1:]) != fmt.Sprint(want[1:]) {
				return
			}
			whole++
			if _, there := kept["readings"][fmt.Sprint(c.Row)]; there {
				had++
			}
		})
	}
	if had*100 < whole*99 {
		t.Errorf("%s: %d of %d readings of whole pages", said, had, whole)
	}
}
