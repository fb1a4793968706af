package storage_test

import (
	"bufio"
	"fmt"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/storage/storagetest/faults"
	"weirkeeper/storage/versions"
	"weirkeeper/tanks"
)

// childJobs are what this test program does instead of its tests when it is
// started as a child.
var childJobs = map[string]func(path string){storagetest.SaveForEver: storagetest.SaveUntilKilled}

func TestMain(m *testing.M) { faults.Main(m, childJobs) }

// TestKillLosesNothingSaved kills a saving process at random instants: every
// id that it printed must be in the ledger, and no half of a pair.
func TestKillLosesNothingSaved(t *testing.T) {
	s, _ := storagetest.Room(t)
	path := s.Path()
	must(t, s.Close())
	saved := map[int64]bool{}
	kills := 8
	if n := faults.Rounds(); n > 0 {
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
	child := faults.Child("", storagetest.SaveForEver, path)
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
	canBeTakenBack(t, s)
}

// canBeTakenBack takes the last act from before a kill back and puts it back.
func canBeTakenBack(t *testing.T, s *storage.Store) {
	t.Helper()
	db := plain(t, s.Path())
	defer db.Close()
	if faults := value[[]string](t)(versions.Check(t.Context(), db)); len(faults) != 0 {
		t.Errorf("after a kill: %v", faults)
	}
	before := rowCounts(t, s.Path())["readings"]
	same(t, value[words.Text](t)(s.Undo(t.Context(), "")).String(), "saving the readings")
	if n := rowCounts(t, s.Path())["readings"]; n != before-2 {
		t.Errorf("%d readings are left of %d", n, before)
	}
	same(t, value[words.Text](t)(s.Redo(t.Context(), "")).String(), "saving the readings")
	if n := rowCounts(t, s.Path())["readings"]; n != before {
		t.Errorf("put back there are %d readings of %d", n, before)
	}
}
