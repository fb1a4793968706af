package ledgerfile

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"weirkeeper/storage/storagetest/faults"
)

// holdForEver is the job of a child that holds a ledger until it is killed.
const holdForEver = "hold for ever"

// openOnce is the job of a child that says whether a ledger is held.
const openOnce = "open once"

func TestMain(m *testing.M) {
	faults.Main(m, map[string]func(path string){
		holdForEver: func(path string) {
			_, err := Open(context.Background(), path, now, nothing)
			fmt.Println("opened:", err)
			time.Sleep(time.Hour)
		},
		openGuarded: openWithoutRights,
		openOnce: func(path string) {
			f, err := Open(context.Background(), path, now, nothing)
			held := new(HeldError)
			fmt.Printf("held: %t\n", errors.As(err, &held))
			if err == nil {
				f.Close()
			}
		},
	})
}

func TestSecondProgramMayOnlyLook(t *testing.T) {
	f := newLedger(t)
	_, err := Open(t.Context(), f.Path(), now, nothing)
	var held *HeldError
	if !errors.As(err, &held) || held.Holder.PID != os.Getpid() || held.Holder.Host == "" ||
		!strings.Contains(err.Error(), "open it here only to look") {
		t.Fatalf("a second program got %v", err)
	}
	look, err := OpenToLook(t.Context(), f.Path())
	must(t, err)
	defer look.Close()
	if !look.ReadOnly() || f.ReadOnly() || look.Writer() != nil {
		t.Error("who may write is the wrong way round")
	}
	if _, err := f.Writer().Exec("UPDATE room SET name = 'Front room'"); err != nil || roomOf(t, look) != "Front room" {
		t.Errorf("it sees %q, %v", roomOf(t, look), err)
	}
	if _, err := look.Reader().Exec("UPDATE room SET name = 'x'"); err == nil {
		t.Error("it can write")
	}
	must(t, f.Close())
	next, err := Open(t.Context(), f.Path(), now, nothing)
	must(t, err)
	must(t, next.Close())
	if _, err := os.Stat(f.Path() + "-holder"); !os.IsNotExist(err) {
		t.Errorf("the name of the holder stays: %v", err)
	}
}

// A ledger that cannot be made leaves no file, and the lock of another program
// alone.
func TestCreateBesideALock(t *testing.T) {
	path := filepath.Join(t.TempDir(), "room")
	lock, err := Hold(t.Context(), path, now)
	must(t, err)
	var held *HeldError
	if f, err := Create(t.Context(), path, now); f != nil || !errors.As(err, &held) {
		t.Errorf("made beside a lock: %v, %v", f != nil, err)
	}
	if _, err := os.Stat(path); !os.IsNotExist(err) {
		t.Errorf("the file is there: %v", err)
	}
	if _, err := Hold(t.Context(), path, now); !errors.As(err, &held) {
		t.Errorf("the lock is gone: %v", err)
	}
	must(t, lock.Release())
	f, err := Create(t.Context(), path, now)
	must(t, err)
	f.Discard()
	if left, err := os.ReadDir(filepath.Dir(path)); len(left) != 0 || err != nil {
		t.Errorf("discarded, the folder holds %v, %v", left, err)
	}
}

// What a killed program held is free at once.
func TestLockOfAKilledProgram(t *testing.T) {
	path := closedLedger(t, "room")
	child := faults.Child("", holdForEver, path)
	out, err := child.StdoutPipe()
	must(t, err)
	must(t, child.Start())
	if said, err := bufio.NewReader(out).ReadString('\n'); said != "opened: <nil>\n" {
		t.Fatalf("the child %q, %v", said, err)
	}
	_, err = Open(t.Context(), path, now, nothing)
	var held *HeldError
	if !errors.As(err, &held) || held.Holder.PID != child.Process.Pid {
		t.Errorf("beside the child: %v", err)
	}
	must(t, child.Process.Kill())
	child.Wait()
	next, err := Open(t.Context(), path, now, nothing)
	must(t, err)
	must(t, next.Close())
}

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}
