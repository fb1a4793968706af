package storage_test

import (
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"gorm.io/gorm"

	"weirkeeper/storage"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/safekeeping"
	"weirkeeper/storage/storagetest"
	"weirkeeper/storage/versions"
)

// versioned reads of each row that the last action wrote, by table and number, how
// it was written.
func lastVersions(t *testing.T, db *sql.DB) map[string]bool {
	t.Helper()
	rows, err := db.Query("SELECT entity, first, last FROM versions WHERE action_id = (SELECT max(id) FROM actions)")
	must(t, err)
	defer rows.Close()
	all := map[string]bool{}
	for rows.Next() {
		var table string
		var first, last int64
		must(t, rows.Scan(&table, &first, &last))
		for n := first; n <= last; n++ {
			all[fmt.Sprint(table, " ", n)] = true
		}
	}
	must(t, rows.Err())
	return all
}

// rowsByNumber returns every row that a version must be kept of, by table and
// number.
func rowsByNumber(t *testing.T, db *sql.DB) map[string][]string {
	t.Helper()
	all := map[string][]string{}
	for _, table := range tableNames(t, db) {
		if slices.Contains([]string{"actions", "versions", "row_sums", "latest", "analytes", "sqlite_sequence"}, table) {
			continue
		}
		rows, err := db.Query("SELECT * FROM " + table)
		must(t, err)
		columns, err := rows.Columns()
		must(t, err)
		for rows.Next() {
			values, into := make([]any, len(columns)), make([]any, len(columns))
			for i := range values {
				into[i] = &values[i]
			}
			must(t, rows.Scan(into...))
			row := fmt.Sprint(table, " ", values[0])
			all[row] = append(all[row], fmt.Sprintf("%#v", values))
		}
		must(t, rows.Close())
	}
	return all
}

// Every row that an action of any kind writes, changes or removes has its version,
// and nothing else has one.
func TestEveryRowThatIsWrittenHasItsVersion(t *testing.T) {
	s, f := storagetest.Room(t)
	s = own(s)
	db := plain(t, s.Path())
	everything(t, s, f)
	all := deeds(t, s, f)
	names := slices.Concat(firstDeeds, sortedNames(all))
	for n, name := range names {
		before := rowsByNumber(t, db)
		must(t, all[name](n+1000))
		after, said := rowsByNumber(t, db), lastVersions(t, db)
		for row, values := range after {
			if !slices.Equal(values, before[row]) && !said[row] {
				t.Errorf("%s wrote %s without a version", name, row)
			}
		}
		for row, values := range before {
			if len(after[row]) == 0 && !said[row] {
				t.Errorf("%s removed %s without a version", name, row)
			}
			if slices.Equal(values, after[row]) && said[row] {
				t.Errorf("%s has a version of %s, which it did not write", name, row)
			}
		}
	}
}

