package safekeeping_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/safekeeping"
	"weirkeeper/storage/storagetest"
	"weirkeeper/storage/storagetest/faults"
	"weirkeeper/tanks"
)

// bigRoom is a closed ledger with readings enough for some thousand pages, and
// the readings by their numbers.
func bigRoom(t *testing.T) (path string, all map[tanks.ReadingID]tanks.Reading) {
	t.Helper()
	s, f := storagetest.Room(t)
	var readings []tanks.Reading
	for n := range 12_000 {
		readings = append(readings, tanks.Reading{
			System: f.Systems[n%2].ID, Analyte: []chem.Analyte{chem.Calcium,
				chem.Magnesium}[n/2%2], At: f.Now.Add(-time.Duration(n) * time.Minute),
			Value: 1000 + float64(n%100), Typed: fmt.Sprint(n), Note: fmt.Sprintf("note %d, to take some room", n),
		})
	}
	for i := range readings {
		readings[i].Method = f.Methods[readings[i].Analyte].ID
		if readings[i].Analyte == chem.Calcium {
			readings[i].Value -= 600
		}
	}
	value[[]tanks.ReadingID](t)(s.SaveReadings(t.Context(), readings))
	all = map[tanks.ReadingID]tanks.Reading{}
	for _, system := range f.Systems {
		for _, r := range value[[]tanks.Reading](t)(s.ReadingsOf(t.Context(), system.ID, time.Time{}, time.Time{})) {
			all[r.ID] = r
		}
	}
	must(t, s.Close())
	return s.Path(), all
}

// Of a ledger with destroyed pages nearly everything is read, what is read is
// what was written, and the damaged file is not touched.
func TestSalvage(t *testing.T) {
	path, all := bigRoom(t)
	good := read(t, path)
	const page = 4096
	rng := rand.New(rand.NewPCG(3, 4))
	rounds := max(2, 6*faults.Rounds())
	for round := range rounds {
		data := append([]byte(nil), good...)
		const destroyed = 5
		for range destroyed {
			// The pages at the beginning hold the tables' descriptions.
			at := (len(data)/page/3 + rng.IntN(len(data)/page*2/3)) * page
			for i := range page {
				data[at+i] = byte(rng.Uint32()) * byte(round%2) // zeroed, or overwritten
			}
		}
		damaged := filepath.Join(t.TempDir(), "damaged.ledger")
		must(t, os.WriteFile(damaged, data, 0o444))
		to := filepath.Join(t.TempDir(), "salvaged.ledger")
		got, err := safekeeping.Salvage(t.Context(), damaged, to, storagetest.Now, nil)
		if err != nil {
			t.Errorf("round %d: %v", round, err)
			continue
		}
		same(t, string(read(t, damaged)) == string(data), true)
		r := value[ledgerfile.Report](t)(safekeeping.Check(t.Context(), to))
		s := value[*storage.Store](t)(storage.Open(t.Context(), to, storagetest.Clock))
		n := 0
		for _, system := range value[[]tanks.System](t)(s.Systems(t.Context())) {
			for _, reading := range value[[]tanks.Reading](t)(s.ReadingsOf(t.Context(), system.ID, time.Time{}, time.Time{})) {
				n++
				if reading != all[reading.ID] {
					t.Errorf("round %d: %+v was %+v", round, reading, all[reading.ID])
				}
			}
		}
		// A page holds some fifty readings; one that leads to others many more, but
		// those are found by their numbers.
		if !r.Sound() || n != got.Kept["readings"] || len(all)-n > destroyed*100 || got.Lost["readings"] < len(all)-n {
			t.Errorf("round %d: %d of %d readings, %+v, %q", round, n, len(all), got, r.Faults)
		}
		must(t, s.Close())
	}
}

