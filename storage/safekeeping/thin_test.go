package safekeeping_test

import (
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"weirkeeper/storage/safekeeping"
)

// A backup a day for 400 days and three more today: ten newest, a fortnight of
// days, eight weeks, every month.
func TestSurplus(t *testing.T) {
	today := time.Date(2026, 11, 25, 18, 0, 0, 0, time.UTC)
	var all []safekeeping.Backup
	for i := range 3 {
		all = append(all, safekeeping.Backup{Taken: today.Add(-time.Duration(i) * time.Hour)})
	}
	for d := 1; d <= 400; d++ {
		all = append(all, safekeeping.Backup{Taken: today.AddDate(0, 0, -d)})
	}
	surplus := safekeeping.UsualKeep.Surplus(all, today)
	kept := slices.DeleteFunc(slices.Clone(all), func(b safekeeping.Backup) bool {
		return slices.ContainsFunc(surplus, func(s safekeeping.Backup) bool { return s.Taken.Equal(b.Taken) })
	})
	// 3 of today and 13 days before it; then the weeks that end on Sunday 8, 1 November and
	// before, six of them beyond the days; then the last days of 12 months.
	var days []string
	for _, b := range kept {
		days = append(days, b.Taken.Format("2006-01-02"))
	}
	want := []string{"2026-11-25", "2026-11-25", "2026-11-25"}
	for d := 1; d <= 13; d++ {
		want = append(want, today.AddDate(0, 0, -d).Format("2006-01-02"))
	}
	want = append(
		want,
		"2026-11-08",
		"2026-11-01",
		"2026-10-31",
		"2026-10-25",
		"2026-10-18",
		"2026-10-11",
		"2026-09-30",
		"2026-08-31",
		"2026-07-31",
		"2026-06-30",
		"2026-05-31",
		"2026-04-30",
		"2026-03-31",
		"2026-02-28",
		"2026-01-31",
		"2025-12-31",
		"2025-11-30",
		"2025-10-31",
	)
	if !slices.Equal(days, want) {
		t.Errorf("kept\n%v, want\n%v", days, want)
	}
}

// The newest are always kept, and thinning what was thinned takes nothing more.
func TestSurplusLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		now := time.Date(2026, 11, 25, 18, 0, 0, 0, time.UTC)
		at := now
		var all []safekeeping.Backup
		for range rapid.IntRange(0, 120).Draw(t, "n") {
			at = at.Add(-time.Duration(rapid.IntRange(1, 24*40).Draw(t, "hours")) * time.Hour)
			all = append(all, safekeeping.Backup{Taken: at})
		}
		keep := safekeeping.Keep{
			Newest: rapid.IntRange(1, 12).Draw(t, "newest"),
			Days:   rapid.IntRange(0, 20).Draw(t, "days"),
			Weeks:  rapid.IntRange(0, 10).Draw(t, "weeks"),
		}
		surplus := keep.Surplus(all, now)
		gone := func(b safekeeping.Backup) bool {
			return slices.ContainsFunc(surplus, func(s safekeeping.Backup) bool { return s.Taken.Equal(b.Taken) })
		}
		for i, b := range all {
			if i < keep.Newest && gone(b) {
				t.Fatalf("the newest but %d goes", i)
			}
		}
		rest := slices.DeleteFunc(slices.Clone(all), gone)
		if again := keep.Surplus(rest, now); len(again) != 0 {
			t.Fatalf("thinned again %d go", len(again))
		}
	})
}

// Backups of before the clock was set back stay, and take no place from others.
func TestSurplusWhenTheClockIsSetBack(t *testing.T) {
	now := time.Date(2026, 11, 25, 18, 0, 0, 0, time.UTC)
	var all []safekeeping.Backup
	for d := 20; d > 0; d-- {
		all = append(all, safekeeping.Backup{Taken: now.AddDate(1, 0, d)})
	}
	for h := range 12 {
		all = append(all, safekeeping.Backup{Taken: now.Add(-time.Duration(h) * time.Hour)})
	}
	surplus := safekeeping.UsualKeep.Surplus(all, now)
	if len(surplus) != 2 || surplus[0].Taken.After(now) || !surplus[1].Taken.Equal(all[31].Taken) {
		t.Errorf("surplus are %+v", surplus)
	}
}