func sortedNames(all map[string]func(int) error) []string {
	var names []string
	for name := range all {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

// An action that writes past its own methods, by GORM or by plain SQL, fails and
// writes nothing.
func TestWritesWithoutVersionsAreRefused(t *testing.T) {
	s, f := storagetest.Room(t)
	db := plain(t, s.Path())
	before := contents(t, db)
	type person struct {
		ID       int64
		Initials string
	}
	for name, write := range map[string]func(tx *gorm.DB) error{
		"exec":   func(tx *gorm.DB) error { return tx.Exec("UPDATE people SET name = 'x'").Error },
		"create": func(tx *gorm.DB) error { return tx.Table("people").Create(&person{Initials: "x"}).Error },
		"update": func(tx *gorm.DB) error { return tx.Table("systems").Where("id = ?", 1).Update("name", "x").Error },
		"delete": func(tx *gorm.DB) error { return tx.Exec("DELETE FROM tanks").Error },
		"returning": func(tx *gorm.DB) error {
			return tx.Raw("UPDATE systems SET name = 'x' RETURNING id").Scan(new(int64)).Error
		},
		"row": func(tx *gorm.DB) error {
			return tx.Raw("INSERT INTO people (initials) VALUES ('x') RETURNING id").Row().Scan(new(int64))
		},
		"prepared": func(tx *gorm.DB) error {
			_, err := tx.Statement.ConnPool.PrepareContext(t.Context(), "DELETE FROM tanks")
			return err
		},
	} {
		err := s.Reading(t.Context(), write)
		if !errors.Is(err, storage.ErrUnversioned) && !errors.Is(err, sql.ErrNoRows) {
			t.Errorf("%s gave %v", name, err)
		}
		if got := contents(t, db); difference(got, before) != "" {
			t.Fatalf("%s wrote %s", name, difference(got, before))
		}
	}
	var code string
	read := func(tx *gorm.DB) error {
		return tx.Raw("SELECT code FROM systems WHERE id = ?", int64(f.Systems[0].ID)).Row().Scan(&code)
	}
	if err := s.Reading(t.Context(), read); err != nil || code != "F1" {
		t.Errorf("reading gave %q, %v", code, err)
	}
}

// No table is forgotten: there is an action that fills it, its rows have versions
// and sums, so that a changed value is found and named, and an export, an import and
// a salvage keep it.
func TestEveryTableIsKept(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	s = own(s)
	everything(t, s, f)
	must(t, s.SaveDraft(ctx, "sheet", []byte("typed")))
	folder := filepath.Join(t.TempDir(), "export")
	must(t, safekeeping.ExportAll(ctx, s, folder, f.Now, nil))
	path := s.Path()
	must(t, s.Close())
	if r := value[ledgerfile.Report](t)(safekeeping.Check(ctx, path)); !r.Sound() {
		t.Fatal(r.Faults)
	}
	db := plain(t, path)
	for _, table := range tableNames(t, db) {
		if table == "sqlite_sequence" {
			continue
		}
		t.Run(table, func(t *testing.T) {
			if value[int](t)(count(db, table)) == 0 {
				t.Fatal("no action fills it")
			}
			if _, err := os.Stat(filepath.Join(folder, table+".csv")); err != nil && table != "latest" {
				t.Errorf("it is not exported: %v", err)
			}
			_, told := storage.Kinds[table]
			if account := slices.Contains([]string{"actions", "versions", "row_sums", "amendments", "latest", "analytes"},
				table); told == account {
				t.Errorf("listeners are told of it: %v", told)
			}
			if !slices.Contains([]string{"latest", "analytes"}, table) {
				changeIsFound(t, path, table)
			}
		})
	}
	for name, make := range map[string]func(string) error{
		"import":  func(to string) error { return safekeeping.ImportAll(ctx, folder, to, nil) },
		"salvage": func(to string) error { _, err := safekeeping.Salvage(ctx, path, to, f.Now, nil); return err },
	} {
		again := filepath.Join(t.TempDir(), name)
		must(t, make(again))
		if got := contents(t, plain(t, again)); difference(got, contents(t, db)) != "" {
			t.Errorf("after %s: %s", name, difference(got, contents(t, db)))
		}
	}
}

func count(db *sql.DB, table string) (n int, err error) {
	err = db.QueryRow("SELECT count(*) FROM " + table).Scan(&n)
	return n, err
}

// changeIsFound changes one value of each column in turn, as a fault of a disk
// might, and expects a check to say in which table.
func changeIsFound(t *testing.T, path, table string) {
	t.Helper()
	db := plain(t, path)
	db.SetMaxOpenConns(1)
	defer db.Close() // an open transaction would lock the next one out
	columns := value[[]ledgerfile.Column](t)(ledgerfile.Columns(t.Context(), db, table))
	for _, pragma := range []string{"PRAGMA ignore_check_constraints = 1", "PRAGMA foreign_keys = 0"} {
		_, err := db.Exec(pragma)
		must(t, err)
	}
	want := table
	if slices.Contains([]string{"actions", "versions", "row_sums"}, table) {
		want = "the account of"
	}
	key := ledgerfile.Quoted(ledgerfile.KeyOf(columns))
	order := strings.ReplaceAll(key, ",", " DESC,") + " DESC"
	last := fmt.Sprintf("(%[1]s) = (SELECT %[1]s FROM %[2]s ORDER BY %[3]s LIMIT 1)", key, table, order)
	for _, c := range columns {
		tx := value[*sql.Tx](t)(db.Begin())
		to := map[string]string{"INTEGER": "ifnull(%s, 0) + 1", "REAL": "%s + 0.125", "TEXT": "ifnull(%s, '') || 'x'",
			"BLOB": "cast(substr(%s, 2) || x'01' AS BLOB)"}[c.Kind]
		_, err := tx.Exec(fmt.Sprintf("UPDATE %s SET %s = %s WHERE %s", table, c.Name, fmt.Sprintf(to, c.Name), last))
		must(t, err)
		faults := value[[]string](t)(versions.Check(t.Context(), tx))
		must(t, tx.Rollback())
		if !slices.ContainsFunc(faults, func(f string) bool { return strings.Contains(f, want) }) {
			t.Errorf("%s changed: found %v", c.Name, faults)
		}
	}
}
