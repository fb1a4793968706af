package storage_test

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/safekeeping"
	"weirkeeper/storage/storagetest"
	"weirkeeper/storage/storagetest/faults"
	"weirkeeper/tanks"
)

// fillUp is the job of a child that saves into a ledger until no more fits, and
// then again when there is room.
const fillUp = "fill up"

func init() {
	childJobs[fillUp] = saveUntilFull
}

// saveUntilFull limits the size of files to a little more than the ledger's, as
// a full disk would, and saves until that fails. It prints the ids that were
// acknowledged, what the failure said, and whether the next save went through
// once the limit was lifted.
func saveUntilFull(path string) {
	signal.Ignore(syscall.SIGXFSZ)
	s, err := storage.Open(context.Background(), path, storagetest.Clock)
	if err != nil {
		fmt.Println("open:", err)
		return
	}
	info, err := os.Stat(path)
	if err != nil {
		fmt.Println("stat:", err)
		return
	}
	var free syscall.Rlimit
	syscall.Getrlimit(syscall.RLIMIT_FSIZE, &free)
	full := syscall.Rlimit{Cur: uint64(info.Size()) + 300000, Max: free.Max}
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &full); err != nil {
		fmt.Println("limit:", err)
		return
	}
	one := func(n int) error {
		note := strings.Repeat("a long note ", 400)
		ids, err := s.SaveReadings(
			context.Background(),
			[]tanks.Reading{
				{System: 1, Analyte: chem.Calcium, At: storagetest.Now.Add(-time.Duration(n) * time.Second), Value: 420, Note: note},
			},
		)
		if err == nil {
			fmt.Println("saved", ids[0])
		}
		return err
	}
	for n := range 5000 {
		if err = one(n); err != nil {
			break
		}
	}
	fmt.Println("failed:", strings.ReplaceAll(fmt.Sprint(err), "\n", " "))
	if all, err := s.Latest(context.Background()); err != nil || len(all) == 0 {
		fmt.Println("reading when full:", err)
	}
	syscall.Setrlimit(syscall.RLIMIT_FSIZE, &free)
	fmt.Println("again:", one(6000))
	fmt.Println("closed:", s.Close())
}

// When the disk is full a save says so, nothing acknowledged is lost, the
// ledger can be read, and it goes on when there is room.
func TestFileSizeLimit(t *testing.T) {
	s, _ := storagetest.Room(t)
	path := s.Path()
	must(t, s.Close())
	child := faults.Child("", fillUp, path)
	out, err := child.StdoutPipe()
	must(t, err)
	must(t, child.Start())
	said := map[string]string{}
	saved := map[int64]bool{}
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		if id, ok := strings.CutPrefix(lines.Text(), "saved "); ok {
			n, err := strconv.ParseInt(id, 10, 64)
			must(t, err)
			saved[n] = true
			continue
		}
		what, text, _ := strings.Cut(lines.Text(), ": ")
		said[what] = text
	}
	io.Copy(io.Discard, out)
	must(t, child.Wait())
	if len(saved) < 10 || !strings.Contains(said["failed"], "not saved") || said["again"] != "<nil>" || said["closed"] != "<nil>" ||
		len(said) != 3 {
		t.Fatalf("%d saved, and it said %q", len(saved), said)
	}
	r, err := safekeeping.Check(t.Context(), path)
	if err != nil || !r.Sound() || r.Rows["readings"] != len(saved) {
		t.Errorf("%d acknowledged, and the ledger holds %+v, %v", len(saved), r, err)
	}
}
