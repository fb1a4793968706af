package safekeeping

import (
	"slices"
	"testing"
	"time"

	"weirkeeper/assets/words"
)

// Lost rows are said with the days that they have in the room's zone.
func TestSaidOf(t *testing.T) {
	zone := time.FixedZone("room", 2*3600)
	at := func(day, hour int) int64 { return time.Date(2026, 3, day, hour, 30, 0, 0, time.UTC).UnixMilli() }
	for name, c := range map[string]struct {
		system      string
		first, last int64
		want        string
	}{
		"no system and day":           {"", 0, 0, "water changes: 7"},
		"a system":                    {"F1", 0, 0, "water changes of F1: 7"},
		"one day of the room":         {"F1", at(8, 22), at(9, 21), "water changes of F1: 7, of 9 Mar 2026"},
		"two days, one of Greenwich":  {"", at(9, 1), at(9, 23), "water changes: 7, of 9 Mar 2026 to 10 Mar 2026"},
		"days that are weeks between": {"F2", at(1, 8), at(29, 8), "water changes of F2: 7, of 1 Mar 2026 to 29 Mar 2026"},
	} {
		if got := saidOf("water_changes", c.system, 7, c.first, c.last, zone).String(); got != c.want {
			t.Errorf("%s: %q, want %q", name, got, c.want)
		}
	}
}

// What matters most to a keeper is said first, and the most rows first of one kind.
func TestOrderOfLosses(t *testing.T) {
	var s salvage
	for _, l := range []loss{
		{"drafts", 90, "drafts"}, {"versions", 80, "versions"}, {"tasks", 3, "tasks"}, {"readings", 2, "readings of F1"},
		{"bands", 50, "bands"}, {"readings", 11, "readings of F2"}, {"readings", 2, "readings of A7"}, {"additions", 99, "additions"},
		{"systems", 1, "systems"},
	} {
		s.lose(l.table, l.rows, l.text)
	}
	s.tell()
	want := []words.Text{
		"systems", "readings of F2", "readings of A7", "readings of F1", "additions", "bands", "tasks", "versions", "drafts",
	}
	if !slices.Equal(s.Losses, want) {
		t.Errorf("%q, want %q", s.Losses, want)
	}
}
