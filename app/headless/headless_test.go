package headless_test

import (
	"bytes"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"weirkeeper/app/headless"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/csvread"
	"weirkeeper/storage/durable"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// run runs a command and returns its exit code and what it printed.
func run(t *testing.T, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	var out, errs bytes.Buffer
	code = headless.Run(t.Context(), args, storagetest.Clock, &out, &errs)
	return code, out.String(), errs.String()
}

// room is an open ledger with one reading, as if a window had it open.
func room(t *testing.T) (path string, f storagetest.Fixture) {
	t.Helper()
	store, f := storagetest.Room(t)
	_, err := store.SaveReadings(t.Context(),
		[]tanks.Reading{{System: f.Systems[0].ID, Analyte: chem.Calcium, At: f.Now.AddDate(0, 0, -9), Value: 420}})
	if err != nil {
		t.Fatal(err)
	}
	return store.Path(), f
}

func TestDue(t *testing.T) {
	path, f := room(t)
	code, out, errs := run(t, "due", "--ledger", path)
	if code != headless.Done || errs != "" || !strings.Contains(out, "overdue\t") ||
		!strings.Contains(out, "\t"+f.Systems[0].Code+"\ttest ") {
		t.Errorf("ended with %d, printed %q, %q", code, out, errs)
	}
	code, out, _ = run(t, "due", "-json", "-ledger", path)
	var items []struct {
		When, Due, System string
		Tests             []string
	}
	if err := json.Unmarshal([]byte(out), &items); err != nil || code != headless.Done {
		t.Fatalf("%d, %v, %q", code, err, out)
	}
	found := false
	for _, item := range items {
		found = found || item.When == "overdue" && item.System == f.Systems[0].Code &&
			strings.Contains(strings.Join(item.Tests, " "), "calcium")
	}
	if !found {
		t.Errorf("the calcium test of nine days ago is not overdue in %+v", items)
	}
}

// By a clock years off nothing is said to be due, or not to be, and nothing is
// imported, unless the person says that the clock is right.
func TestClockYearsOff(t *testing.T) {
	path, _ := room(t)
	table := filepath.Join(t.TempDir(), "table.csv")
	if err := os.WriteFile(table, []byte("system,analyte,value,unit,time\nF1,calcium,421,mg/L,2026-03-01T08:00:00Z\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	folder := t.TempDir()
	for _, years := range []int{-6, 6} {
		clock := func() time.Time { return storagetest.Now.AddDate(years, 0, 0) }
		for _, args := range [][]string{
			{"due", "--ledger", path}, {"backup", "--ledger", path, "--to", folder, "--thin"},
			{"import", "--ledger", path, "--csv", table, "--dry-run"},
		} {
			var out, errs bytes.Buffer
			if code := headless.Run(t.Context(), args, clock, &out, &errs); code != headless.Failed || out.Len() > 0 ||
				!strings.Contains(errs.String(), "this computer's clock says ") || !strings.Contains(errs.String(), "--clock-is-right") {
				t.Errorf("%d years off, %s ended with %d, printed %q, %q", years, args[0], code, out.String(), errs.String())
			}
			out.Reset()
			if code := headless.Run(t.Context(), append(args, "--clock-is-right"), clock, &out, &errs); code == headless.Failed ||
				out.Len() == 0 {
				t.Errorf("said to be right, %s ended with %d, %q", args[0], code, errs.String())
			}
		}
	}
}

func TestBackupAndRestore(t *testing.T) {
	path, _ := room(t)
	folder := t.TempDir()
	code, out, errs := run(t, "backup", "--ledger", path, "--to", folder, "--thin", "--json")
	var made struct {
		Path    string
		SHA256  string
		Rows    map[string]int
		Removed []string
	}
	if err := json.Unmarshal([]byte(out), &made); err != nil || code != headless.Done || made.Rows["readings"] != 1 ||
		len(made.SHA256) != 64 || len(made.Removed) != 0 {
		t.Fatalf("%d, %v, %q, %q", code, err, out, errs)
	}
	if code, _, errs := run(t, "restore", "--ledger", path, "--from", made.Path); code != headless.Failed ||
		!strings.Contains(errs, "is open already") {
		t.Errorf("restoring over an open ledger: %d, %q", code, errs)
	}
	elsewhere := filepath.Join(t.TempDir(), "again.ledger")
	code, out, errs = run(t, "restore", "--ledger", elsewhere, "--from", made.Path)
	if code != headless.Done || !strings.Contains(out, "and 1 reading") {
		t.Errorf("%d, %q, %q", code, out, errs)
	}
	if err := os.Remove(made.Path + ".json"); err != nil {
		t.Fatal(err)
	}
	code, out, errs = run(t, "restore", "--ledger", filepath.Join(t.TempDir(), "alone.ledger"), "--from", made.Path)
	if code != headless.Done || !strings.Contains(out, "and 1 reading") || !strings.Contains(out, "proved by a check of the whole file") {
		t.Errorf("without its description: %d, %q, %q", code, out, errs)
	}
	if code, out, _ := run(t, "check", "--ledger", elsewhere); code != headless.Done || !strings.HasPrefix(out, "sound: ") {
		t.Errorf("%d, %q", code, out)
	}
}

func TestExportAndImport(t *testing.T) {
	path, _ := room(t)
	folder, again := filepath.Join(t.TempDir(), "out"), filepath.Join(t.TempDir(), "again.ledger")
	if code, out, errs := run(t, "export", "--ledger", path, "--to", folder); code != headless.Done ||
		!strings.Contains(out, " files in "+folder) {
		t.Fatalf("%d, %q, %q", code, out, errs)
	}
	if code, _, errs := run(t, "export", "--ledger", path, "--to", folder); code != headless.Failed ||
		!strings.Contains(errs, "not empty") {
		t.Errorf("over an export: %d, %q", code, errs)
	}
	if code, out, errs := run(t, "import", "--ledger", again, "--from", folder, "--json"); code != headless.Done ||
		!strings.Contains(out, `"readings": 1`) {
		t.Errorf("%d, %q, %q", code, out, errs)
	}
	if code, _, errs := run(t, "import", "--ledger", again, "--from", folder); code != headless.Failed ||
		!strings.Contains(errs, "a file of this name already") {
		t.Errorf("over a ledger: %d, %q", code, errs)
	}
}

func TestCheckOfADamagedLedger(t *testing.T) {
	path, _ := room(t)
	folder := t.TempDir()
	if code, _, errs := run(t, "backup", "--ledger", path, "--to", folder); code != headless.Done {
		t.Fatal(errs)
	}
	files, err := filepath.Glob(filepath.Join(folder, "*.backup"))
	if err != nil || len(files) != 1 {
		t.Fatal(files, err)
	}
	data, err := os.ReadFile(files[0])
	if err != nil {
		t.Fatal(err)
	}
	for at := 5 * 4096; at < len(data); at += 2 * 4096 { // every second page
		clear(data[at:min(at+4096, len(data))])
	}
	bad := filepath.Join(t.TempDir(), "bad.ledger")
	if err := os.WriteFile(bad, data, 0o644); err != nil {
		t.Fatal(err)
	}
	code, out, errs := run(t, "check", "--ledger", bad, "--json")
	if code != headless.Unsound || !strings.Contains(out, `"sound": false`) || errs != "" {
		t.Errorf("%d, %q, %q", code, out, errs)
	}
	for name, spoil := range map[string]func([]byte){
		"every second page":  func([]byte) {},
		"its first page":     func(data []byte) { clear(data[100:4096]) },
		"its header":         func(data []byte) { data[3] ^= 8 },
		"the tree of pages":  func(data []byte) { data[100] = 7 },
		"the size of a page": func(data []byte) { data[16] = 3 },
	} {
		one := slices.Clone(data)
		spoil(one)
		if err := os.WriteFile(bad, one, 0o644); err != nil {
			t.Fatal(err)
		}
		if code, out, errs := run(t, "check", "--ledger", bad); code != headless.Unsound || !strings.HasPrefix(out, "damaged: ") ||
			errs != "" {
			t.Errorf("%s: %d, %q, %q", name, code, out, errs)
		}
	}
}

func TestMisuse(t *testing.T) {
	path, _ := room(t)
	for name, c := range map[string]struct {
		args []string
		code int
		says string
	}{
		"no ledger":     {[]string{"due"}, headless.Misused, "--ledger FILE"},
		"a stray word":  {[]string{"due", "--ledger", path, "now"}, headless.Misused, `"now" is not understood`},
		"unknown flag":  {[]string{"due", "--colour"}, headless.Misused, "-colour"},
		"help":          {[]string{"backup", "--help"}, headless.Done, "-to FOLDER"},
		"no folder":     {[]string{"backup", "--ledger", path}, headless.Misused, "--to FOLDER"},
		"no backup":     {[]string{"restore", "--ledger", path}, headless.Misused, "--from BACKUP"},
		"no folder out": {[]string{"export", "--ledger", path}, headless.Misused, "--to FOLDER"},
		"no folder in":  {[]string{"import", "--ledger", path}, headless.Misused, "--from FOLDER"},
		"no such file":  {[]string{"due", "--ledger", path + "x"}, headless.Failed, "there is no such file"},
		"no such copy":  {[]string{"restore", "--ledger", path + "x", "--from", path}, headless.Failed, "a log lies beside it"},
		"no ledger it":  {[]string{"check", "--ledger", os.Args[0]}, headless.Failed, "no ledger"},
		"wrong command": {[]string{"fly", "--ledger", path}, headless.Misused, `no command "fly"`},
	} {
		code, out, errs := run(t, c.args...)
		if code != c.code || !strings.Contains(errs, c.says) || out != "" {
			t.Errorf("%s ended with %d, printed %q, %q; want %d and %q", name, code, out, errs, c.code, c.says)
		}
	}
	if !headless.Knows("check") || headless.Knows("fly") || headless.Knows("-demo") {
		t.Error("what is a command and what is not")
	}
	var usage bytes.Buffer
	headless.Usage(&usage)
	for _, name := range []string{"due", "backup", "restore", "check", "--json", "3 when"} {
		if !strings.Contains(usage.String(), name) {
			t.Errorf("the help does not tell of %s", name)
		}
	}
}

func TestImportOfReadings(t *testing.T) {
	store, f := storagetest.Room(t)
	m := csvread.ColumnMap{Name: "Rack sheet", Dates: csvread.DayMonthYear, System: "F2", Columns: []csvread.MapColumn{
		{Heading: "Day", Role: csvread.RoleTime}, {Heading: "Ca", Role: csvread.RoleReading, Analyte: "calcium", Unit: chem.MgL},
	}}
	if err := store.SaveColumnMap(t.Context(), &m); err != nil {
		t.Fatal(err)
	}
	path := store.Path()
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "sheet.csv")
	write := func(text string) {
		if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	write("Day;Ca\n3.2.2026 09:00;420\n4.2.2026 09:00;42o\n")
	code, out, errs := run(t, "import", "--ledger", path, "--csv", file, "--map", "rack sheet")
	if code != headless.Unsound || !strings.Contains(out, "line 3, Ca: ") ||
		!strings.Contains(out, "nothing was written; would import 1 reading") {
		t.Errorf("%d, %q, %q", code, out, errs)
	}
	code, out, errs = run(t, "import", "--ledger", path, "--csv", file, "--map", "rack sheet", "--skip-bad", "--person", "AB", "--json")
	var said struct {
		Written             bool
		Readings, Bad_Lines int
		Faults              []struct {
			Line   int
			Column string
		}
	}
	if err := json.Unmarshal([]byte(out), &said); err != nil || code != headless.Done || !said.Written || said.Readings != 1 ||
		said.Bad_Lines != 1 || said.Faults[0].Line != 3 {
		t.Errorf("%d, %v, %+v, %q", code, err, said, errs)
	}
	again, err := storage.Open(t.Context(), path, storagetest.Clock)
	if err != nil {
		t.Fatal(err)
	}
	defer again.Close()
	latest, err := again.Latest(t.Context())
	// 09:00 in Paris, the room's zone, in February.
	if err != nil || len(latest) != 1 || latest[0].System != f.Systems[1].ID || latest[0].Person != "AB" ||
		latest[0].At.Format("2006-01-02 15:04") != "2026-02-03 08:00" {
		t.Errorf("%+v, %v", latest, err)
	}
	// A dry run looks at a ledger that is open elsewhere.
	write("Day;Ca\n3.2.2026 09:00;420\n4.2.2026 09:00;421\n")
	if code, out, errs := run(t, "import", "--ledger", path, "--csv", file, "--map", "rack sheet", "--dry-run"); code != headless.Done ||
		!strings.Contains(out, "would import 1 reading; 1 is in the ledger already") {
		t.Errorf("%d, %q, %q", code, out, errs)
	}
	for says, args := range map[string][]string{
		`no column map is called "x"`: {"--csv", file, "--map", "x", "--dry-run"},
		"no time zone":                {"--csv", file, "--zone", "Mars/Base", "--dry-run"},
		"say where from":              {"--csv", file, "--from", "x"},
	} {
		if code, _, errs := run(t, append([]string{"import", "--ledger", path}, args...)...); code != headless.Misused ||
			!strings.Contains(errs, says) {
			t.Errorf("%v: %d, %q", args, code, errs)
		}
	}
	if code, _, errs := run(t, "import", "--ledger", path, "--csv", file); code != headless.Failed ||
		!strings.Contains(errs, "is open already") {
		t.Errorf("into a ledger that is open: %d, %q", code, errs)
	}
}

// Values that may be slips of the decimal point are written only when that is said.
func TestImportOfSlips(t *testing.T) {
	store, _ := storagetest.Room(t)
	path := store.Path()
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "sheet.csv")
	text := "time,system,analyte,value,unit\n"
	for n, v := range []string{"1300", "1310", "1305", "1.32"} {
		text += fmt.Sprintf("2026-02-0%d 09:00,F1,Mg,%s,mg/L\n", n+1, v)
	}
	if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, more := range [][]string{{"--skip-bad"}, {"--dry-run"}, nil} {
		code, out, errs := run(t, append([]string{"import", "--ledger", path, "--csv", file}, more...)...)
		if code != headless.Unsound || !strings.Contains(out, "line 5: Magnesium 1.32 may be a slip. Expected 1305 mg/L") ||
			!strings.Contains(out, "nothing was written; would import 4 readings") {
			t.Errorf("%v: %d, %q, %q", more, code, out, errs)
		}
	}
	if code, out, errs := run(t, "import", "--ledger", path, "--csv", file, "--take-slips"); code != headless.Done ||
		!strings.Contains(out, "imported 4 readings") {
		t.Errorf("%d, %q, %q", code, out, errs)
	}
}

func TestSalvage(t *testing.T) {
	path, _ := room(t)
	backups := t.TempDir()
	_, out, _ := run(t, "backup", "--ledger", path, "--to", backups, "--json")
	var made struct{ Path string }
	if err := json.Unmarshal([]byte(out), &made); err != nil {
		t.Fatal(err)
	}
	to := filepath.Join(t.TempDir(), "salvaged.ledger")
	code, out, errs := run(t, "salvage", "--ledger", made.Path, "--to", to)
	if code != headless.Done || !strings.Contains(out, "2 systems and 1 reading in "+to) || !strings.Contains(out, "nothing is lost") {
		t.Errorf("%d, %q, %q", code, out, errs)
	}
	if code, out, _ := run(t, "check", "--ledger", to); code != headless.Done || !strings.HasPrefix(out, "sound: ") {
		t.Errorf("%d, %q", code, out)
	}
	lossy := filepath.Join(t.TempDir(), "lossy.ledger")
	if err := errors.Join(durable.Copy(t.Context(), lossy, made.Path, 0o600), withoutMethods(lossy)); err != nil {
		t.Fatal(err)
	}
	code, out, errs = run(t, "salvage", "--ledger", lossy, "--to", to+"3")
	if code != headless.Unsound || !strings.Contains(out, "2 systems and 1 reading in "+to+"3") ||
		!strings.Contains(out, "lost: methods: 3") || errs != "" {
		t.Errorf("of a ledger that has lost rows: %d, %q, %q", code, out, errs)
	}
	if code, _, errs := run(t, "salvage", "--ledger", path, "--to", to+"2"); code != headless.Failed ||
		!strings.Contains(errs, "is open already") {
		t.Errorf("of an open ledger: %d, %q", code, errs)
	}
	if code, _, _ := run(t, "salvage", "--ledger", path); code != headless.Misused {
		t.Errorf("to nowhere: %d", code)
	}
}

// withoutMethods takes the methods away from a closed ledger, as no action would.
func withoutMethods(path string) error {
	db, err := sql.Open("sqlite3", "file:"+path)
	if err != nil {
		return err
	}
	_, err = db.Exec("DELETE FROM methods")
	return errors.Join(err, db.Close())
}

// What was lost, and where the former files are, is said although photos could not be
// copied; a backup without readings has no last one.
func TestPhotosThatCannotBeCopied(t *testing.T) {
	store, f := storagetest.Room(t)
	photo := tanks.Photo{System: f.Systems[0].ID, At: f.Now}
	if err := store.AddPhoto(t.Context(), &photo, strings.NewReader("GIF89a")); err != nil {
		t.Fatal(err)
	}
	_, out, _ := run(t, "backup", "--ledger", store.Path(), "--to", t.TempDir(), "--json")
	var made struct{ Path string }
	if err := errors.Join(json.Unmarshal([]byte(out), &made), store.Close()); err != nil {
		t.Fatal(err)
	}
	inTheWay := func(ledger string) {
		if err := errors.Join(os.RemoveAll(ledger+"-photos"), os.WriteFile(ledger+"-photos", nil, 0o644)); err != nil {
			t.Fatal(err)
		}
	}
	to := filepath.Join(t.TempDir(), "salvaged.ledger")
	inTheWay(to)
	code, out, errs := run(t, "salvage", "--ledger", store.Path(), "--to", to)
	if code != headless.Unsound || !strings.Contains(out, "2 systems and 0 readings in "+to) ||
		!strings.Contains(errs, "not all of its photos") {
		t.Errorf("salvage: %d, %q, %q", code, out, errs)
	}
	inTheWay(store.Path())
	code, out, errs = run(t, "restore", "--ledger", store.Path(), "--from", made.Path)
	if code != headless.Unsound || !strings.Contains(out, "2 systems and 0 readings\n") ||
		!strings.Contains(out, "the former files are in "+store.Path()+"-before-restore-") ||
		!strings.Contains(errs, "not all of its photos") {
		t.Errorf("restore: %d, %q, %q", code, out, errs)
	}
}

// A test of an analyte that a newer version of the program knows is due as any other.
func TestDueOfNewerAnalyte(t *testing.T) {
	path, f := room(t)
	storagetest.AddNewer(t, path, f.Now.AddDate(0, 0, -20))
	code, out, errs := run(t, "due", "--ledger", path)
	if code != headless.Done || errs != "" || !strings.Contains(out, "analyte-210") {
		t.Errorf("ended with %d, printed %q, %q", code, out, errs)
	}
}

// The codes are those of the handbook's table.
func TestCodesOfTheHandbook(t *testing.T) {
	page, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	for code, says := range map[int]string{
		headless.Done: "all is well", headless.Failed: "could not be done", headless.Misused: "not understood", headless.Unsound: "not all is well",
	} {
		row := ""
		for line := range strings.Lines(string(page)) {
			if strings.HasPrefix(line, fmt.Sprintf("| %d |", code)) {
				row += line
			}
		}
		if !strings.Contains(row, says) || strings.Count(row, "\n") != 1 {
			t.Errorf("the table says of %d: %q", code, row)
		}
	}
}

// When the ledger goes while readings are imported, all of it is put into a copy as it
// is closed, and the command says where, also when nothing else went wrong.
func TestLedgerGoesDuringAnImport(t *testing.T) {
	store, _ := storagetest.Room(t)
	path := store.Path()
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "bad.csv")
	if err := os.WriteFile(file, []byte("system,time,Ca\nF1,2026-03-09 08:00,many\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	asked := 0
	clock := func() time.Time {
		if asked++; asked == 2 { // the ledger is open
			if err := os.Remove(path); err != nil {
				t.Error(err)
			}
		}
		return storagetest.Now
	}
	var out, errs bytes.Buffer
	code := headless.Run(t.Context(), []string{"import", "--ledger", path, "--csv", file}, clock, &out, &errs)
	if code != headless.Failed || !strings.Contains(errs.String(), "all that it held is in ") {
		t.Errorf("%d, %q, %q", code, out.String(), errs.String())
	}
	if copies, err := filepath.Glob(filepath.Join(filepath.Dir(path), "room-rescued-*")); err != nil || len(copies) != 1 {
		t.Errorf("there are the copies %q, %v", copies, err)
	}
}
