package storage_test

import (
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"weirkeeper/storage/storagetest/faults"
	"weirkeeper/storage/storagetest/power"
)

// actsTraced is how many acts the child does at the least.
const actsTraced = 130

// seedOf is the seed of tests that go on for long: another each time in a soak.
func seedOf(t *testing.T) uint64 {
	t.Helper()
	seed := uint64(20260310)
	if faults.Rounds() > 0 {
		seed = rand.Uint64()
	}
	t.Logf("the seed is %d", seed)
	return seed
}

// traced is what a child did with its files, and what it had said at which point.
type traced struct {
	*power.Trace
	said []said
	at   []int // how many things were done when it had said each
}

func traceActs(t *testing.T, seed uint64) traced {
	t.Helper()
	child, folder := doing(t, seed, actsTraced)
	cmd, saidTo := child(folder)
	trace, err := power.Record(cmd, folder, saidTo)
	must(t, err)
	tr := traced{Trace: trace}
	for i, o := range trace.Ops {
		if o.Kind == power.Said {
			tr.said, tr.at = append(tr.said, readSaid(t, o.Data)...), append(tr.at, i+1)
		}
	}
	if len(tr.said) != len(tr.at) || len(tr.said) < actsTraced*3/4 {
		t.Fatalf("%d acts were said in %d writes", len(tr.said), len(tr.at))
	}
	return tr
}

// unsynced is the trace of a program that syncs nothing in one kind of act.
func (tr traced) unsynced(act string) traced {
	out := traced{Trace: tr.Without(func(i int, o power.Op) bool {
		next, _ := slices.BinarySearch(tr.at, i+1) // the act that this was done for
		return (o.Kind == power.SyncFile || o.Kind == power.SyncFolder) && next < len(tr.said) && tr.said[next].Act == act
	}), said: tr.said}
	for i, o := range out.Ops {
		if o.Kind == power.Said {
			out.at = append(out.at, i+1)
		}
	}
	return out
}

// cut is where and how the power goes.
type cut struct {
	after int
	loss  power.Loss
}

// cuts are so many: one right behind an act of each kind, when all that it did not
// sync is lost, and then anywhere, when any part is.
func (tr traced) cuts(n int, rng *rand.Rand) []cut {
	byKind := map[string]int{}
	for _, i := range rng.Perm(len(tr.said)) {
		byKind[tr.said[i].Act] = tr.at[i]
	}
	var all []cut
	for _, act := range slices.Sorted(maps.Keys(byKind)) {
		all = append(all, cut{byKind[act], power.Everything})
	}
	rng.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	first := tr.at[0]
	for len(all) < n {
		all = append(all, cut{first + rng.IntN(len(tr.Ops)-first+1), power.Anything})
	}
	return all[:n]
}

// lostBy puts what a cut leaves into a folder and tells what is lost there.
func (tr traced) lostBy(t *testing.T, c cut, rng *rand.Rand) []string {
	t.Helper()
	folder := t.TempDir()
	defer os.RemoveAll(folder)
	for name, data := range tr.Cut(c.after, c.loss, rng) {
		if strings.HasSuffix(name, "-shm") {
			continue // memory, not a file
		}
		path := filepath.Join(folder, name)
		must(t, os.MkdirAll(filepath.Dir(path), 0o755))
		must(t, os.WriteFile(path, data, 0o644))
	}
	n, exact := slices.BinarySearch(tr.at, c.after)
	if !exact {
		n--
	}
	return lost(t, folder, tr.said, n)
}

// A power cut at any instant loses, doubles and changes nothing that was
// acknowledged, of whatever kind, in the ledger and in the files beside it. That the
// test can fail is shown by programs that do not sync one kind of act.
func TestPowerCuts(t *testing.T) {
	seed := seedOf(t)
	tr := traceActs(t, seed)
	rng := rand.New(rand.NewPCG(seed, 2))
	cuts := 90
	if n := faults.Rounds(); n > 0 {
		cuts = 500 * n
	}
	for i, c := range tr.cuts(cuts, rng) {
		if wrong := tr.lostBy(t, c, rng); len(wrong) > 0 {
			t.Errorf("power cut %d, after %d of %d things: %d wrong: %q", i, c.after, len(tr.Ops), len(wrong), wrong[:min(len(wrong), 4)])
		}
	}
	kinds := map[string]bool{}
	for _, s := range tr.said[1:] {
		kinds[s.Act] = true
	}
	names := slices.Sorted(maps.Keys(kinds))
	t.Logf("%d cuts in %d acts of %d kinds, %d things done", cuts, len(tr.said), len(names), len(tr.Ops))
	if faults.Rounds() == 0 {
		rng.Shuffle(len(names), func(i, j int) { names[i], names[j] = names[j], names[i] })
		names = names[:3]
	}
	for _, act := range names {
		t.Run("unsynced "+act, func(t *testing.T) { unsyncedIsFound(t, tr.unsynced(act), rng) })
	}
}

func unsyncedIsFound(t *testing.T, tr traced, rng *rand.Rand) {
	t.Helper()
	for _, c := range tr.cuts(50, rng) {
		if len(tr.lostBy(t, c, rng)) > 0 {
			return
		}
	}
	t.Error("50 power cuts did not find it")
}

// A save is made certain once: one sync between two acknowledgements, none where
// nothing was to be written, but where the log is folded into the ledger or begun anew,
// and where files stand beside it.
func TestSaveSyncsOnce(t *testing.T) {
	tr := traceActs(t, 20260310)
	single := 0
	folded, from := true, tr.at[0]
	for k, at := range tr.at[1:] {
		syncs, want, begun, names := 0, 0, false, false
		for _, o := range tr.Ops[from:at] {
			switch o.Kind {
			case power.SyncFile, power.SyncFolder:
				syncs++
			case power.Names:
				names = true
			case power.Write:
				want = 1
				begun = begun || o.Offset == 0
			}
		}
		foldedBefore := folded
		folded = tr.Wrote(roomFile, from, at)
		from = at
		if folded || foldedBefore || begun || names {
			continue
		}
		single++
		if syncs != want {
			t.Errorf("%s took %d syncs, want %d", tr.said[k+1].Act, syncs, want)
		}
	}
	if single < actsTraced/4 {
		t.Errorf("only %d saves were seen alone", single)
	}
}
