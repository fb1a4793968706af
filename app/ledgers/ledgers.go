// Package ledgers is the life of a ledger apart from any window: where it lies, how
// it is made and opened, the demo room's copy, backups, and what is done about a
// broken one.
package ledgers

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/adrg/xdg"

	"weirkeeper/assets/words"
	"weirkeeper/storage"
	"weirkeeper/storage/demoroom"
	"weirkeeper/storage/durable"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/tanks"
)

// Suffix ends the names of ledgers.
const Suffix = ".ledger"

const demoSeed = 20

// Folder returns where ledgers lie unless chosen otherwise.
func Folder() string { return filepath.Join(xdg.DataHome, "weirkeeper") }

// Create makes the ledger of a new room, and its folder.
func Create(ctx context.Context, path string, room tanks.Room, clock storage.Clock) (*storage.Store, error) {
	if err := durable.MakeFolders(filepath.Dir(path), 0o755); err != nil {
		return nil, words.Errorf("making the folder of the ledger: %w", err)
	}
	return storage.Create(ctx, path, room, clock)
}

// Demo makes a fresh copy of the demo room at path. With an empty path it lies in a
// temporary folder, scratch, which whoever closes it removes; those of programs that
// were killed go too.
func Demo(ctx context.Context, path string, clock storage.Clock) (store *storage.Store, scratch string, err error) {
	if path == "" {
		if scratch, err = os.MkdirTemp("", demoFolder); err != nil {
			return nil, "", words.Errorf("making the demo room's folder: %w", err)
		}
		removeLeftDemos(ctx, scratch, clock())
		path = filepath.Join(scratch, demoFile)
	}
	store, err = demoroom.Create(ctx, path, clock, demoSeed)
	return store, scratch, err
}

const (
	demoFolder = "weirkeeper-demo-"
	demoFile   = "demo" + Suffix
	// leftAge is how old the folder of a demo room is that nobody has open before it
	// counts as left behind: one that is just being made has no lock yet.
	leftAge = 10 * time.Minute
)

// removeLeftDemos removes the folders of demo rooms, older than the one that was just
// made, which no program has open. What cannot be removed stays.
func removeLeftDemos(ctx context.Context, made string, now time.Time) {
	mine, err := os.Stat(made)
	if err != nil {
		return
	}
	folders, _ := filepath.Glob(filepath.Join(filepath.Dir(made), demoFolder+"*")) // no bad pattern
	for _, folder := range folders {
		info, err := os.Lstat(folder)
		if err != nil || !info.IsDir() || mine.ModTime().Sub(info.ModTime()) < leftAge {
			continue
		}
		lock, err := ledgerfile.Hold(ctx, filepath.Join(folder, demoFile), now)
		if err != nil {
			continue // open in another program, or another person's
		}
		if err := lock.Release(); err == nil {
			os.RemoveAll(folder)
		}
	}
}

// Opening is a ledger that is being opened while something else is done.
type Opening struct {
	Path  string
	ended chan struct{}
	store *storage.Store
	err   error
}

// Begin opens a ledger by start, which runs something on a goroutine of its own.
func Begin(path string, clock storage.Clock, start func(func())) *Opening {
	o := &Opening{Path: path, ended: make(chan struct{}), err: errFault}
	start(func() {
		defer close(o.ended)
		o.store, o.err = storage.Open(context.Background(), path, clock)
	})
	return o
}

// errFault is how an opening ends that ended in a fault of the program, which is
// said where faults are.
var errFault = words.New("the program met a fault while it opened the ledger")

// Within waits no longer than most; ok tells that the ledger is open.
func (o *Opening) Within(most time.Duration) (store *storage.Store, ok bool) {
	select {
	case <-o.ended:
		return o.store, o.err == nil
	default:
	}
	select {
	case <-o.ended:
		return o.store, o.err == nil
	case <-time.After(most):
		return nil, false
	}
}

// Wait returns the opened ledger, or why it cannot be opened.
func (o *Opening) Wait() (*storage.Store, error) {
	<-o.ended
	return o.store, o.err
}

// Files returns the names of the files in the ledgers' folder; none while there is
// no such folder.
func Files() map[string]bool {
	names := map[string]bool{}
	entries, err := os.ReadDir(Folder())
	if err != nil {
		return names // a folder that cannot be read says so when something is put there
	}
	for _, e := range entries {
		names[e.Name()] = true
	}
	return names
}

// FileFor suggests a file for a room that does not exist yet, none of those that
// are taken; empty for a name that no file can have.
func FileFor(room string, taken map[string]bool) string {
	clean := strings.Map(func(r rune) rune {
		if strings.ContainsRune(`/\:*?"<>|`, r) || r < ' ' {
			return '-'
		}
		return r
	}, strings.TrimSpace(room))
	if strings.Trim(clean, ". ") == "" {
		return ""
	}
	name := clean + Suffix
	for n := 2; taken[name]; n++ {
		name = fmt.Sprintf("%s %d%s", clean, n, Suffix)
	}
	return filepath.Join(Folder(), name)
}

// LocalZone returns the IANA name of this computer's zone, "UTC" when it has none.
func LocalZone() string {
	if name := time.Local.String(); name != "Local" && name != "" {
		return name
	}
	if link, err := os.Readlink("/etc/localtime"); err == nil {
		if _, name, ok := strings.Cut(link, "zoneinfo/"); ok {
			if _, err := time.LoadLocation(name); err == nil {
				return name
			}
		}
	}
	return "UTC"
}
