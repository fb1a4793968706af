package shell

import (
	"strings"
	"testing"

	"weirkeeper/app/apptest"
	"weirkeeper/app/look"
	"weirkeeper/app/tour"
	"weirkeeper/storage/storagetest"
)

// A ledger with an analyte of a newer version of the program opens on every screen,
// where its values are said to be that.
func TestNewerAnalyteIsShown(t *testing.T) {
	store := demoStore(t)
	storagetest.AddNewer(t, store.Path(), shopMorning)
	stops, err := tour.Stops(t.Context(), store)
	if err != nil {
		t.Fatal(err)
	}
	w := show(t, tour.Variant{Size: tour.Large, Theme: look.AlwaysLight, Scale: 1}, store)
	shown := map[string]bool{}
	for _, s := range stops {
		visit(t, w, s)
		for _, text := range apptest.Texts(w.win) {
			if strings.Contains(text.Text, "nalyte 210") || strings.Contains(text.Text, "#210") {
				shown[s.Name] = true
			}
		}
	}
	for _, name := range []string{"rounds", "room", "trends", "system-water", "system-trend", "system-log"} {
		if !shown[name] {
			t.Errorf("the analyte is not on %s", name)
		}
	}
}
