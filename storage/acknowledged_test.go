package storage_test

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/cespare/xxhash/v2"

	"weirkeeper/storage"
	"weirkeeper/storage/durable"
	"weirkeeper/storage/safekeeping"
	"weirkeeper/storage/storagetest"
	"weirkeeper/storage/storagetest/faults"
	"weirkeeper/tanks"
)

// actAndSay is the job of a child that does acts of every kind, those on whole
// ledgers among them, and says each once it has returned.
const actAndSay = "act and say"

func init() { childJobs[actAndSay] = doAndSay }

const (
	roomFile   = "room.ledger"
	backupsDir = "backups"
)

// said is what stands after an act that has returned.
type said struct {
	Act    string
	Tables map[string]string // what each table of the ledger holds, as a sum
	Files  map[string]string // sums of the files beside the ledger, by path
}

// job is what the child is given.
type job struct {
	Seed    uint64
	Acts    int
	Fixture storagetest.Fixture
}

// children run without a test.
type childTB struct{ testing.TB }

func (childTB) Helper()                   { /* nobody reads its lines */ }
func (childTB) Fatal(args ...any)         { panic(fmt.Sprint(args...)) }
func (childTB) Fatalf(f string, a ...any) { panic(fmt.Sprintf(f, a...)) }

// doer does acts one after another.
type doer struct {
	t      testing.TB
	folder string
	store  *storage.Store
	f      storagetest.Fixture
	now    time.Time // later with each act, for the names of files
	said   *os.File
}

func (d *doer) path(name string) string { return filepath.Join(d.folder, name) }

// doAndSay is the child's job, in the folder of a ledger.
func doAndSay(folder string) {
	t := childTB{}
	data, err := os.ReadFile(os.Getenv("JOB"))
	must(t, err)
	var j job
	must(t, json.Unmarshal(data, &j))
	j.Fixture.Zone, err = time.LoadLocation("Europe/Paris")
	must(t, err)
	d := doer{t: t, folder: folder, f: j.Fixture, now: j.Fixture.Now}
	d.said, err = os.OpenFile(os.Getenv("SAID"), os.O_WRONLY|os.O_APPEND|os.O_CREATE, 0o600)
	must(t, err)
	d.open()
	d.say("begin")
	rng := rand.New(rand.NewPCG(j.Seed, 1))
	for n, name := range d.order(rng, j.Acts) {
		d.now = d.now.Add(time.Minute)
		err := d.acts()[name](n)
		if errors.Is(err, storage.ErrNotFound) || errors.Is(err, storage.ErrNothingToUndo) {
			continue // there was nothing to do it with
		}
		if err != nil {
			panic(fmt.Sprintf("%s: %v", name, err))
		}
		d.say(name)
	}
	os.Exit(0) // without closing, as a power cut would end it
}

func (d *doer) open() {
	s, err := storage.Open(context.Background(), d.path(roomFile), storagetest.Clock)
	must(d.t, err)
	must(d.t, s.FoldEvery(60))
	d.store = own(s)
}

// order is every kind of act once, those first that others need, and then any.
func (d *doer) order(rng *rand.Rand, acts int) []string {
	names := slices.Sorted(maps.Keys(d.acts()))
	order := slices.Clone(firstDeeds)
	for _, i := range rng.Perm(len(names)) {
		order = append(order, names[i])
	}
	for len(order) < acts {
		order = append(order, names[rng.IntN(len(names))])
	}
	return order
}

