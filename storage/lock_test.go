package storage_test

import (
	"bufio"
	"errors"
	"strings"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/storagetest"
	"weirkeeper/storage/storagetest/faults"
	"weirkeeper/tanks"
)

func TestSecondProgramMayOnlyLook(t *testing.T) {
	s, f := storagetest.Room(t)
	var held *ledgerfile.HeldError
	if _, err := storage.Open(t.Context(), s.Path(), storagetest.Clock); !errors.As(err, &held) {
		t.Fatalf("a second program got %v", err)
	}
	look, err := storage.OpenToLook(t.Context(), s.Path(), storagetest.Clock)
	must(t, err)
	defer look.Close()
	if !look.ReadOnly() || s.ReadOnly() {
		t.Error("who may write is the wrong way round")
	}
	// It sees what the first saves, and cannot save itself.
	value[[]tanks.ReadingID](t)(s.SaveReadings(t.Context(), []tanks.Reading{calcium(f, 1, 420)}))
	same(t, newest(t, look), []float64{420})
	if _, err := look.SaveReadings(t.Context(), []tanks.Reading{calcium(f, 0, 400)}); !errors.Is(err, storage.ErrReadOnly) {
		t.Errorf("saving while looking gave %v", err)
	}
	if err := look.SaveRoom(t.Context(), tanks.Room{Name: "Other", Zone: "UTC"}); !errors.Is(err, storage.ErrReadOnly) {
		t.Errorf("renaming while looking gave %v", err)
	}
}

// What a killed program held is free at once.
func TestLockOfAKilledProgram(t *testing.T) {
	s, _ := storagetest.Room(t)
	must(t, s.Close())
	child := faults.Child("", saveForEver, s.Path())
	out, err := child.StdoutPipe()
	must(t, err)
	must(t, child.Start())
	bufio.NewReader(out).ReadString('\n') // it has saved, so it holds
	_, err = storage.Open(t.Context(), s.Path(), storagetest.Clock)
	var held *ledgerfile.HeldError
	if !errors.As(err, &held) || held.Holder.PID != child.Process.Pid {
		t.Errorf("beside the child: %v", err)
	}
	b := storage.Backup{}
	if look, err := storage.OpenToLook(t.Context(), s.Path(), time.Now); err != nil {
		t.Error(err)
	} else {
		// Beside a program that saves without a pause, a backup is whole or says
		// why it is not made.
		b, err = look.Backup(t.Context(), t.TempDir(), nil)
		if err != nil && !strings.Contains(err.Error(), "changed during each") {
			t.Error(err)
		}
		if err == nil && b.Rows["readings"] == 0 {
			t.Errorf("the backup is empty: %+v", b)
		}
		look.Close()
	}
	must(t, child.Process.Kill())
	child.Wait()
	next, err := storage.Open(t.Context(), s.Path(), storagetest.Clock)
	must(t, err)
	defer next.Close()
	if all, err := next.Series(t.Context(), 1, chem.Calcium, time.Time{}, time.Time{}); err != nil || len(all) == 0 {
		t.Errorf("%d readings, %v", len(all), err)
	}
}

func TestRestoreBesideAnOpenLedger(t *testing.T) {
	s, f := filled(t, 5)
	b, err := s.Backup(t.Context(), t.TempDir(), nil)
	must(t, err)
	var held *ledgerfile.HeldError
	if kept, err := storage.Restore(t.Context(), b, s.Path(), f.Now); !errors.As(err, &held) || kept != "" {
		t.Errorf("%q, %v", kept, err)
	}
	if _, err := s.Room(t.Context()); err != nil {
		t.Errorf("the open ledger was hurt: %v", err)
	}
}
