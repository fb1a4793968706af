package storage_test

import (
	"strings"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// TestFullDisk caps the file's size, as a full disk does: the save fails and
// says so, nothing of it is kept, and saving goes on when there is room again.
func TestFullDisk(t *testing.T) {
	ctx := t.Context()
	s, f := storagetest.Room(t)
	system := f.Systems[0]
	sheet := make([]tanks.Reading, 2000)
	for i := range sheet {
		sheet[i] = tanks.Reading{
			System:  system.ID,
			Analyte: chem.Calcium,
			At:      f.Now.Add(-time.Duration(i) * time.Minute),
			Value:   420,
			Note:    strings.Repeat("x", 50),
		}
	}
	must(t, s.LargestFile(80))
	ids, err := s.SaveReadings(ctx, sheet)
	if ids != nil || err == nil || !strings.Contains(err.Error(), "not saved, the disk is full") {
		t.Fatalf("%d saved, %v", len(ids), err)
	}
	if got, err := s.ReadingsOf(ctx, system.ID, time.Time{}, time.Time{}); len(got) != 0 || err != nil {
		t.Errorf("half saved: %d, %v", len(got), err)
	}
	must(t, s.LargestFile(1_000_000))
	if ids, err := s.SaveReadings(ctx, sheet); len(ids) != 2000 || err != nil {
		t.Errorf("%d saved, %v", len(ids), err)
	}
}
