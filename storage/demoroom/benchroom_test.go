package demoroom

import (
	"context"
	"path/filepath"
	"testing"
	"time"

	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// A small bench room: as many systems as asked, tested through all its days, the
// same from the same seed.
func TestBenchRoom(t *testing.T) {
	at := time.Date(2026, 3, 10, 8, 2, 0, 0, time.UTC)
	size := BenchSize{Systems: 20, Days: 120, Often: 2}
	make := func() (*storage.Store, []tanks.Reading) {
		t.Helper()
		steps := 0
		s, err := CreateBench(
			context.Background(),
			filepath.Join(t.TempDir(), "bench.ledger"),
			func() time.Time { return at },
			7,
			size,
			func(done int) { steps = done },
		)
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { s.Close() })
		if steps != size.Systems {
			t.Errorf("%d systems were told, want %d", steps, size.Systems)
		}
		latest, err := s.Latest(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		return s, latest
	}
	s, latest := make()
	systems, err := s.Systems(t.Context())
	if err != nil || len(systems) != size.Systems {
		t.Fatalf("%d systems, %v", len(systems), err)
	}
	total := 0
	for _, system := range systems {
		all, err := s.ReadingsOf(t.Context(), system.ID, time.Time{}, at)
		if err != nil || len(all) == 0 {
			t.Fatalf("%s has %d readings, %v", system.Code, len(all), err)
		}
		total += len(all)
		if oldest := at.Sub(all[0].At); oldest < 100*24*time.Hour {
			t.Errorf("the oldest reading of %s is %v old", system.Code, oldest)
		}
	}
	if perDay := float64(total) / float64(size.Systems*size.Days); perDay < 2 {
		t.Errorf("%.1f readings a day and system: the full bench room would hold fewer than two million", perDay)
	}
	if wrong, err := s.CheckLatest(t.Context()); wrong != 0 || err != nil {
		t.Errorf("%d of the newest are wrong, %v", wrong, err)
	}
	_, again := make()
	if len(again) != len(latest) {
		t.Fatalf("%d newest, and %d from the same seed", len(latest), len(again))
	}
	for i := range latest {
		if latest[i].Value != again[i].Value || !latest[i].At.Equal(again[i].At) {
			t.Fatalf("reading %d is %+v, and %+v from the same seed", i, latest[i], again[i])
		}
	}
}
