package storage_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// openGuarded names a ledger that a child opens which may not write it.
const openGuarded = "WEIRKEEPER_TEST_OPEN_GUARDED"

func init() { childJobs[openGuarded] = openWithoutRights }

// openWithoutRights says what becomes of opening a ledger for writing, and then
// only to look.
func openWithoutRights(path string) {
	ctx := context.Background()
	s, err := storage.Open(ctx, path, storagetest.Clock)
	var refused *storage.OpenError
	fmt.Println("write:", errors.As(err, &refused) && refused.Viewable(), err)
	if err == nil {
		s.Close()
	}
	look, err := storage.OpenToLook(ctx, path, storagetest.Clock)
	if err != nil {
		fmt.Println("look:", err)
		return
	}
	room, err := look.Room(ctx)
	fmt.Println("look:", room.Name, err)
	fmt.Println("save:", look.SaveObservation(ctx, &tanks.Observation{System: 1, At: storagetest.Now, Text: "x"}))
	fmt.Println("close:", look.Close())
}

// A ledger in a folder, or a file, that may not be written can be looked at, and
// is not touched. The child runs as nobody when the test runs as root, who may
// write everything.
func TestGuardedLedgers(t *testing.T) {
	place := value[string](t)(os.MkdirTemp("", "guarded"))
	t.Cleanup(func() {
		filepath.WalkDir(place, func(path string, _ os.DirEntry, _ error) error { return os.Chmod(path, 0o755) })
		os.RemoveAll(place)
	})
	must(t, os.Chmod(place, 0o755))
	program := filepath.Join(place, "program")
	copyOf(t, os.Args[0], program)
	must(t, os.Chmod(program, 0o755))
	for name, guard := range map[string]struct{ folder, file os.FileMode }{"folder": {0o555, 0o644}, "file": {0o777, 0o444}, "both": {0o555, 0o444}} {
		t.Run(name, func(t *testing.T) {
			s, _ := storagetest.Room(t)
			must(t, s.Close())
			folder := filepath.Join(place, name)
			must(t, os.Mkdir(folder, 0o755))
			path := filepath.Join(folder, "room.ledger")
			copyOf(t, s.Path(), path)
			before := read(t, path)
			must(t, os.Chmod(path, guard.file))
			must(t, os.Chmod(folder, guard.folder))
			child := exec.Command(program)
			child.Env = append(os.Environ(), openGuarded+"="+path)
			child.Dir = place
			if os.Getuid() == 0 {
				child.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
			}
			out, err := child.CombinedOutput()
			said := string(out)
			if err != nil || !strings.Contains(said, "write: true ") || !strings.Contains(said, "look: Test room <nil>") || !strings.Contains(said, "the ledger is open only to look") || !strings.Contains(said, "close: <nil>") {
				t.Errorf("%v\n%s", err, said)
			}
			if string(read(t, path)) != string(before) {
				t.Error("the ledger was changed")
			}
		})
	}
}