// What refers to lost rows is kept: a lost system is invented with its number.
func TestSalvageMendsReferences(t *testing.T) {
	path, all := bigRoom(t)
	db := plain(t, path)
	for _, statement := range []string{"PRAGMA foreign_keys = OFF", "DELETE FROM systems WHERE id = 1", "DELETE FROM products WHERE id = 1",
		"DELETE FROM methods", "DELETE FROM room"} {
		_, err := db.Exec(statement)
		must(t, err)
	}
	must(t, db.Close())
	to := filepath.Join(t.TempDir(), "salvaged.ledger")
	var tables []string
	got := value[safekeeping.Salvaged](
		t,
	)(
		safekeeping.Salvage(t.Context(), path, to, storagetest.Now, func(table string) { tables = append(tables, table) }),
	)
	// Nothing of the account took them away: they are lost.
	same(t, got.Lost, map[string]int{"systems": 1, "products": 1, "methods": 3, "room": 1})
	if got.Kept["readings"] != len(all) || len(got.Invented) != 3 || len(tables) < 20 {
		t.Errorf("%+v, tables %q", got, tables)
	}
	r := value[ledgerfile.Report](t)(safekeeping.Check(t.Context(), to))
	if !r.Sound() {
		t.Error(r.Faults)
	}
	s := value[*storage.Store](t)(storage.Open(t.Context(), to, storagetest.Clock))
	defer s.Close()
	if one := value[tanks.System](t)(s.System(t.Context(), 1)); one.Code != "LOST1" {
		t.Errorf("%+v", one)
	}
	for _, r := range value[[]tanks.Reading](t)(s.ReadingsOf(t.Context(), 1, time.Time{}, time.Time{})) {
		if r.Method != 0 {
			t.Fatalf("%+v is by a method that is lost", r)
		}
	}
	if room := value[tanks.Room](t)(s.Room(t.Context())); room.Name != "Salvaged room" {
		t.Errorf("%+v", room)
	}
}

// A system whose code is that of an invented one keeps it, and nothing of the lost
// one goes.
func TestSalvageBesideASystemCalledLost(t *testing.T) {
	s, f := storagetest.Room(t)
	add(t, s, f, 5)
	other := f.Systems[1]
	other.Code = "lost1"
	must(t, s.SaveSystem(t.Context(), &other))
	must(t, s.Close())
	execute(t, s.Path(), "PRAGMA foreign_keys = OFF", "DELETE FROM systems WHERE id = 1")
	to := filepath.Join(t.TempDir(), "salvaged.ledger")
	got := value[safekeeping.Salvaged](t)(safekeeping.Salvage(t.Context(), s.Path(), to, storagetest.Now, nil))
	again := value[*storage.Store](t)(storage.Open(t.Context(), to, storagetest.Clock))
	defer again.Close()
	one, two := value[tanks.System](t)(again.System(t.Context(), 1)), value[tanks.System](t)(again.System(t.Context(), other.ID))
	if got.Kept["readings"] != 5 || one.Code != "LOST1?" || two.Code != "lost1" {
		t.Errorf("%+v, %q and %q", got, one.Code, two.Code)
	}
}

func TestSalvageRefuses(t *testing.T) {
	s, _ := storagetest.Room(t)
	to := filepath.Join(t.TempDir(), "to.ledger")
	var held *ledgerfile.HeldError
	if _, err := safekeeping.Salvage(t.Context(), s.Path(), to, storagetest.Now, nil); !errors.As(err, &held) {
		t.Errorf("of a ledger that is open: %v", err)
	}
	must(t, s.Close())
	must(t, os.WriteFile(to, []byte("mine"), 0o644))
	var refused *ledgerfile.OpenError
	if _, err := safekeeping.Salvage(t.Context(), s.Path(), to, storagetest.Now, nil); !errors.As(err, &refused) ||
		string(read(t, to)) != "mine" {
		t.Errorf("over a file: %v", err)
	}
	noise := filepath.Join(t.TempDir(), "noise")
	must(t, os.WriteFile(noise, []byte("noise"), 0o644))
	if _, err := safekeeping.Salvage(t.Context(), noise, to+"2", storagetest.Now, nil); !errors.As(err, &refused) {
		t.Errorf("of noise: %v", err)
	}
	if left := value[[]os.DirEntry](t)(os.ReadDir(filepath.Dir(to))); len(left) != 1 {
		t.Errorf("left behind: %v", left)
	}
}
