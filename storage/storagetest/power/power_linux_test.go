package power_test

import (
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"weirkeeper/storage/storagetest/faults"
	"weirkeeper/storage/storagetest/power"
)

const writeFiles = "write files"

func TestMain(m *testing.M) { faults.Main(m, map[string]func(string){writeFiles: write}) }

func must(err error) {
	if err != nil {
		panic(err)
	}
}

func syncFolder(path string) {
	f, err := os.Open(path)
	must(err)
	must(f.Sync())
	must(f.Close())
}

// write does with files what can go wrong, and says each step once it is done.
func write(folder string) {
	said, err := os.OpenFile(os.Getenv("SAID"), os.O_WRONLY|os.O_APPEND|os.O_CREATE, 0o600)
	must(err)
	say := func(what string) {
		_, err := said.WriteString(what)
		must(err)
	}
	in := func(name string) string { return filepath.Join(folder, name) }
	f, err := os.Create(in("new"))
	must(err)
	_, err = f.WriteString("first")
	must(err)
	say("written")
	must(f.Sync())
	say("synced")
	syncFolder(folder)
	say("named")
	_, err = f.WriteAt([]byte("FI"), 0)
	must(err)
	must(f.Truncate(3))
	say("changed")
	must(f.Sync())
	say("change synced")
	must(os.Rename(in("new"), in("old")))
	say("renamed")
	syncFolder(folder)
	say("rename synced")
	must(os.Mkdir(in("sub"), 0o700))
	must(os.WriteFile(in("sub/a"), []byte("a"), 0o600))
	out, err := os.Open(in("sub/a"))
	must(err)
	must(out.Sync())
	syncFolder(in("sub"))
	say("sub without its folder")
	syncFolder(folder)
	say("sub")
	must(os.RemoveAll(in("sub")))
	must(os.Remove(in("old")))
	say("removed")
	copied, err := os.Create(in("copy"))
	must(err)
	_, err = copied.ReadFrom(out)
	must(err)
	must(copied.Sync())
	syncFolder(folder)
	say("copied")
}

// trace is what the child did, and how many things were done when it said each step.
func trace(t *testing.T) (*power.Trace, map[string]int) {
	t.Helper()
	work, folder := t.TempDir(), t.TempDir()
	must(os.WriteFile(filepath.Join(folder, "old"), []byte("old one"), 0o600))
	said := filepath.Join(work, "said")
	child := faults.Child("", writeFiles, folder)
	child.Env = append(child.Env, "SAID="+said)
	tr, err := power.Record(child, folder, said)
	if err != nil {
		t.Fatal(err)
	}
	steps := map[string]int{}
	for i, o := range tr.Ops {
		if o.Kind == power.Said {
			steps[string(o.Data)] = i + 1
		}
	}
	return tr, steps
}

// What was synced is there, what was not is lost: bytes and names apart.
func TestWorstCut(t *testing.T) {
	tr, steps := trace(t)
	for _, c := range []struct {
		after string
		want  map[string]string
	}{
		{"written", map[string]string{"old": "old one"}},
		{"synced", map[string]string{"old": "old one"}},
		{"named", map[string]string{"old": "old one", "new": "first"}},
		{"changed", map[string]string{"old": "old one", "new": "first"}},
		{"change synced", map[string]string{"old": "old one", "new": "FIr"}},
		{"renamed", map[string]string{"old": "old one", "new": "FIr"}},
		{"rename synced", map[string]string{"old": "FIr"}},
		{"sub without its folder", map[string]string{"old": "FIr"}},
		{"sub", map[string]string{"old": "FIr", "sub/a": "a"}},
		{"removed", map[string]string{"old": "FIr", "sub/a": "a"}},
		{"copied", map[string]string{"copy": "a"}},
	} {
		t.Run(c.after, func(t *testing.T) {
			if steps[c.after] == 0 {
				t.Fatalf("it was not said; said were %v", slices.Sorted(maps.Keys(steps)))
			}
			got := map[string]string{}
			for name, data := range tr.Cut(steps[c.after], power.Everything, rand.New(rand.NewPCG(1, 1))) {
				got[name] = string(data)
			}
			if !maps.Equal(got, c.want) {
				t.Errorf("found are %q, not %q", got, c.want)
			}
		})
	}
}

// Of what was not synced any part may be there, and nothing that was never written.
func TestAnyCut(t *testing.T) {
	tr, steps := trace(t)
	found := map[string]map[string]bool{}
	rng := rand.New(rand.NewPCG(2, 2))
	for range 400 {
		for _, step := range []string{"written", "changed", "renamed"} {
			files := tr.Cut(steps[step], power.Anything, rng)
			if found[step] == nil {
				found[step] = map[string]bool{}
			}
			for name, data := range files {
				found[step][name+"="+string(data)] = true
			}
		}
	}
	for step, want := range map[string][]string{
		"written": {"new=", "new=f", "new=first", "old=old one"},
		"changed": {"new=FIr", "new=FIrst", "new=Fir", "new=First", "new=fir", "new=first", "old=old one"},
		"renamed": {"new=FIr", "old=FIr", "old=old one"},
	} {
		got := slices.Sorted(maps.Keys(found[step]))
		for _, one := range want {
			if !slices.Contains(got, one) {
				t.Errorf("%s: never found %q, but %q", step, one, got)
			}
		}
		if step != "written" && !slices.Equal(got, want) {
			t.Errorf("%s: found %q, not %q", step, got, want)
		}
	}
}
