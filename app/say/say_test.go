package say

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"weirkeeper/assets/translations"
	"weirkeeper/assets/words"
)

func restore(t *testing.T) {
	before := Using()
	t.Cleanup(func() {
		Use(before)
		if err := Load(nil); err != nil {
			t.Error(err)
		}
	})
}

func TestStyles(t *testing.T) {
	restore(t)
	at := time.Date(2026, 5, 9, 8, 2, 0, 0, time.UTC)
	for name, c := range map[string]struct {
		style                                     Style
		day, long, ofYear, moment, number, phrase string
	}{
		"day first": {Style{}, "9 May 2026", "9 May 2026", "9 May", "9 May 2026, 08:02", "\u22121.50", "8.3 of 9 May 2026"},
		"month first": {Style{Dates: MonthFirst}, "May 9, 2026", "May 9, 2026", "May 9", "May 9, 2026, 08:02", "\u22121.50",
			"8.3 of May 9, 2026"},
		"ISO, comma": {Style{Comma: true, Dates: YearFirst}, "2026-05-09", "2026-05-09", "05-09", "2026-05-09, 08:02", "\u22121,50",
			"8,3 of 2026-05-09"},
	} {
		Use(c.style)
		for what, pair := range map[string][2]string{
			"day": {Day(at), c.day}, "long day": {LongDay(at), c.long}, "day of the year": {DayOfYear(at), c.ofYear}, "moment": {Moment(at),
				c.moment},
			"number": {Number(-1.5, 2), c.number}, "zero": {strings.Replace(Number(-0.001, 2), ",", ".", 1),
				"0.00"}, "phrase": {F("%.1f of %s", 8.3, at), c.phrase},
			"text": {L(words.T("%.1f of %s", 8.3, at)), c.phrase},
		} {
			if pair[0] != pair[1] {
				t.Errorf("%s, %s: %q, want %q", name, what, pair[0], pair[1])
			}
		}
	}
}

func TestPlurals(t *testing.T) {
	for n, want := range map[int]string{0: "0 days late", 1: "1 day late", 2: "2 days late"} {
		if got := N(n, "%d days late"); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// Another language takes the place of English, and English comes back.
func TestLoad(t *testing.T) {
	restore(t)
	if err := Load([]byte(`{"Saved": "Bewaard", "%d days late": {"one": "%d dag te laat", "other": "%d dagen te laat"}}`)); err != nil {
		t.Fatal(err)
	}
	if got := L("Saved") + ", " + N(1, "%d days late") + ", " + N(3, "%d days late"); got != "Bewaard, 1 dag te laat, 3 dagen te laat" {
		t.Errorf("%q", got)
	}
	if err := Load(nil); err != nil || L("Saved") != "Saved" {
		t.Errorf("%q, %v", L("Saved"), err)
	}
	if err := Load([]byte("{")); err == nil {
		t.Error("a broken file is taken")
	}
}

func TestPseudo(t *testing.T) {
	restore(t)
	pseudo := Pseudo(translations.English)
	var all map[string]any
	if err := json.Unmarshal(pseudo, &all); err != nil {
		t.Fatal(err)
	}
	if err := Load(pseudo); err != nil {
		t.Fatal(err)
	}
	got := F("%s is %.1f %s", words.T("calcium"), 8.25, "mg/L")
	for key, said := range all {
		for _, form := range formsOf(said) {
			if want, got := strings.Join(verbs(key), ""), strings.Join(verbs(form), ""); want != got {
				t.Fatalf("%q became %q", key, form)
			}
		}
	}
	if !strings.Contains(L("Save the room"), "\u0159") || strings.Contains(L("Save the room"), "room") {
		t.Errorf("%q", L("Save the room"))
	}
	if n, m := len([]rune(L("Save what this screen holds"))), len("Save what this screen holds"); float64(n) < 1.39*float64(m) {
		t.Errorf("%d letters became %d", m, n)
	}
	if got == "" {
		t.Error("nothing is said")
	}
}
