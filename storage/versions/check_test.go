package versions_test

import (
	"database/sql"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/storage/storagetest/faults"
	"weirkeeper/storage/versions"
	"weirkeeper/tanks"
)

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// history is a ledger whose readings 1 to 3 came together, of which the second was
// corrected; the fourth was taken back and put back; the fifth was taken back, and
// its number given again; 6 to 8 were imported, withdrawn and counted again, the
// last of them corrected and that taken back before; an addition was withdrawn.
func history(t *testing.T) *storage.Store {
	t.Helper()
	s, f := storagetest.Room(t)
	ctx, one := t.Context(), f.Systems[0].ID
	reading := func(hours int, value float64) tanks.Reading {
		return tanks.Reading{System: one, Analyte: chem.Calcium, At: f.Now.Add(-time.Duration(hours) * time.Hour), Value: value}
	}
	save := func(all ...tanks.Reading) {
		t.Helper()
		_, err := s.SaveReadings(ctx, all)
		must(t, err)
	}
	undo := func() {
		t.Helper()
		_, err := s.Undo(ctx, "")
		must(t, err)
	}
	redo := func() {
		t.Helper()
		_, err := s.Redo(ctx, "")
		must(t, err)
	}
	save(reading(9, 401), reading(8, 402), reading(7, 403))
	must(t, s.AmendReading(ctx, 2, reading(8, 412), "slip", "AB"))
	save(reading(6, 404))
	undo()
	redo()
	save(reading(5, 999))
	undo()
	save(reading(5, 405))
	const head = "time,system,analyte,value,unit\n"
	file := strings.NewReader(head + "2026-02-01 08:00,F1,Ca,406,mg/L\n2026-02-02 08:00,F1,Ca,407,mg/L\n2026-02-03 08:00,F1,Ca,408,mg/L\n")
	_, err := s.ImportCSV(ctx, file, storage.CSVOptions{})
	must(t, err)
	must(t, s.AmendReading(ctx, 8, reading(400, 418), "slip", "AB"))
	undo()
	undo()
	redo()
	must(t, s.SaveAddition(ctx, &tanks.Addition{System: one, Product: f.Products["calcium"].ID, At: f.Now, Amount: 5}))
	must(t, s.WithdrawAddition(ctx, 1, "not given", "AB"))
	return s
}

// disagreeing are the faults of tables whose rows are as their versions say, and
// whose sums are not.
func disagreeing(tables ...string) (faults []string) {
	for _, t := range tables {
		faults = append(faults, "the account of "+t+" does not agree with itself")
	}
	return faults
}

// What was changed behind the program's back is found and named, as closely as the
// versions allow.
func TestFaultsAreNamed(t *testing.T) {
	s := history(t)
	db := faults.Plain(t, s.Path())
	db.SetMaxOpenConns(1)
	_, err := db.Exec("PRAGMA foreign_keys = 0")
	must(t, err)
	if got, err := versions.Check(t.Context(), db); len(got) != 0 || err != nil {
		t.Fatalf("a sound ledger has %v, %v", got, err)
	}
	changed := func(n int, when string) string {
		return fmt.Sprintf("readings row %d (F1, calcium, 2026-%s UTC) has changed", n, when)
	}
	for name, c := range map[string]struct {
		statement string
		want      []string
	}{
		"a value of one that came": {"UPDATE readings SET value = value + 1 WHERE id = 1", []string{changed(1, "03-09 23:02")}},
		"the last bit of a value":  {"UPDATE readings SET value = 412.00000000000006 WHERE id = 2", []string{changed(2, "03-10 00:02")}},
		"a corrected one is gone": {"DELETE FROM readings WHERE id = 2",
			[]string{"readings row 2 (2026-03-10 08:02 UTC: correcting the reading) is gone"}},
		"one put back":         {"UPDATE readings SET note = 'x' WHERE id = 4", []string{changed(4, "03-10 02:02")}},
		"a number given again": {"UPDATE readings SET person = 'x' WHERE id = 5", []string{changed(5, "03-10 03:02")}},
		"an imported one":      {"UPDATE readings SET status = 1 WHERE id = 7", []string{changed(7, "02-02 08:00")}},
		"an imported one is gone": {"DELETE FROM readings WHERE id = 8",
			[]string{"readings row 8 (2026-03-10 08:02 UTC: putting back: importing readings) is gone"}},
		"one more": {
			"INSERT INTO readings (system_id, analyte_id, taken_at, value, entered_at) VALUES (1, 5, 1, 1, 1)",
			[]string{"readings row 9 (F1, calcium, 1970-01-01 00:00 UTC) is in no account"}},
		"two that change places": {
			"UPDATE readings SET value = CASE id WHEN 1 THEN 403 ELSE 401 END WHERE id IN (1, 3)",
			[]string{changed(1, "03-09 23:02"), changed(3, "03-10 01:02")}},
		"two tables": {
			"UPDATE readings SET value = 1 WHERE id IN (2, 4)",
			[]string{changed(2, "03-10 00:02"), changed(4, "03-10 02:02")}},
		"a row that belongs to one": {
			"UPDATE addition_changes SET change = change + 1 WHERE analyte_id = 5",
			[]string{"addition_changes row 1 (hardness) has changed"}},
		"all rows of a table": {"DELETE FROM addition_changes",
			[]string{"addition_changes row 1 (2026-03-10 08:02 UTC: saving the addition) is gone"}},
		"who acted": {
			"UPDATE actions SET person = 'x' WHERE id = 12",
			[]string{"the account of action 12 (2026-03-10 08:02 UTC) has changed"}},
		"what a version says": {
			"UPDATE versions SET before = replace(before, '402', '403') WHERE before LIKE '%402%'",
			[]string{"the account of action 12 (2026-03-10 08:02 UTC) has changed"}},
		"a sum of a single row": {
			"UPDATE row_sums SET sums = zeroblob(24) WHERE first = 1 AND length(sums) = 24",
			[]string{"in the account of action 11: the sums of the single rows 1 to 3 of readings have changed"}},
		"sums of nothing": {
			"UPDATE row_sums SET place = 9 WHERE first = 6 AND action_id = (SELECT min(action_id) FROM row_sums WHERE first = 6)",
			nil},
		"an action is gone": {"DELETE FROM actions WHERE id = 13; DELETE FROM versions WHERE action_id = 13", nil},
		"the newest action is gone": {
			"DELETE FROM actions WHERE id = (SELECT max(id) FROM actions)",
			slices.Concat([]string{"the account of action 25 is gone, its versions are not"},
				disagreeing("additions", "amendments", "products", "stock_movements"))},
	} {
		t.Run(name, func(t *testing.T) {
			tx, err := db.Begin()
			must(t, err)
			defer tx.Rollback()
			_, err = tx.Exec(c.statement)
			must(t, err)
			got, err := versions.Check(t.Context(), tx)
			must(t, err)
			if len(got) == 0 || c.want != nil && !slices.Equal(got, c.want) {
				t.Errorf("found %q", got)
			}
		})
	}
}

