package program

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"testing"
	"time"
)

// benchRoom names the ledger that `make benchroom` made.
const benchRoom = "WEIRKEEPER_BENCHROOM"

// rounds of all places that are measured; what is opened for the first time is not
// counted.
const rounds = 3

// BenchmarkPlaces opens the bench room in a real window and reports, for each place,
// the time from its key to the last change on the screen, the median of some times,
// in milliseconds; the key driver's own start, some ten of them, is counted too.
// Then the memory after every place was visited, beside that of an empty window:
// while the program is in use, and when nothing was done for some seconds.
func BenchmarkPlaces(b *testing.B) {
	needWindow(b)
	original := os.Getenv(benchRoom)
	if original == "" {
		b.Skip("make bench makes the bench room and names it in " + benchRoom)
	}
	ledger := filepath.Join(b.TempDir(), "bench.ledger")
	copyFile(b, original, ledger)
	empty := filepath.Join(b.TempDir(), "empty")
	buildInto(b, empty, "./testdata/emptywindow")
	home := b.TempDir()
	_, emptyMiB := measureStart(b, home, empty)
	for b.Loop() {
		d := startOnce(b, buildProgram(b), ownHome(b), "-ledger", ledger)
		screen := mapped(b, filepath.Join(d.folder, "Xvfb_screen0"))
		d.focus("Weirkeeper")
		d.quiet(screen, 15*time.Second) // the day's backup
		times := map[string][]float64{}
		for round := range rounds + 1 {
			for place := 1; place <= 8; place++ {
				key := fmt.Sprint("ctrl+", place)
				took := d.took(screen, key)
				if round > 0 {
					times[key] = append(times[key], took.Seconds()*1000)
				}
			}
		}
		for place := 1; place <= 8; place++ {
			key := fmt.Sprint("ctrl+", place)
			b.ReportMetric(median(times[key]), key+"-ms")
		}
		b.ReportMetric(resident(b, d.program.Process.Pid)-emptyMiB, "MiB-over-empty-in-use")
		d.quiet(screen, 6*time.Second)
		b.ReportMetric(resident(b, d.program.Process.Pid)-emptyMiB, "MiB-over-empty")
		d.kill()
	}
}

// took presses a key and returns the time to the last change on the screen.
func (d *desktop) took(screen []byte, key string) time.Duration {
	d.t.Helper()
	last, begun := digest(screen), time.Now()
	if out, err := d.xdotool("key", key); err != nil {
		d.t.Fatalf("pressing %s: %v %s", key, err, out)
	}
	changed := begun
	for time.Since(changed) < time.Second {
		if now := digest(screen); now != last {
			last, changed = now, time.Now()
		}
		time.Sleep(lookEach)
	}
	return changed.Sub(begun)
}

// quiet waits until the screen has not changed for so long.
func (d *desktop) quiet(screen []byte, most time.Duration) {
	last, since := digest(screen), time.Now()
	for time.Since(since) < most {
		if now := digest(screen); now != last {
			last, since = now, time.Now()
		}
		time.Sleep(20 * time.Millisecond)
	}
}

func copyFile(b *testing.B, from, to string) {
	b.Helper()
	in, err := os.Open(from)
	if err != nil {
		b.Fatal(err)
	}
	defer in.Close()
	out, err := os.Create(to)
	if err != nil {
		b.Fatal(err)
	}
	if _, err = io.Copy(out, in); err == nil {
		err = out.Close()
	}
	if err != nil {
		b.Fatal(err)
	}
}
