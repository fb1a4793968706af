package storage_test

import (
	"errors"
	"testing"

	"weirkeeper/storage"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/storagetest"
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
