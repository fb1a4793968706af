package storage_test

import (
	"database/sql"
	"strings"
	"testing"

	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// No act takes a text that is no UTF-8, has signs that are not seen, or is too
// long; it says so at the text's field.
func TestActsRefuseTexts(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	ids := value[[]tanks.ReadingID](t)(s.SaveReadings(ctx, []tanks.Reading{calcium(f, 2, 420)}))
	long, note := strings.Repeat("x", tanks.LongestName+1), strings.Repeat("x", tanks.LongestNote+1)
	system := f.Systems[0]
	for name, c := range map[string]struct {
		field string
		act   func(text string) error
		bad   []string
	}{
		"system's name": {"name", func(text string) error { s1 := system; s1.Name = text; return s.SaveSystem(ctx, &s1) },
			[]string{long, "a\nb"}},
		"new system": {"name", func(text string) error {
			return s.SaveSystem(ctx, &tanks.System{Code: "N1", Name: text, Kind: tanks.Marine, Profile: system.Profile, Opened: f.Now})
		}, []string{long}},
		"observation": {"text", func(text string) error {
			return s.SaveObservation(ctx, &tanks.Observation{System: system.ID, At: f.Now, Text: text})
		}, []string{note}},
		"person's name": {"name", func(text string) error { return s.SavePerson(ctx, &tanks.Person{Initials: "XY", Name: text}) },
			[]string{long}},
		"reason": {"reason", func(text string) error { return s.WithdrawReading(ctx, ids[0], text, "AB") }, []string{note}},
		"reading's note": {"note", func(text string) error {
			r := calcium(f, 1, 421)
			r.Note = text
			_, err := s.SaveReadings(ctx, []tanks.Reading{r})
			return err
		}, []string{note}},
	} {
		for _, text := range append(c.bad, "a\xffb", "a\x1bb", "\x1dT") {
			fs := tanks.FaultsOf(c.act(text))
			if len(fs) != 1 || !strings.HasSuffix(fs[0].Field, c.field) {
				t.Errorf("%s: %.20q is taken, or the fault is not at %s: %v", name, text, c.field, fs)
			}
		}
	}
	must(t, s.WithdrawReading(ctx, ids[0], strings.Repeat("\U0001F420", 200), "AB"))
}

// A text from before texts were checked stays when another field is changed, and
// the ledger opens.
func TestOlderTextsStay(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	old := strings.Repeat("y", 3*tanks.LongestNote) + "\xff"
	db, err := sql.Open("sqlite3", s.Path())
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if _, err := db.Exec("UPDATE systems SET name = ?", old); err != nil {
		t.Fatal(err)
	}
	systems, err := s.Systems(ctx)
	if err != nil || systems[0].Name != old {
		t.Fatalf("%v, %d bytes of %d", err, len(systems[0].Name), len(old))
	}
	changed := systems[0]
	changed.Stated = 123
	must(t, s.SaveSystem(ctx, &changed))
	path := s.Path()
	must(t, s.Close())
	again, err := storage.Open(ctx, path, storagetest.Clock)
	if err != nil {
		t.Fatal(err)
	}
	defer again.Close()
	if back, err := again.System(ctx, f.Systems[0].ID); err != nil || back.Name != old || back.Stated != 123 {
		t.Errorf("%v, %d bytes", err, len(back.Name))
	}
}
