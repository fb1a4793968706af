package safekeeping_test

import (
	"bufio"
	"errors"
	"strings"
	"testing"

	"weirkeeper/storage"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/safekeeping"
	"weirkeeper/storage/storagetest"
	"weirkeeper/storage/storagetest/faults"
)

// Beside a program that saves without a pause, a backup is whole or says why it is
// not made.
func TestBackupBesideAnotherProgram(t *testing.T) {
	s, _ := storagetest.Room(t)
	must(t, s.Close())
	child := faults.Child("", storagetest.SaveForEver, s.Path())
	out, err := child.StdoutPipe()
	must(t, err)
	must(t, child.Start())
	bufio.NewReader(out).ReadString('\n') // it has saved, so it holds
	look := value[*storage.Store](t)(storage.OpenToLook(t.Context(), s.Path(), storagetest.Clock))
	b, err := safekeeping.TakeBackup(t.Context(), look, t.TempDir(), storagetest.Now, nil)
	if err != nil && !strings.Contains(err.Error(), "changed during each") {
		t.Error(err)
	}
	if err == nil && b.Rows["readings"] == 0 {
		t.Errorf("the backup is empty: %+v", b)
	}
	must(t, look.Close())
	must(t, child.Process.Kill())
	child.Wait()
}

func TestRestoreBesideAnOpenLedger(t *testing.T) {
	s, f := filled(t, 5)
	b, err := safekeeping.TakeBackup(t.Context(), s, t.TempDir(), storagetest.Now, nil)
	must(t, err)
	var held *ledgerfile.HeldError
	if kept, err := safekeeping.Restore(t.Context(), b, s.Path(), f.Now); !errors.As(err, &held) || kept != "" {
		t.Errorf("%q, %v", kept, err)
	}
	if _, err := s.Room(t.Context()); err != nil {
		t.Errorf("the open ledger was hurt: %v", err)
	}
}