// acts are the deeds of every kind and what is done with whole ledgers.
func (d *doer) acts() map[string]func(n int) error {
	ctx := context.Background()
	all := deeds(d.t, d.store, d.f)
	all["draft"] = func(n int) error {
		if n%3 == 0 {
			return d.store.DropDraft(ctx, "sheet")
		}
		return d.store.SaveDraft(ctx, "sheet", []byte(strings.Repeat("8.3 ", n%40)))
	}
	all["taking back"] = func(n int) error {
		turn := d.store.Undo
		if n%3 == 0 {
			turn = d.store.Redo
		}
		_, err := turn(ctx, "AB")
		return err
	}
	all["backup"] = func(int) error {
		_, err := safekeeping.TakeBackup(ctx, d.store, d.path(backupsDir), d.now, nil)
		return err
	}
	all["export and import of everything"] = func(n int) error {
		folder := d.path("export-" + strconv.Itoa(n))
		if err := safekeeping.ExportAll(ctx, d.store, folder, d.now, nil); err != nil {
			return err
		}
		return safekeeping.ImportAll(ctx, folder, d.path("imported-"+strconv.Itoa(n)), nil)
	}
	all["restore"] = func(int) error {
		backups, err := safekeeping.Backups(d.path(backupsDir), d.store.Path())
		if err != nil || len(backups) == 0 {
			return errors.Join(err, storage.ErrNotFound)
		}
		must(d.t, d.store.Close())
		if _, err := safekeeping.Restore(ctx, backups[0], d.path(roomFile), d.now); err != nil {
			return err
		}
		d.open()
		return nil
	}
	all["new ledger"] = func(n int) error {
		s, err := storage.Create(ctx, d.path("new-"+strconv.Itoa(n)), tanks.Room{Name: "New", Zone: "Europe/Paris"}, storagetest.Clock)
		if err != nil {
			return err
		}
		return s.Close()
	}
	return all
}

// say writes what stands now, in one write.
func (d *doer) say(act string) {
	s := said{Act: act}
	var err error
	s.Tables, err = tableSums(context.Background(), d.store)
	must(d.t, err)
	s.Files, err = fileSums(d.folder)
	must(d.t, err)
	line, err := json.Marshal(s)
	must(d.t, err)
	_, err = d.said.Write(append(line, '\n'))
	must(d.t, err)
}

// tableSums sums up every row of every table, in whatever order they lie.
func tableSums(ctx context.Context, s *storage.Store) (map[string]string, error) {
	tx, err := s.Snapshot(ctx)
	if err != nil {
		return nil, err
	}
	defer tx.Rollback()
	names, err := textColumn(tx, "SELECT name FROM sqlite_schema WHERE type = 'table'")
	if err != nil {
		return nil, err
	}
	all := map[string]string{}
	for _, table := range names {
		if all[table], err = tableSum(tx, table); err != nil {
			return nil, err
		}
	}
	return all, nil
}

func textColumn(tx *sql.Tx, query string) ([]string, error) {
	rows, err := tx.Query(query)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var all []string
	for rows.Next() {
		var one string
		if err := rows.Scan(&one); err != nil {
			return nil, err
		}
		all = append(all, one)
	}
	return all, rows.Err()
}

func tableSum(tx *sql.Tx, table string) (string, error) {
	rows, err := tx.Query(`SELECT * FROM "` + table + `"`)
	if err != nil {
		return "", err
	}
	defer rows.Close()
	columns, err := rows.Columns()
	if err != nil {
		return "", err
	}
	values, into := make([]any, len(columns)), make([]any, len(columns))
	for i := range values {
		into[i] = &values[i]
	}
	var sum, count uint64
	for rows.Next() {
		if err := rows.Scan(into...); err != nil {
			return "", err
		}
		sum += xxhash.Sum64String(fmt.Sprintf("%#v", values))
		count++
	}
	return fmt.Sprintf("%d rows %x", count, sum), rows.Err()
}

// passing are endings of files that whoever opens a ledger makes anew.
var passing = []string{"-wal", "-shm", "-journal"}

// fileSums sums up the files below a folder that stand for themselves: not the
// ledger and what belongs to it while it is open.
func fileSums(folder string) (map[string]string, error) {
	all := map[string]string{}
	err := filepath.WalkDir(folder, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		name, err := filepath.Rel(folder, path)
		if err != nil || !standsForItself(name) {
			return err
		}
		data, err := os.ReadFile(path)
		all[name] = fmt.Sprintf("%x", xxhash.Sum64(data))
		return err
	})
	return all, err
}

