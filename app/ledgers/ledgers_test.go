package ledgers

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/adrg/xdg"

	"weirkeeper/app/crash"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/safekeeping"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

func TestFileFor(t *testing.T) {
	for name, c := range map[string]struct {
		room  string
		taken []string
		want  string // in the folder; empty: no file
	}{
		"a name":                  {"Our room", nil, "Our room.ledger"},
		"a taken one":             {"Our room", []string{"Our room.ledger"}, "Our room 2.ledger"},
		"two taken ones":          {"Our room", []string{"Our room.ledger", "Our room 2.ledger"}, "Our room 3.ledger"},
		"signs that no file has":  {`Back/Front: "A"`, nil, "Back-Front- -A-.ledger"},
		"nothing":                 {"  ", nil, ""},
		"dots, the folder itself": {"..", nil, ""},
	} {
		taken := map[string]bool{}
		for _, file := range c.taken {
			taken[file] = true
		}
		want := c.want
		if want != "" {
			want = filepath.Join(Folder(), want)
		}
		if got := FileFor(c.room, taken); got != want {
			t.Errorf("%s: %q, want %q", name, got, want)
		}
	}
}

func TestCreateAndOpenWhileWaiting(t *testing.T) {
	path := filepath.Join(t.TempDir(), "new", "folder", "room.ledger")
	store, err := Create(t.Context(), path, tanks.Room{Name: "Ours", Zone: "UTC"}, storagetest.Clock)
	if err != nil {
		t.Fatal(err)
	}
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
	release := make(chan struct{})
	o := Begin(path, storagetest.Clock, func(open func()) {
		go func() {
			<-release
			open()
		}()
	})
	if _, ok := o.Within(time.Millisecond); ok {
		t.Error("it is open before it was opened")
	}
	close(release)
	store, err = o.Wait()
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	if again, ok := o.Within(0); !ok || again != store {
		t.Error("an open ledger is waited for")
	}
	if err := store.SaveSystem(t.Context(), &tanks.System{Code: "F1", Name: "Rack", Kind: tanks.Marine,
		Opened: storagetest.Now}); err != nil {
		t.Fatal(err)
	}
	if _, err := store.Undo(t.Context(), ""); err != nil {
		t.Errorf("what was done in an opened ledger cannot be taken back: %v", err)
	}
	if _, err := Begin(path+"?", storagetest.Clock, func(open func()) { open() }).Wait(); err == nil {
		t.Error("a ledger that is not there opens")
	}
}

// An opening that ends in a fault gives no ledger, rather than one that is not there.
func TestOpeningEndsInAFault(t *testing.T) {
	store, _ := storagetest.Room(t)
	path := store.Path()
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
	var raised *crash.Fault
	o := Begin(path, func() time.Time { panic("no time") }, func(open func()) { raised = crash.Catch(open) })
	if raised == nil {
		t.Fatal("nobody asked for the time, so that this shows nothing")
	}
	if store, ok := o.Within(time.Second); ok || store != nil {
		t.Errorf("a fault gave %v", store)
	}
	if store, err := o.Wait(); store != nil || err == nil {
		t.Errorf("a fault gave %v, %v", store, err)
	}
}

func TestDemoLiesInAFolderOfItsOwn(t *testing.T) {
	store, scratch, err := Demo(t.Context(), "", storagetest.Clock)
	if err != nil {
		t.Fatal(err)
	}
	defer os.RemoveAll(scratch)
	defer store.Close()
	if filepath.Dir(store.Path()) != scratch || scratch == "" {
		t.Errorf("it lies in %s, the folder is %s", store.Path(), scratch)
	}
}

// The whole life of a room's backups: none, one a day, the newest good one where the
// newest is broken, and none of the future.
// Demo rooms of programs that were killed go when the next one begins; one that is
// open, one that was just made and what is none stay.
func TestLeftDemosGo(t *testing.T) {
	temp := t.TempDir()
	t.Setenv("TMPDIR", temp)
	hourAgo := time.Now().Add(-time.Hour)
	folder := func(name string, at time.Time) string {
		path := filepath.Join(temp, name)
		if err := errors.Join(os.Mkdir(path, 0o755), os.WriteFile(filepath.Join(path, "demo.ledger"), nil, 0o644),
			os.Chtimes(path, at, at)); err != nil {
			t.Fatal(err)
		}
		return path
	}
	left, young, other := folder("weirkeeper-demo-1", hourAgo), folder("weirkeeper-demo-2", time.Now()), folder("weirkeeper-shots-1",
		hourAgo)
	open, openScratch, err := Demo(t.Context(), "", storagetest.Clock)
	if err != nil {
		t.Fatal(err)
	}
	defer open.Close()
	if err := errors.Join(os.Mkdir(left, 0o755), os.Chtimes(left, hourAgo, hourAgo),
		os.Chtimes(openScratch, hourAgo, hourAgo)); err != nil {
		t.Fatalf("the first demo room left it behind: %v", err)
	}
	next, scratch, err := Demo(t.Context(), "", storagetest.Clock)
	if err != nil {
		t.Fatal(err)
	}
	defer next.Close()
	for path, want := range map[string]bool{left: false, young: true, other: true, openScratch: true, scratch: true} {
		if _, err := os.Stat(path); (err == nil) != want {
			t.Errorf("%s is there: %v", filepath.Base(path), err == nil)
		}
	}
}

