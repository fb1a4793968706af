package widgets

import (
	"errors"
	"strings"
	"testing"
	"time"

	"weirkeeper/app/say"

	"fyne.io/fyne/v2/test"
)

func zone(t *testing.T, name string) *time.Location {
	t.Helper()
	l, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func TestParseDay(t *testing.T) {
	paris := zone(t, "Europe/Paris")
	now := time.Date(2026, 3, 10, 23, 30, 0, 0, paris)
	cases := []struct{ text, want string }{
		{"2026-03-14", "2026-03-14"}, {"2026-3-4", "2026-03-04"}, {"20260314", "2026-03-14"}, {"14.3.2026", "2026-03-14"},
		{
			"14 March 2026",
			"2026-03-14",
		}, {"14 mar 2026", "2026-03-14"}, {"14 Mar", "2026-03-14"}, {"03-14", "2026-03-14"}, {"14.3.", "2026-03-14"},
		{"today", "2026-03-10"}, {"T", "2026-03-10"}, {" yesterday ", "2026-03-09"}, {"y", "2026-03-09"}, {"tomorrow", "2026-03-11"},
		{
			"-2",
			"2026-03-08",
		}, {"-2d", "2026-03-08"}, {"+3", "2026-03-13"}, {"-10", "2026-02-28"}, {"29 Feb 2028", "2028-02-29"}, {"Mar 14, 2026", "2026-03-14"}, {"march 14, 2026", "2026-03-14"}, {"14/3/2026", "2026-03-14"}, {"4/3", "2026-03-04"},
	}
	for _, c := range cases {
		got, err := ParseDay(c.text, now)
		if err != nil || got.Format("2006-01-02 15:04 MST") != c.want+" 00:00 CET" {
			t.Errorf("%q: %v, %v; want %s", c.text, got, err, c.want)
		}
	}
	for _, text := range []string{"", "  ", "soon", "2026-02-30", "31.4.2026", "+", "-x", "2026-13-01", "29.2."} {
		if got, err := ParseDay(text, now); err == nil {
			t.Errorf("%q is taken for %v", text, got)
		}
	}
}

// What is written with slashes is read in the person's order, and a field reads
// what it shows in any order.
func TestParseDayInOrder(t *testing.T) {
	t.Cleanup(func() { say.Use(say.Style{}) })
	now := time.Date(2026, 3, 10, 8, 0, 0, 0, time.UTC)
	for order, want := range map[say.Dates]string{say.DayFirst: "2026-03-04", say.MonthFirst: "2026-04-03", say.YearFirst: "2026-03-04"} {
		say.Use(say.Style{Dates: order})
		if got, err := ParseDay("4/3/2026", now); err != nil || got.Format(time.DateOnly) != want {
			t.Errorf("order %d: %v, %v; want %s", order, got, err, want)
		}
		for day := range 366 {
			d := time.Date(2028, 1, 1+day, 0, 0, 0, 0, time.UTC)
			if got, err := ParseDay(dayText(d), now); err != nil || !got.Equal(d) {
				t.Fatalf("order %d: %q is read as %v, %v", order, dayText(d), got, err)
			}
		}
	}
}

func TestParseMoment(t *testing.T) {
	paris := zone(t, "Europe/Paris")
	now := time.Date(2026, 3, 29, 9, 20, 41, 0, paris)
	cases := []struct{ text, want string }{
		{
			"2026-03-14 09:20",
			"2026-03-14 09:20 CET",
		}, {"2026-03-14T09:20", "2026-03-14 09:20 CET"}, {"9:05", "2026-03-29 09:05 CEST"}, {"0905", "2026-03-29 09:05 CEST"},
		{
			"yesterday 18:05",
			"2026-03-28 18:05 CET",
		}, {"-2 7:00", "2026-03-27 07:00 CET"}, {"now", "2026-03-29 09:20 CEST"}, {"today 00:30", "2026-03-29 00:30 CET"},
		{"14 March 2026 23:59", "2026-03-14 23:59 CET"}, {"2026", "2026-03-29 20:26 CEST"},
		{
			"yesterday",
			"2026-03-28 09:20 CET",
		}, {"-2d", "2026-03-27 09:20 CET"}, {"2026-03-14", "2026-03-14 09:20 CET"}, {"14 Mar 2026, 09:20", "2026-03-14 09:20 CET"},
		{"-2h", "2026-03-29 07:20 CEST"}, {"-20min", "2026-03-29 09:00 CEST"}, {"-8h", "2026-03-29 00:20 CET"},
	}
	for _, c := range cases {
		got, err := ParseMoment(c.text, now)
		if err != nil || got.Format("2006-01-02 15:04 MST") != c.want {
			t.Errorf("%q: %v, %v; want %s", c.text, got, err, c.want)
		}
	}
	for text, says := range map[string]string{
		"": "no time", "25:00": "is no time", "9:5": "is no time", "-2x": "is no time", "+2h": "is no time",
		"today 2:30": "clocks went forward", "someday 9:00": "not a day",
	} {
		got, err := ParseMoment(text, now)
		if err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v, %v; want an error that says %q", text, got, err, says)
		}
	}
}

func TestNumberEntry(t *testing.T) {
	test.NewTempApp(t)
	for text, want := range map[string]float64{"8.3": 8.3, "8,3": 8.3, " 1 020 ": 1020, "-4": -4, "\u22124": -4, "1.": 1, ",5": 0.5} {
		if got, err := NewNumberEntry(text).Value(); err != nil || got != want {
			t.Errorf("%q: %v, %v; want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"", "abc", "1,020.5", "1e5", "NaN", "Inf", "--1", "0x10", "<0.02"} {
		if got, err := NewNumberEntry(text).Value(); err == nil {
			t.Errorf("%q is taken for %v", text, got)
		}
	}
	if _, err := NewNumberEntry(" ").Value(); !errors.Is(err, ErrNoNumber) {
		t.Errorf("an empty field says %v", err)
	}
}
