package storage_test

import (
	"path/filepath"
	"slices"
	"testing"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage/csvread"
	"weirkeeper/storage/safekeeping"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
	"weirkeeper/tasks"
)

// Every text that can be typed comes back as it was typed, from the ledger, from
// an export, from a backup and after an undo and a redo.
func TestAwkwardTexts(t *testing.T) {
	for _, text := range awkward {
		s, f := storagetest.Room(t)
		ctx, one := t.Context(), f.Systems[0].ID
		s = own(s)
		must(t, s.SaveRoom(ctx, tanks.Room{Name: text, Zone: "UTC", Note: text}))
		system := f.Systems[0]
		system.Name, system.Place, system.Note, system.Tanks[0].Name = text, text, text, text
		must(t, s.SaveSystem(ctx, &system))
		method := f.Methods[chem.Calcium]
		method.Name, method.Note = text, text
		must(t, s.SaveMethod(ctx, &method))
		product := f.Products["calcium"]
		product.Name, product.Caution = text, text
		must(t, s.SaveProduct(ctx, &product))
		profile := tanks.Profile{Name: text, Kind: tanks.Marine, Source: text}
		must(t, s.SaveProfile(ctx, &profile))
		r := calcium(f, 1, 420)
		r.Person, r.Note = text, text
		value[[]tanks.ReadingID](t)(s.SaveReadings(ctx, []tanks.Reading{r}))
		must(t, s.SaveSample(ctx, &tanks.Sample{System: one, Code: text, Lab: text, Drawn: f.Now, Note: text}))
		must(t, s.SaveAddition(ctx, &tanks.Addition{System: one, Product: product.ID, At: f.Now, Amount: 1, Person: text, Note: text}))
		must(t, s.SaveWaterChange(ctx, &tanks.WaterChange{System: one, At: f.Now, Litres: 1, Share: 0.1, Person: text, Note: text}))
		must(t, s.SaveObservation(ctx, &tanks.Observation{System: one, At: f.Now, Text: text, Person: text}))
		must(t, s.SaveTask(ctx, &tasks.Task{System: one, Title: text, Every: 1, Start: f.Now, Note: text}))
		must(t, s.Complete(ctx, &tasks.Completion{Task: 1, System: one, At: f.Now, Outcome: tasks.Skipped, Reason: text, Person: text}))
		must(t, s.SaveLot(ctx, &tanks.Lot{System: one, Species: text, Name: text, Place: text, Watch: text, Note: text}))
		must(t, s.SavePump(ctx, &tanks.Pump{Name: text, Place: text, Note: text, Heads: []tanks.Head{{Number: 1, Name: text}}}))
		must(t, s.SaveCorrection(ctx, &tanks.Correction{Method: method.ID, From: f.Now, Factor: 1, Reason: text, Person: text}))
		must(t, s.SaveStandardCheck(ctx, &tanks.StandardCheck{Method: method.ID, At: f.Now, Standard: text, Person: text, Note: text}))
		must(t, s.SaveColumnMap(ctx, &csvread.ColumnMap{Name: text, System: text}))

		got := value[tanks.System](t)(s.System(ctx, one))
		if got.Name != text || got.Note != text || got.Tanks[0].Name != text {
			t.Errorf("%q came back as %+v", text, got)
		}
		notes := value[[]tanks.Observation](t)(s.Observations(ctx, one, time.Time{}, time.Time{}))
		if len(notes) != 1 || notes[0].Text != text {
			t.Errorf("%q came back as %+v", text, notes)
		}
		db := plain(t, s.Path())
		before := contents(t, db)
		if n := len(before); n < 40 {
			t.Fatalf("only %d rows", n)
		}
		undone := 0
		for ; ; undone++ {
			if _, err := s.Undo(ctx, "AB"); err != nil {
				break
			}
		}
		for range undone {
			value[words.Text](t)(s.Redo(ctx, "AB"))
		}
		if now := contents(t, db); undone != 17 || !slices.Equal(now, before) {
			t.Errorf("%q after %d undone and put back:\n%s", text, undone, difference(now, before))
		}
		export := filepath.Join(t.TempDir(), "export")
		must(t, safekeeping.ExportAll(ctx, s, export, storagetest.Now, nil))
		imported := export + ".ledger"
		must(t, safekeeping.ImportAll(ctx, export, imported, nil))
		other := plain(t, imported)
		if now := contents(t, other); !slices.Equal(now, before) {
			t.Errorf("%q after export and import:\n%s", text, difference(now, before))
		}
		must(t, other.Close())
		must(t, db.Close())
		must(t, s.Close())
	}
}
