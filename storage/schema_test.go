package storage_test

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	sqlite3 "github.com/mattn/go-sqlite3"

	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

func TestLedgerIsWrittenSafely(t *testing.T) {
	s, _ := storagetest.Room(t)
	db := plain(t, s.Path())
	for pragma, want := range map[string]string{"journal_mode": "wal", "application_id": "1464158546", "user_version": "5"} {
		var got string
		must(t, db.QueryRow("PRAGMA "+pragma).Scan(&got))
		if got != want {
			t.Errorf("%s is %s, want %s", pragma, got, want)
		}
	}
}

// TestLedgerRefusesWhatPointsNowhere shows that foreign keys are on in the
// connection that writes.
func TestLedgerRefusesWhatPointsNowhere(t *testing.T) {
	s, f := storagetest.Room(t)
	r := calcium(f, 1, 420)
	r.System = 99
	_, err := s.SaveReadings(t.Context(), []tanks.Reading{r})
	var refused sqlite3.Error
	if !errors.As(err, &refused) || refused.ExtendedCode != sqlite3.ErrConstraintForeignKey {
		t.Errorf("got %v", err)
	}
}

// TestSchemaRefusesWhatCannotBe gives plain SQL values that no screen lets
// through.
func TestSchemaRefusesWhatCannotBe(t *testing.T) {
	s, f := storagetest.Room(t)
	committed(t, s, f)
	value[[]tanks.ReadingID](t)(s.SaveReadings(t.Context(), []tanks.Reading{calcium(f, 1, 420)}))
	db := plain(t, s.Path())
	for name, statement := range map[string]string{
		"negative stated volume":      "UPDATE systems SET stated = -1",
		"negative displacement":       "UPDATE tanks SET displaced = -1",
		"more displaced than is held": "UPDATE tanks SET displaced = 400",
		"infinite length":             "UPDATE tanks SET length = 9e999",
		"band upside down":            "UPDATE bands SET low = high + 1",
		"text for a value":            "UPDATE readings SET value = 'abc'",
		"infinite value":              "UPDATE readings SET value = 9e999",
		"no value":                    "UPDATE readings SET value = NULL",
		"third status":                "UPDATE readings SET status = 2",
		"second room":                 "INSERT INTO room (id, name, zone) VALUES (2, 'x', 'UTC')",
		"code in other case":          "UPDATE systems SET code = 'f2' WHERE code = 'F1'",
		"stock below zero":            "UPDATE products SET stock = -1",
		"dose of nothing":             "UPDATE doses SET amount = 0",
		"room above all":              "UPDATE room SET height = 4501",
		"room below the sea":          "UPDATE room SET height = -1",
		"constants of no set":         "UPDATE room SET constants = 5",
		"half purified":               "UPDATE systems SET purified = 2",
		"step below zero":             "UPDATE bands SET max_step = -1",
		"recipe of nothing":           "INSERT INTO water_recipes (name, litres) VALUES ('x', 0)",
		"recipe's name in other case": "INSERT INTO water_recipes (name, litres) VALUES ('x', 1), ('X', 1)",
		"air of less than nothing":    "INSERT INTO water_recipes (name, litres, air) VALUES ('x', 1, -1)",
		"caution above one":           "UPDATE plans SET caution = 1.1",
	} {
		if _, err := db.Exec(statement); err == nil {
			t.Errorf("%s was taken", name)
		}
	}
}

func TestCatalogueIsInTheLedger(t *testing.T) {
	s, _ := storagetest.Room(t)
	db := plain(t, s.Path())
	for _, info := range chem.Catalogue() {
		var key string
		must(t, db.QueryRow("SELECT key FROM analytes WHERE id = ?", int(info.Analyte)).Scan(&key))
		if key != info.Key {
			t.Errorf("analyte %d is %q, want %q", info.Analyte, key, info.Key)
		}
	}
}

func TestReadsTellThatTheyWereStopped(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx, stop := context.WithCancel(t.Context())
	stop()
	id, open := f.Systems[0].ID, time.Time{}
	for name, read := range map[string]func() error{
		"room":          func() error { _, err := s.Room(ctx); return err },
		"systems":       func() error { _, err := s.Systems(ctx); return err },
		"system":        func() error { _, err := s.System(ctx, id); return err },
		"profiles":      func() error { _, err := s.Profiles(ctx); return err },
		"own bands":     func() error { _, err := s.OwnBands(ctx, id); return err },
		"all bands":     func() error { _, err := s.AllBands(ctx); return err },
		"methods":       func() error { _, err := s.Methods(ctx); return err },
		"people":        func() error { _, err := s.People(ctx); return err },
		"recipes":       func() error { _, err := s.WaterRecipes(ctx); return err },
		"products":      func() error { _, err := s.Products(ctx); return err },
		"latest":        func() error { _, err := s.Latest(ctx); return err },
		"check":         func() error { _, err := s.CheckLatest(ctx); return err },
		"series":        func() error { _, err := s.Series(ctx, id, chem.Calcium, open, open); return err },
		"readings":      func() error { _, err := s.ReadingsOf(ctx, id, open, open); return err },
		"results":       func() error { _, err := s.ReadingsOfSample(ctx, 1); return err },
		"amendments":    func() error { _, err := s.Amendments(ctx, id); return err },
		"samples":       func() error { _, err := s.Samples(ctx); return err },
		"additions":     func() error { _, err := s.Additions(ctx, id, open, open); return err },
		"water changes": func() error { _, err := s.WaterChanges(ctx, id, open, open); return err },
		"notes":         func() error { _, err := s.Observations(ctx, id, open, open); return err },
		"plans":         func() error { _, err := s.Plans(ctx); return err },
		"run sheet":     func() error { _, err := s.RunItems(ctx, open, f.Now); return err },
		"tasks":         func() error { _, err := s.Tasks(ctx); return err },
		"completions":   func() error { _, err := s.LatestCompletions(ctx); return err },
		"draft":         func() error { _, err := s.Draft(ctx, "x"); return err },
		"preview": func() error {
			_, err := s.PreviewCSV(ctx, strings.NewReader(head), storage.CSVOptions{})
			return err
		},
	} {
		if err := read(); !errors.Is(err, context.Canceled) {
			t.Errorf("%s: got %v", name, err)
		}
	}
}
