package safekeeping_test

import (
	"crypto/sha256"
	"encoding/csv"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"weirkeeper/storage"
	"weirkeeper/storage/demoroom"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/safekeeping"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// dump lists every row of every table as text, the newest readings too.
func dump(t *testing.T, path string) []string {
	t.Helper()
	db := plain(t, path)
	defer db.Close()
	var tables []string
	rows, err := db.Query("SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name")
	must(t, err)
	for rows.Next() {
		var name string
		must(t, rows.Scan(&name))
		tables = append(tables, name)
	}
	must(t, rows.Close())
	var out []string
	for _, table := range tables {
		rows, err := db.Query(`SELECT * FROM "` + table + `" ORDER BY 1, 2`)
		must(t, err)
		columns, err := rows.Columns()
		must(t, err)
		for rows.Next() {
			values, into := make([]any, len(columns)), make([]any, len(columns))
			for i := range values {
				into[i] = &values[i]
			}
			must(t, rows.Scan(into...))
			out = append(out, fmt.Sprintf("%s %#v", table, values))
		}
		must(t, rows.Close())
	}
	return out
}

// The whole demo room goes out to CSV and comes back the same, row for row.
func TestExportAllAndBack(t *testing.T) {
	path := filepath.Join(t.TempDir(), "demo.ledger")
	store, err := demoroom.Create(t.Context(), path, storagetest.Clock, 20)
	must(t, err)
	must(t, store.SaveDraft(t.Context(), "x", []byte{0, 1, 255}))
	folder := filepath.Join(t.TempDir(), "out")
	var steps []string
	must(t, safekeeping.ExportAll(t.Context(), store, folder, storagetest.Now, func(table string) { steps = append(steps, table) }))
	must(t, store.Close())
	if !slices.Contains(steps, "readings") || slices.Contains(steps, "latest") {
		t.Errorf("the steps are %v", steps)
	}
	again := filepath.Join(t.TempDir(), "again.ledger")
	must(t, safekeeping.ImportAll(t.Context(), folder, again, nil))
	want, got := dump(t, path), dump(t, again)
	if len(want) < 20000 || !slices.Equal(want, got) {
		for i := range want {
			if i >= len(got) || want[i] != got[i] {
				t.Fatalf("row %d of %d is\n%s, want\n%s", i, len(want), got[min(i, len(got)-1)], want[i])
			}
		}
		t.Fatalf("%d rows came back of %d", len(got), len(want))
	}
	next, err := storage.Open(t.Context(), again, storagetest.Clock)
	must(t, err)
	defer next.Close()
	if wrong, err := next.CheckLatest(t.Context()); wrong != 0 || err != nil {
		t.Errorf("%d of the newest are wrong, %v", wrong, err)
	}
}

var hostile = []string{
	"", "'", "''", "=1+1", "+41", "-5", "@x", "\ttab", "json:\"x\"", "a\r\nb", "\r", "line\nline", `"quoted", and comma`, ";=1", " =1", "\u200b=1",
	"\u202eright to left", "fish 🐠 and émoji", "\ufeffmark", " space ", `\`, "'=1",
}

// No text is lost or changed, and no cell is run by a spreadsheet.
func TestHostileText(t *testing.T) {
	store, f := storagetest.Room(t)
	for i, text := range hostile {
		o := tanks.Observation{System: f.Systems[0].ID, At: f.Now, Text: "x" + text}
		if _, ok := tanks.CheckName("person", text); ok {
			o.Person = text
		}
		if err := store.SaveObservation(t.Context(), &o); err != nil {
			t.Fatalf("text %d: %v", i, err)
		}
	}
	for i, text := range hostile {
		must(
			t,
			store.SaveSystem(
				t.Context(),
				&tanks.System{Code: fmt.Sprintf("H%d", i), Name: "Hostile", Kind: tanks.Marine, Note: text},
			),
		)
	}
	path := store.Path()
	folder := filepath.Join(t.TempDir(), "out")
	must(t, safekeeping.ExportAll(t.Context(), store, folder, storagetest.Now, nil))
	must(t, store.Close())
	file, err := os.Open(filepath.Join(folder, "observations.csv"))
	must(t, err)
	defer file.Close()
	lines, err := csv.NewReader(file).ReadAll()
	must(t, err)
	if len(lines) != len(hostile)+1 {
		t.Errorf("%d lines for %d notes", len(lines), len(hostile))
	}
	systems, err := os.Open(filepath.Join(folder, "systems.csv"))
	must(t, err)
	defer systems.Close()
	more, err := csv.NewReader(systems).ReadAll()
	must(t, err)
	lines = append(lines, more...)
	for _, line := range lines {
		for _, cell := range line {
			if cell != "" && strings.ContainsAny(cell[:1], "=+-@\t") && strings.Trim(cell, "-0123456789.e") != "" {
				t.Errorf("a spreadsheet would run %q", cell)
			}
		}
	}
	again := filepath.Join(t.TempDir(), "again.ledger")
	must(t, safekeeping.ImportAll(t.Context(), folder, again, nil))
	if want, got := dump(t, path), dump(t, again); !slices.Equal(want, got) {
		t.Errorf("came back\n%s, want\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

func TestBadExports(t *testing.T) {
	store, f := filled(t, 3)
	good := filepath.Join(t.TempDir(), "good")
	must(t, safekeeping.ExportAll(t.Context(), store, good, storagetest.Now, nil))
	if err := safekeeping.ExportAll(t.Context(), store, good, storagetest.Now, nil); err == nil ||
		!strings.Contains(err.Error(), "is not empty") {
		t.Errorf("a full folder gave %v", err)
	}
	change := func(name, from, to string) string {
		folder := t.TempDir()
		must(t, os.CopyFS(folder, os.DirFS(good)))
		path := filepath.Join(folder, name)
		data := string(read(t, path))
		if !strings.Contains(data, from) {
			t.Fatalf("%s holds no %q", name, from)
		}
		must(t, os.WriteFile(path, []byte(strings.Replace(data, from, to, 1)), 0o644))
		return folder
	}
	// proud is an export whose sums are those of its changed files.
	proud := func(folder string) string {
		path := filepath.Join(folder, "ledger.json")
		var about map[string]any
		must(t, json.Unmarshal(read(t, path), &about))
		for name := range about["files"].(map[string]any) {
			sum := sha256.Sum256(read(t, filepath.Join(folder, name)))
			about["files"].(map[string]any)[name] = hex.EncodeToString(sum[:])
		}
		must(t, os.WriteFile(path, value[[]byte](t)(json.Marshal(about)), 0o644))
		return folder
	}
	missing := t.TempDir()
	must(t, os.CopyFS(missing, os.DirFS(good)))
	must(t, os.Remove(filepath.Join(missing, "readings.csv")))
	taken := fmt.Sprint(f.Now.UnixMilli())
	for name, c := range map[string]struct{ folder, says string }{
		"no export": {t.TempDir(), "holds no export"},
		"another version": {change("ledger.json", fmt.Sprintf(`"version": %d`, value[int](t)(ledgerfile.Newest())), `"version": 99`),
			"use the newer program"},
		"no JSON":           {change("ledger.json", "{", "("), "not understood"},
		"a file is missing": {missing, "readings.csv"},
		"other columns":     {proud(change("readings.csv", "system_id", "system")), "they must be"},
		"a changed file":    {change("readings.csv", ",401,", ",402,"), "readings.csv has changed since it was exported"},
		"another page":      {change("README.txt", "A whole", "Another"), "README.txt has changed"},
		"a changed value": {proud(change("readings.csv", ",401,", ",402,")),
			"readings row 2 (F1, calcium, 2026-03-10 07:02 UTC) has changed"},
		"no number": {proud(change("readings.csv", ",401,", ",4o1,")), `"4o1" is no real`},
		"a broken text": {proud(change("systems.csv", "F1", "F\xff")),
			"systems.csv, line 2, column code: the text has bytes that stand for no letter"},
		"a zone of nowhere": {proud(change("room.csv", "Europe/Paris", "Mars/Base")), "Mars/Base"},
		"a far year":        {proud(change("readings.csv", taken, "95617584000000")), "taken_at of readings"},
		"a row is missing":  {change("ledger.json", `"readings": 3`, `"readings": 4`), "does not hold what the ledger held"},
		"a lost reference":  {proud(change("readings.csv", fmt.Sprintf("\n1,%d,", f.Systems[0].ID), "\n1,77,")), "refers to no systems"},
	} {
		path := filepath.Join(t.TempDir(), "new.ledger")
		err := safekeeping.ImportAll(t.Context(), c.folder, path, nil)
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s gave %v, want %q", name, err, c.says)
		}
		if left, _ := os.ReadDir(filepath.Dir(path)); len(left) != 0 {
			t.Errorf("%s left %v", name, left)
		}
	}
	if err := safekeeping.ImportAll(t.Context(), good, store.Path(), nil); err == nil ||
		!strings.Contains(err.Error(), "a file of this name already") {
		t.Errorf("over a ledger: %v", err)
	}
}

// What a ledger holds from before texts were checked goes out and comes back byte for
// byte, and the export names it.
func TestOlderTextsGoOutAndBack(t *testing.T) {
	path := filepath.Join(t.TempDir(), "older.ledger")
	must(t, os.WriteFile(path, read(t, "../testdata/version-1.sqlite"), 0o600))
	execute(t, path, "UPDATE room SET name = CAST(x'ff4f6c64' AS TEXT)", "UPDATE systems SET note = CAST(x'626164c3' AS TEXT)",
		"UPDATE readings SET note = CAST(zeroblob(2000000) AS TEXT) WHERE id = (SELECT min(id) FROM readings)")
	store, err := storage.Open(t.Context(), path, storagetest.Clock)
	must(t, err)
	folder := filepath.Join(t.TempDir(), "out")
	must(t, safekeeping.ExportAll(t.Context(), store, folder, storagetest.Now, nil))
	must(t, store.Close())
	page := string(read(t, filepath.Join(folder, "README.txt")))
	for _, want := range []string{"room row 1, name", "systems row 1, note"} {
		if !strings.Contains(page, want) {
			t.Errorf("the export does not name %q:\n%.900s", want, page)
		}
	}
	if strings.Contains(page, "readings row") {
		t.Errorf("the export names a text that is UTF-8:\n%.900s", page)
	}
	again := filepath.Join(t.TempDir(), "again.ledger")
	must(t, safekeeping.ImportAll(t.Context(), folder, again, nil))
	if want, got := dump(t, path), dump(t, again); !slices.Equal(want, got) {
		t.Error("another ledger came back")
	}
	if r, err := safekeeping.Check(t.Context(), again); err != nil || !r.Sound() {
		t.Errorf("what came back is not sound: %q, %v", r.Faults, err)
	}
}

// What a newer version of the program wrote of an analyte that this one does not know
// goes out and comes back as it is.
func TestNewerAnalyteGoesOutAndBack(t *testing.T) {
	// The upgrade accounts for it, as the newer version would have.
	to := filepath.Join(t.TempDir(), "room.ledger")
	must(t, os.WriteFile(to, read(t, "../testdata/version-1.sqlite"), 0o600))
	storagetest.AddNewer(t, to, storagetest.Now)
	again := value[*storage.Store](t)(storage.Open(t.Context(), to, storagetest.Clock))
	folder := filepath.Join(t.TempDir(), "out")
	must(t, safekeeping.ExportAll(t.Context(), again, folder, storagetest.Now, nil))
	must(t, again.Close())
	back := filepath.Join(t.TempDir(), "back.ledger")
	must(t, safekeeping.ImportAll(t.Context(), folder, back, nil))
	want, got := dump(t, to), dump(t, back)
	of := func(rows []string) (n int) {
		for _, row := range rows {
			if strings.HasPrefix(row, "readings") && strings.Contains(row, ", 210, ") {
				n++
			}
		}
		return n
	}
	if !slices.Equal(want, got) || of(got) == 0 {
		t.Errorf("%d of its values came back, all equal: %v", of(got), slices.Equal(want, got))
	}
}
