package crash

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// A report tells the kind of a panic and where, and nothing that the panic held.
func TestCatch(t *testing.T) {
	none := []int{}
	for name, c := range map[string]struct {
		do   func()
		what string // empty: no fault
	}{
		"ends well":         {func() {}, ""},
		"index":             {func() { _ = none[len(none)] }, "runtime error: index out of range [0] with length 0"},
		"a text":            {func() { panic("F1 alkalinity 8.3") }, "a panic with a string"},
		"an error of ours":  {func() { panic(errors.New("F1 alkalinity 8.3")) }, "a panic with a *errors.errorString"},
		"raised once more":  {func() { panic(&Fault{What: "the first", Stack: "there"}) }, "the first"},
		"nil of a function": {func() { var f func(); f() }, "runtime error: invalid memory address or nil pointer dereference"},
	} {
		t.Run(name, func(t *testing.T) {
			fault := Catch(c.do)
			if (fault != nil) != (c.what != "") {
				t.Fatalf("caught %v", fault)
			}
			if fault == nil {
				return
			}
			text := Report{Fault: fault, Version: "9.9", Where: "Rounds", At: time.Date(2026, 3, 10, 8, 2, 0, 0, time.UTC)}.String()
			if fault.What != c.what || !strings.Contains(text, c.what) || !strings.Contains(text, "Rounds") ||
				!strings.Contains(text, "2026-03-10T08:02:00Z") {
				t.Errorf("caught %q, reported\n%s", fault.What, text)
			}
			if strings.Contains(text, "8.3") {
				t.Errorf("the report holds a reading:\n%s", text)
			}
			if name == "index" && !strings.Contains(text, "crash_test.go") || name == "raised once more" && fault.Stack != "there" {
				t.Errorf("the stack does not lead to the place:\n%s", text)
			}
		})
	}
}

// The panic of a goroutine arrives where the window's goroutine is.
func TestGo(t *testing.T) {
	posted := make(chan func(), 1)
	Go(func(do func()) { posted <- do }, func() { panic(42) })
	fault := Catch(<-posted)
	if fault == nil || fault.What != "a panic with a int" || !strings.Contains(fault.Stack, "TestGo") {
		t.Errorf("arrived %+v", fault)
	}
}

func TestAgain(t *testing.T) {
	now := time.Date(2026, 3, 10, 8, 2, 0, 0, time.UTC)
	ago := func(seconds ...int) Resume {
		var r Resume
		for _, s := range seconds {
			r.Faults = append(r.Faults, now.Add(-time.Duration(s)*time.Second))
		}
		return r
	}
	for name, c := range map[string]struct {
		r            Resume
		again, quiet bool
	}{
		"the first":               {ago(0), true, false},
		"a second soon after":     {ago(30, 0), true, true},
		"a second an hour later":  {ago(3600, 0), true, false},
		"a third soon after":      {ago(50, 30, 0), false, true},
		"two long ago, one today": {ago(7200, 7190, 0), true, false},
	} {
		if again, quiet := c.r.Again(now), c.r.Quiet(); again != c.again || quiet != c.quiet {
			t.Errorf("%s: again %v, quiet %v", name, again, quiet)
		}
	}
}

func TestReportIsWritten(t *testing.T) {
	folder := t.TempDir()
	r := Report{Fault: &Fault{What: "it"}, At: time.Date(2026, 3, 10, 8, 2, 0, 0, time.UTC)}
	for name, c := range map[string]struct{ ledger, want string }{
		"beside the ledger": {filepath.Join(folder, "Our room.ledger"), filepath.Join(folder, "Our room-fault-20260310-080200.txt")},
		"without a ledger":  {"", filepath.Join(folder, "data", "weirkeeper-fault-20260310-080200.txt")},
	} {
		path, err := r.Write(c.ledger, filepath.Join(folder, "data"))
		if err != nil || path != c.want {
			t.Errorf("%s: %s, %v", name, path, err)
		}
		if text, err := os.ReadFile(path); err != nil || !strings.Contains(string(text), "What: it") {
			t.Errorf("%s: %q, %v", name, text, err)
		}
	}
	if _, err := r.Write(filepath.Join(folder, "no such folder\x00", "x.ledger"), ""); err == nil {
		t.Error("a folder that cannot be is no error")
	}
}

func TestGiven(t *testing.T) {
	path := filepath.Join(t.TempDir(), "resume.json")
	if err := os.WriteFile(path, []byte(`{"Ledger":"a.ledger","Typed":[{"Field":"Code","Text":"F3"}]}`), 0o600); err != nil {
		t.Fatal(err)
	}
	t.Setenv(resumeVariable, path)
	r := Given()
	if r == nil || r.Ledger != "a.ledger" || len(r.Typed) != 1 || r.Typed[0] != (Typed{"Code", "F3"}) {
		t.Fatalf("given %+v", r)
	}
	if _, err := os.Stat(path); err == nil {
		t.Error("the file stays behind")
	}
	if again := Given(); again != nil {
		t.Errorf("given twice: %+v", again)
	}
}
