package storage_test

import (
	"bufio"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// saveInto names the ledger that a child process saves into until it is
// killed.
const saveInto = "WEIRKEEPER_TEST_SAVE_INTO"

// childJobs are what this test program does instead of its tests when it is
// started as a child, by the variable that names the ledger.
var childJobs = map[string]func(path string){saveInto: saveForEver}

func TestMain(m *testing.M) {
	for name, job := range childJobs {
		if path := os.Getenv(name); path != "" {
			job(path)
			return
		}
	}
	os.Exit(m.Run())
}

// saveForEver saves readings two at a time and prints their ids once the save
// has returned.
func saveForEver(path string) {
	ctx := context.Background()
	s, err := storage.Open(ctx, path, storagetest.Clock)
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	for n := 0; ; n++ {
		one := tanks.Reading{System: 1, Analyte: chem.Calcium, At: storagetest.Now.Add(-time.Duration(n) * time.Second), Value: 420}
		two := one
		two.Analyte = chem.Magnesium
		ids, err := s.SaveReadings(ctx, []tanks.Reading{one, two})
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		fmt.Println(ids[0], ids[1])
	}
}

// TestKillLosesNothingSaved kills a saving process at random instants: every
// id that it printed must be in the ledger, and no half of a pair.
func TestKillLosesNothingSaved(t *testing.T) {
	s, _ := storagetest.Room(t)
	path := s.Path()
	must(t, s.Close())
	saved := map[int64]bool{}
	kills := 8
	if n, err := strconv.Atoi(os.Getenv(soak)); err == nil {
		kills = 100 * n
	}
	for range kills {
		killedWhileSaving(t, path, saved)
		db := plain(t, path)
		var verdict string
		must(t, db.QueryRow("PRAGMA integrity_check").Scan(&verdict))
		if verdict != "ok" {
			t.Fatalf("integrity check: %s", verdict)
		}
		must(t, db.Close())
		checkSaved(t, path, saved)
	}
	if len(saved) < 16 {
		t.Errorf("only %d readings were saved in all", len(saved))
	}
}

func killedWhileSaving(t *testing.T, path string, saved map[int64]bool) {
	t.Helper()
	child := exec.Command(os.Args[0])
	child.Env = append(os.Environ(), saveInto+"="+path)
	child.Stderr = os.Stderr
	out, err := child.StdoutPipe()
	must(t, err)
	must(t, child.Start())
	lines := bufio.NewScanner(out)
	var timer *time.Timer
	for lines.Scan() {
		if timer == nil { // the clock runs from the first save
			timer = time.AfterFunc(30*time.Millisecond+rand.N(170*time.Millisecond), func() { child.Process.Kill() })
		}
		var one, two int64
		if n, _ := fmt.Sscan(lines.Text(), &one, &two); n == 2 {
			saved[one], saved[two] = true, true
		}
	}
	if child.Wait() == nil || timer == nil {
		t.Fatal("the child ended by itself")
	}
}

func checkSaved(t *testing.T, path string, saved map[int64]bool) {
	t.Helper()
	s, err := storage.Open(t.Context(), path, storagetest.Clock)
	must(t, err)
	defer s.Close()
	present := map[int64]bool{}
	for _, r := range value[[]tanks.Reading](t)(s.ReadingsOf(t.Context(), 1, time.Time{}, time.Time{})) {
		present[int64(r.ID)] = true
	}
	for id := range saved {
		if !present[id] {
			t.Fatal("reading " + strconv.FormatInt(id, 10) + " was said to be saved and is lost")
		}
	}
	if len(present)%2 != 0 {
		t.Errorf("%d readings: half of a pair is there", len(present))
	}
	if wrong := value[int](t)(s.CheckLatest(t.Context())); wrong != 0 {
		t.Errorf("%d of latest are wrong", wrong)
	}
}

// soak names how long the tests of faults go on: in rounds of a hundred kills and
// 250 power cuts. Without it they are short.
const soak = "WEIRKEEPER_SOAK"
