package ledgerfile

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"weirkeeper/storage/durable"
	"weirkeeper/storage/storagetest/faults"
)

// openGuarded is the job of a child that opens a ledger which it may not write.
const openGuarded = "open guarded"

// openWithoutRights says what becomes of opening a ledger for writing, and then
// only to look.
func openWithoutRights(path string) {
	ctx := context.Background()
	f, err := Open(ctx, path, now, nothing)
	var refused *OpenError
	fmt.Println("write:", errors.As(err, &refused) && refused.Viewable(), err)
	if err == nil {
		f.Close()
	}
	look, err := OpenToLook(ctx, path)
	if err != nil {
		fmt.Println("look:", err)
		return
	}
	var room string
	err = look.Reader().QueryRow("SELECT name FROM room").Scan(&room)
	fmt.Println("look:", look.ReadOnly(), room, err)
	fmt.Println("close:", look.Close())
}

// A ledger in a folder, or a file, that may not be written can be looked at, and
// is not touched. The child runs as nobody when the test runs as root, who may
// write everything.
func TestGuardedLedgers(t *testing.T) {
	place, err := os.MkdirTemp("", "guarded")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		filepath.WalkDir(place, func(path string, _ os.DirEntry, _ error) error { return os.Chmod(path, 0o755) })
		os.RemoveAll(place)
	})
	must(t, os.Chmod(place, 0o755))
	program := filepath.Join(place, "program")
	must(t, durable.Copy(t.Context(), program, os.Args[0], 0o755))
	must(t, os.Chmod(program, 0o755))
	for name, guard := range map[string]struct{ folder, file os.FileMode }{"folder": {0o555, 0o644}, "file": {0o777, 0o444},
		"both": {0o555, 0o444}} {
		t.Run(name, func(t *testing.T) {
			folder := filepath.Join(place, name)
			must(t, os.Mkdir(folder, 0o755))
			path := filepath.Join(folder, "room.ledger")
			must(t, durable.Copy(t.Context(), path, closedLedger(t, "room"), 0o644))
			before := read(t, path)
			must(t, os.Chmod(path, guard.file))
			must(t, os.Chmod(folder, guard.folder))
			child := faults.Child(program, openGuarded, path)
			child.Dir = place
			if os.Getuid() == 0 {
				child.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
			}
			out, err := child.CombinedOutput()
			said := string(out)
			if err != nil || !strings.Contains(said, "write: true ") || !strings.Contains(said, "look: true Back room <nil>") ||
				!strings.Contains(said, "close: <nil>") {
				t.Errorf("%v\n%s", err, said)
			}
			if string(read(t, path)) != string(before) {
				t.Error("the ledger was changed")
			}
		})
	}
}
