package storage_test

import (
	"math/rand/v2"
	"os"
	"os/exec"
	"reflect"
	"testing"
	"time"

	"weirkeeper/storage/storagetest/faults"
)

// childJobs are what this test program does instead of its tests when it is
// started as a child.
var childJobs = map[string]func(path string){}

func TestMain(m *testing.M) { faults.Main(m, childJobs) }

// A program that is killed at any instant loses, doubles and changes nothing that it
// said was done. What it does follows from its seed, so that a child which is left
// alone says what each act leaves.
func TestKillLosesNothing(t *testing.T) {
	seed := uint64(20260310)
	kills := 8
	if n := faults.Rounds(); n > 0 {
		seed, kills = rand.Uint64(), 200*n
	}
	t.Logf("the seed is %d", seed)
	child, start := doing(t, seed, 110)
	whole := t.TempDir()
	must(t, os.CopyFS(whole, os.DirFS(start)))
	cmd, saidTo := child(whole)
	began := time.Now()
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("the child: %v\n%s", err, out)
	}
	took := time.Since(began)
	all := readSaid(t, read(t, saidTo))
	inTheMiddle := 0
	for kill := range kills {
		folder, n := killed(t, child, start, took, all)
		if wrong := lost(t, folder, all, n); len(wrong) > 0 {
			t.Errorf("kill %d, after %d acts: %q", kill, n, wrong[:min(len(wrong), 4)])
		}
		if n > 0 && n < len(all)-1 {
			inTheMiddle++
		}
		must(t, os.RemoveAll(folder))
	}
	if inTheMiddle < kills/2 {
		t.Errorf("only %d of %d kills came in the middle", inTheMiddle, kills)
	}
}

// killed lets a child act in a copy of a folder and kills it somewhere in the time
// that it takes; it returns the folder and how many acts the child had said.
func killed(t *testing.T, child func(string) (*exec.Cmd, string), start string, took time.Duration, all []said) (string, int) {
	t.Helper()
	folder := t.TempDir()
	must(t, os.CopyFS(folder, os.DirFS(start)))
	cmd, saidTo := child(folder)
	must(t, cmd.Start())
	for {
		if data, err := os.ReadFile(saidTo); err == nil && len(data) > 0 {
			break // it has begun
		}
		time.Sleep(time.Millisecond)
	}
	time.Sleep(rand.N(took))
	cmd.Process.Kill()
	cmd.Wait()
	got := readSaid(t, read(t, saidTo))
	for i, s := range got {
		if !reflect.DeepEqual(s, all[i]) {
			t.Fatalf("act %d, %s, left something else than the first time: it does not follow from the seed", i, s.Act)
		}
	}
	return folder, len(got) - 1
}
