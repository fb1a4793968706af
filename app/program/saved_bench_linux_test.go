package program

import (
	"database/sql"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// saves is how many values the benchmark saves, one after the other.
const saves = 7

// BenchmarkSavedValue types a value on the Test sheet of the bench room and saves it
// with Ctrl+S. It reports the median times from the key to the commit, as another
// reader of the ledger sees it (save-ms, with the key driver's own start), and from
// there to the last change on the screen (shown-ms).
func BenchmarkSavedValue(b *testing.B) {
	needWindow(b)
	original := os.Getenv(benchRoom)
	if original == "" {
		b.Skip("make bench makes the bench room and names it in " + benchRoom)
	}
	ledger := filepath.Join(b.TempDir(), "bench.ledger")
	copyFile(b, original, ledger)
	db, err := sql.Open("sqlite3", "file:"+ledger+"?mode=ro&_busy_timeout=2000")
	if err != nil {
		b.Fatal(err)
	}
	defer db.Close()
	for b.Loop() {
		d := startOnce(b, buildProgram(b), ownHome(b), "-ledger", ledger)
		screen := mapped(b, filepath.Join(d.folder, "Xvfb_screen0"))
		d.focus("Weirkeeper")
		d.quiet(screen, 15*time.Second) // the day's backup
		d.keys("ctrl+3")
		d.quiet(screen, 2*time.Second)
		var toCommit, toScreen []float64
		for range saves {
			d.typeFirstCell(b, db)
			d.quiet(screen, time.Second)
			commit, shown := d.save(b, screen, db)
			toCommit, toScreen = append(toCommit, commit.Seconds()*1000), append(toScreen, shown.Seconds()*1000)
		}
		b.ReportMetric(median(toCommit), "save-ms")
		b.ReportMetric(median(toScreen), "shown-ms")
		d.kill()
	}
}

// typeFirstCell types into the sheet's first cell, a temperature, what it was last, so
// that nothing is asked about it.
func (d *desktop) typeFirstCell(b *testing.B, db *sql.DB) {
	b.Helper()
	var typed string
	if err := db.QueryRow(`SELECT r.typed FROM systems s JOIN readings r ON r.system_id = s.id WHERE r.analyte_id = 1 AND s.closed_at = 0
		ORDER BY s.walk, s.id, r.taken_at DESC, r.id DESC LIMIT 1`).Scan(&typed); err != nil {
		b.Fatal(err)
	}
	d.keys("ctrl+Home")
	for _, digit := range typed {
		d.keys(strings.Replace(string(digit), ".", "period", 1))
	}
	d.keys("Return")
}

// save presses Ctrl+S and returns the time to the commit and from there to the last
// change on the screen.
func (d *desktop) save(b *testing.B, screen []byte, db *sql.DB) (commit, shown time.Duration) {
	b.Helper()
	before, last := newestReading(b, db), digest(screen)
	key := exec.Command("xdotool", "key", "ctrl+s")
	key.Env = append(os.Environ(), "DISPLAY="+d.display)
	begun := time.Now()
	if err := key.Start(); err != nil {
		b.Fatal(err)
	}
	defer key.Wait()
	var committed, changed time.Time
	for committed.IsZero() || time.Since(later(committed, changed)) < time.Second {
		if committed.IsZero() && newestReading(b, db) > before {
			committed = time.Now()
		}
		if now := digest(screen); now != last {
			last, changed = now, time.Now()
		}
		if time.Since(begun) > patience {
			d.keepPicture()
			b.Fatal("the value is not saved")
		}
		time.Sleep(time.Millisecond)
	}
	return committed.Sub(begun), max(changed.Sub(committed), 0)
}

func newestReading(b *testing.B, db *sql.DB) (id int64) {
	b.Helper()
	if err := db.QueryRow("SELECT max(id) FROM readings").Scan(&id); err != nil {
		b.Fatal(err)
	}
	return id
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}
