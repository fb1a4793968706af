package safekeeping_test

import (
	"os"
	"reflect"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/storage/storagetest/faults"
	"weirkeeper/tanks"
)

const day = 24 * time.Hour

var (
	plain   = faults.Plain
	execute = faults.Execute
)

func TestMain(m *testing.M) {
	faults.Main(m, map[string]func(path string){storagetest.SaveForEver: storagetest.SaveUntilKilled})
}

// same fails the test when two values differ in anything.
func same(t *testing.T, got, want any) {
	t.Helper()
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
}

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// value returns what a read gave, and fails the test on its error.
func value[T any](t testing.TB) func(T, error) T {
	return func(v T, err error) T {
		t.Helper()
		must(t, err)
		return v
	}
}

func read(t *testing.T, path string) []byte {
	t.Helper()
	return value[[]byte](t)(os.ReadFile(path))
}

// filled is a ledger with n readings of calcium.
func filled(t *testing.T, n int) (*storage.Store, storagetest.Fixture) {
	t.Helper()
	store, f := storagetest.Room(t)
	add(t, store, f, n)
	return store, f
}

func add(t testing.TB, store *storage.Store, f storagetest.Fixture, n int) {
	t.Helper()
	var all []tanks.Reading
	for i := range n {
		all = append(
			all,
			tanks.Reading{
				System:  f.Systems[0].ID,
				Analyte: chem.Calcium,
				At:      f.Now.Add(-time.Duration(i) * time.Hour),
				Value:   400 + float64(i),
			},
		)
	}
	if _, err := store.SaveReadings(t.Context(), all); err != nil {
		t.Fatal(err)
	}
}