func TestBackupsOfALedger(t *testing.T) {
	store, f := storagetest.Room(t)
	b := BackupsOf(store.Path(), "")
	if b.Folder != filepath.Join(filepath.Dir(store.Path()), "backups") || BackupsOf(store.Path(), "/elsewhere").Folder != "/elsewhere" {
		t.Errorf("backups go to %s", b.Folder)
	}
	if _, ok := b.Good(t.Context()); ok || !b.Due(f.Now) {
		t.Error("there is a backup before one is made")
	}
	var steps []words.Text
	make := func(at time.Time) {
		t.Helper()
		if err := b.Make(t.Context(), store, at, func(step words.Text) { steps = append(steps, step) }); err != nil {
			t.Fatal(err)
		}
	}
	make(f.Now)
	if b.Due(f.Now.Add(23*time.Hour)) || !b.Due(f.Now.Add(24*time.Hour)) || len(steps) < 2 {
		t.Errorf("due within the day, or not after it; said %v", steps)
	}
	save(t, store, f, 421)
	later := f.Now.Add(25 * time.Hour)
	make(later)
	newest, ok := b.Newest(later)
	if !ok || !newest.Taken.Equal(later) {
		t.Fatalf("the newest is of %v, %v", newest.Taken, ok)
	}
	if early, ok := b.Newest(f.Now.Add(time.Hour)); !ok || !early.Taken.Equal(f.Now) || !b.Due(f.Now.Add(-48*time.Hour)) {
		t.Errorf("a backup of the future counts: %v", early.Taken)
	}
	if err := os.WriteFile(newest.Path, []byte("broken"), 0o600); err != nil {
		t.Fatal(err)
	}
	if good, ok := b.Good(t.Context()); !ok || !good.Taken.Equal(f.Now) {
		t.Errorf("the good one is of %v, %v", good.Taken, ok)
	}
	ctx, end := context.WithCancel(t.Context())
	end()
	if err := b.Make(ctx, store, later.Add(time.Hour), func(words.Text) {}); !errors.Is(err, context.Canceled) {
		t.Errorf("made in a context that has ended: %v", err)
	}
}

func save(t *testing.T, store *storage.Store, f storagetest.Fixture, value float64) {
	t.Helper()
	_, err := store.SaveReadings(
		t.Context(),
		[]tanks.Reading{{System: f.Systems[0].ID, Analyte: chem.Calcium, Method: f.Methods[chem.Calcium].ID, At: f.Now, Value: value}},
	)
	if err != nil {
		t.Fatal(err)
	}
}

func TestSalvagedName(t *testing.T) {
	if got := SalvagedName("/a/Our room.ledger", storagetest.Now); got != "/a/Our room-salvaged-20260310-080200.ledger" {
		t.Errorf("%s", got)
	}
}

// The copy of a ledger whose file is gone lies among its backups, or beside its place, or
// where ledgers usually lie: in the first of them that there is.
func TestKeepACopy(t *testing.T) {
	for name, c := range map[string]struct {
		chosen string
		away   func(path string) error
		where  func(path string) string // a pattern
	}{
		"backups beside": {"", os.Remove, func(path string) string {
			return filepath.Join(filepath.Dir(path), "backups",
				"room-*.backup")
		}},
		"a chosen folder is not": {"/nowhere/backups", os.Remove,
			func(path string) string { return filepath.Join(filepath.Dir(path), "room-rescued-*.wkr") }},
		"all of its folder is not": {"", func(path string) error { return os.RemoveAll(filepath.Dir(path)) },
			func(string) string { return filepath.Join(Folder(), "room-rescued-*.wkr") }},
		"nor is the chosen one then": {"/nowhere/backups", func(path string) error { return os.RemoveAll(filepath.Dir(path)) },
			func(string) string { return filepath.Join(Folder(), "room-rescued-*.wkr") }},
	} {
		t.Run(name, func(t *testing.T) {
			home := xdg.DataHome
			xdg.DataHome = t.TempDir()
			t.Cleanup(func() { xdg.DataHome = home })
			store, f := storagetest.Room(t)
			save(t, store, f, 421)
			path := store.Path()
			b := BackupsOf(path, c.chosen)
			if err := c.away(path); err != nil {
				t.Fatal(err)
			}
			var made []string
			for range 2 { // within one second
				to, err := b.Keep(t.Context(), store, f.Now)
				if err != nil {
					t.Fatal(err)
				}
				if g, err := safekeeping.Look(t.Context(), to); err != nil || g.Readings != 1 {
					t.Errorf("the copy holds %+v, %v", g, err)
				}
				made = append(made, to)
			}
			there, err := filepath.Glob(c.where(path))
			slices.Sort(made)
			slices.Sort(there)
			if err != nil || !slices.Equal(there, made) || made[0] == made[1] {
				t.Errorf("made are %q, there are %q, %v", made, there, err)
			}
			if _, err := os.Stat(filepath.Dir(path)); name == "all of its folder is not" && err == nil {
				t.Error("its folder was made anew")
			}
			if _, err := store.Rescue(t.Context(), filepath.Join(t.TempDir(), "copy")); err != nil {
				t.Errorf("after it: %v", err)
			}
		})
	}
}
