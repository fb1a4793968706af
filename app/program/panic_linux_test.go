package program

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"weirkeeper/storage/demoroom"
)

// A panic in whatever screen, or in the work that it leaves to others, ends in a new
// window: the report holds no reading, and what was typed on the sheet is there and can be saved.
func TestPanicInEachScreen(t *testing.T) {
	needWindow(t)
	if testing.Short() {
		t.Skip("builds a program and opens a window")
	}
	folder := t.TempDir()
	ledger, trigger := filepath.Join(folder, "demo.ledger"), filepath.Join(folder, "provoke")
	store, err := demoroom.Create(t.Context(), ledger, time.Now, 20)
	if err != nil {
		t.Fatal(err)
	}
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
	t.Setenv("PROVOKE", trigger)
	binary := filepath.Join(t.TempDir(), "provoked")
	buildInto(t, binary, "./testdata/provoked")
	before := query(ledger, "SELECT count(*) FROM readings")
	for place, key := range map[string]string{
		"Rounds": "ctrl+1", "Room": "ctrl+2", "Test sheet": "ctrl+3", "Dosing": "ctrl+4", "Lab samples": "ctrl+5", "Trends": "ctrl+6", "Handover": "ctrl+7", "Setup": "ctrl+8",
	} {
		t.Run(place, func(t *testing.T) {
			d := start(t, binary, "-ledger", ledger)
			defer endAll(t, binary)
			d.focus("Frag Room")
			d.typeAlkalinity(ledger, "8", "period", "3")
			if place == "Test sheet" {
				d.keys("ctrl+1")
			}
			if err := os.WriteFile(trigger, nil, 0o600); err != nil {
				t.Fatal(err)
			}
			d.keys(key)
			var report string
			d.wait("a report beside the ledger", func() bool {
				found, _ := filepath.Glob(filepath.Join(folder, "demo-fault-*.txt"))
				if len(found) > 0 {
					report = found[0]
				}
				return report != ""
			})
			checkReport(t, report)
			d.wait("the first process to end", func() bool {
				select {
				case <-d.ended:
					return true
				default:
					return false
				}
			})
			d.focus("Frag Room")
			time.Sleep(3 * time.Second)
			d.keys("ctrl+3")
			time.Sleep(2 * time.Second)
			d.keys("ctrl+s")
			before++
			d.wait("what was typed to be saved after all", func() bool {
				return query(ledger, "SELECT count(*) FROM readings") == before
			})
		})
	}
}

// endAll ends every process of a program, those too that are no children of ours, and
// waits until they have let go of the ledger.
func endAll(t *testing.T, binary string) {
	t.Helper()
	for range 200 {
		if exec.Command("pkill", "-9", "-f", binary).Run() != nil { // none is left
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Error("processes of the program do not end")
}

// checkReport reads a report of a fault and removes it.
func checkReport(t *testing.T, path string) {
	t.Helper()
	var text string
	for range 20 { // until it is written whole
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if text = string(data); strings.Contains(text, "goroutine") {
			break
		}
		time.Sleep(100 * time.Millisecond)
	}
	for _, want := range []string{"Weirkeeper provoked met a fault", "a panic with a string", "Where: ", "main.clock"} {
		if !strings.Contains(text, want) {
			t.Errorf("the report lacks %q:\n%s", want, text)
		}
	}
	for _, never := range []string{"8.3", "Frag rack", "provoked\")"} {
		if strings.Contains(text, never) {
			t.Errorf("the report holds %q", never)
		}
	}
	if err := os.Remove(path); err != nil {
		t.Error(err)
	}
}