func standsForItself(name string) bool {
	if name == roomFile || durable.Unfinished(filepath.Base(name)) || strings.HasSuffix(name, "-lock") ||
		strings.HasSuffix(name, "-holder") {
		return false
	}
	return !slices.ContainsFunc(passing, func(end string) bool { return strings.HasSuffix(name, end) })
}

// doing prepares a child that acts in a copy of a room, and the file in which it says
// what it did.
func doing(t *testing.T, seed uint64, acts int) (child func(folder string) (cmd *exec.Cmd, said string), folder string) {
	t.Helper()
	s, f := storagetest.Room(t)
	must(t, s.Close())
	folder = t.TempDir()
	copyOf(t, s.Path(), filepath.Join(folder, roomFile))
	must(t, os.Mkdir(filepath.Join(folder, backupsDir), 0o755)) // the person's
	f.Zone = nil                                                // read anew by the child
	data, err := json.Marshal(job{seed, acts, f})
	must(t, err)
	at := filepath.Join(t.TempDir(), "job")
	must(t, os.WriteFile(at, data, 0o600))
	return func(in string) (*exec.Cmd, string) {
		said := filepath.Join(t.TempDir(), "said")
		cmd := faults.Child("", actAndSay, in)
		cmd.Env = append(cmd.Env, "JOB="+at, "SAID="+said)
		return cmd, said
	}, folder
}

// readSaid reads what a child said.
func readSaid(t *testing.T, data []byte) []said {
	t.Helper()
	var all []said
	for line := range strings.Lines(string(data)) {
		var s said
		if !strings.HasSuffix(line, "\n") {
			break // it was killed while it said this
		}
		must(t, json.Unmarshal([]byte(line), &s))
		all = append(all, s)
	}
	return all
}

// lost opens a folder as it was found and tells what is wrong with it when the last
// act that had returned is said[n] and the next may have happened too: all of one or
// all of the other must be there, whole and sound.
func lost(t *testing.T, folder string, all []said, n int) []string {
	t.Helper()
	may := all[n:min(n+2, len(all))]
	path := filepath.Join(folder, roomFile)
	s, err := storage.Open(t.Context(), path, storagetest.Clock)
	if err != nil {
		return []string{"it does not open: " + err.Error()}
	}
	defer s.Close()
	var wrong []string
	if r, err := safekeeping.Check(t.Context(), path); err != nil || !r.Sound() {
		wrong = append(wrong, fmt.Sprintf("it is not sound: %v, %v", r.Faults, err))
	}
	tables := value[map[string]string](t)(tableSums(t.Context(), s))
	if !slices.ContainsFunc(may, func(s said) bool { return maps.Equal(s.Tables, tables) }) {
		for table, sum := range may[0].Tables {
			if tables[table] != sum {
				wrong = append(wrong, fmt.Sprintf("%s holds %s, not %s", table, tables[table], sum))
			}
		}
	}
	files := value[map[string]string](t)(fileSums(folder))
	for name, sum := range may[0].Files {
		if files[name] != sum && (len(may) == 1 || may[1].Files[name] != files[name]) {
			wrong = append(wrong, fmt.Sprintf("the file %s is %q, not %q", name, files[name], sum))
		}
	}
	return append(wrong, badBackups(t, folder, path)...)
}

// badBackups are backups that count as finished and are not good.
func badBackups(t *testing.T, folder, path string) []string {
	t.Helper()
	var wrong []string
	for _, b := range value[[]safekeeping.Backup](t)(safekeeping.Backups(filepath.Join(folder, backupsDir), path)) {
		if err := b.Verify(t.Context()); err != nil {
			wrong = append(wrong, err.Error())
		}
	}
	return wrong
}