// A baseline states what there is, faults included: what comes later is found.
func TestBaseline(t *testing.T) {
	s := history(t)
	db := faults.Plain(t, s.Path())
	db.SetMaxOpenConns(1)
	exec := func(tx *sql.Tx, statement string) {
		t.Helper()
		_, err := tx.Exec(statement)
		must(t, err)
	}
	tx, err := db.Begin()
	must(t, err)
	defer tx.Rollback()
	exec(tx, "UPDATE readings SET value = 1 WHERE id = 2")
	exec(tx, "DELETE FROM stock_movements")
	exec(tx,
		"INSERT INTO stock_movements (id, product_id, kind, moved_at, change, left_over) VALUES (1, 1, 1, 0, 1, 1), (9, 1, 1, 0, 1, 2), "+
			"(18, 1, 1, 0, 1, 3)")
	must(t, versions.Baseline(t.Context(), tx, "salvaging the ledger", storagetest.Now))
	if got, err := versions.Check(t.Context(), tx); len(got) != 0 || err != nil {
		t.Errorf("after a baseline: %v, %v", got, err)
	}
	// Rows of numbers that are near each other are stated together.
	var spans string
	must(t,
		tx.QueryRow("SELECT group_concat(first || ' to ' || last, ', ') FROM versions WHERE entity = 'stock_movements' AND change = 7").Scan(&spans))
	if spans != "1 to 9, 18 to 18" {
		t.Errorf("the baseline states %s", spans)
	}
	for statement, want := range map[string]string{
		"UPDATE readings SET value = 2 WHERE id = 2":              "readings row 2 (F1, calcium, 2026-03-10 00:02 UTC) has changed",
		"UPDATE actions SET doing = 'x' WHERE id = 12":            "actions row 12 (2026-03-10 08:02 UTC) has changed",
		"UPDATE versions SET hash_after = 1 WHERE action_id = 12": "versions row 12 has changed",
	} {
		exec(tx, "SAVEPOINT sound")
		exec(tx, statement)
		if got, err := versions.Check(t.Context(), tx); !slices.Contains(got, want) || err != nil {
			t.Errorf("%s: %q, %v", statement, got, err)
		}
		exec(tx, "ROLLBACK TO sound")
	}
}

// A row that was withdrawn with an import is named as any other.
func TestFaultsAmongWithdrawnRowsAreNamed(t *testing.T) {
	s := history(t)
	_, err := s.ImportCSV(t.Context(),
		strings.NewReader("time,system,analyte,value,unit\n2026-01-01 08:00,F1,Ca,401,mg/L\n2026-01-02 08:00,F1,Ca,402,mg/L\n"),
		storage.CSVOptions{})
	must(t, err)
	_, err = s.Undo(t.Context(), "")
	must(t, err)
	db := faults.Plain(t, s.Path())
	if got, err := versions.Check(t.Context(), db); len(got) != 0 || err != nil {
		t.Fatalf("a sound ledger has %v, %v", got, err)
	}
	_, err = db.Exec("UPDATE readings SET note = 'x' WHERE id = (SELECT max(id) FROM readings)")
	must(t, err)
	got, err := versions.Check(t.Context(), db)
	if want := []string{"readings row 10 (F1, calcium, 2026-01-02 08:00 UTC) has changed"}; err != nil || !slices.Equal(got, want) {
		t.Errorf("found %q, %v", got, err)
	}
}
