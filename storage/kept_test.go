package storage_test

import (
	"slices"
	"testing"

	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// Statements that are kept for all acts write the same as new ones, also when the
// values that they write differ, an act between was refused, and many kinds of act
// come and go.
func TestKeptStatements(t *testing.T) {
	s, f := storagetest.Room(t)
	s = own(s)
	for n := range 5 {
		reading := calcium(f, n+1, 400+float64(n))
		must(t, func() error { _, err := s.SaveReadings(t.Context(), []tanks.Reading{reading}); return err }())
		wrong := calcium(f, n+1, 401)
		wrong.Method = 9999
		if _, err := s.SaveReadings(t.Context(), []tanks.Reading{wrong}); err == nil {
			t.Fatal("a reading by a method that is not there is saved")
		}
		all := deeds(t, s, f)
		for i, name := range slices.Concat(firstDeeds, sortedNames(all)) {
			must(t, all[name](n*1000+i))
		}
		got := value[[]tanks.Reading](t)(s.ReadingsOf(t.Context(), f.Systems[0].ID, reading.At, reading.At.Add(1)))
		found := false
		for _, r := range got {
			found = found || r.Analyte == chem.Calcium && r.Value == 400+float64(n)
		}
		if !found {
			t.Errorf("the %d. reading is not in the ledger: %+v", n+1, got)
		}
	}
	must(t, s.Close())
	again := value[*storage.Store](t)(storage.Open(t.Context(), s.Path(), storagetest.Clock))
	must(t, again.Close())
}
