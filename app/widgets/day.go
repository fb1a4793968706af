package widgets

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"weirkeeper/app/say"
	"weirkeeper/assets/words"
)

// dayText and momentText write what the fields for days and moments show: in the
// person's order, the month by its name, so that it cannot be mistaken.
func dayText(t time.Time) string    { return say.Day(t) }
func momentText(t time.Time) string { return say.Moment(t) }

// ParseDay reads a day: 2026-03-14, 14.3.2026, 14 March 2026, Mar 14, 2026,
// 3/14/2026 or 14/3/2026 by the person's order, 03-14 (of this year), today or t,
// yesterday or y, tomorrow, +3, -2, -2d. now is in the zone in which today is
// meant; the answer is midnight there.
func ParseDay(text string, now time.Time) (time.Time, error) {
	clean := strings.ToLower(strings.TrimSpace(text))
	today := midnight(now)
	if clean == "" {
		return time.Time{}, words.Errorf("no day is given: type one such as %s, or today", today)
	}
	for _, d := range namedDays {
		if slices.Contains(d.short, clean) || clean == strings.ToLower(say.L(d.name)) {
			return today.AddDate(0, 0, d.from), nil
		}
	}
	if clean[0] == '+' || clean[0] == '-' {
		n, err := strconv.Atoi(strings.TrimSpace(strings.TrimSuffix(clean, "d")))
		if err == nil && n > -100000 && n < 100000 {
			return today.AddDate(0, 0, n), nil
		}
	}
	clean = monthsInEnglish(clean)
	slashed := []string{"2/1/2006", "2/1"}
	if say.Using().Dates == say.MonthFirst {
		slashed = []string{"1/2/2006", "1/2"}
	}
	for _, form := range []string{time.DateOnly, "2006-1-2", "20060102", "2.1.2006", "2 January 2006", "2 Jan 2006", "January 2, 2006",
		"Jan 2, 2006", slashed[0]} {
		if d, err := time.ParseInLocation(form, clean, now.Location()); err == nil {
			return d, nil
		}
	}
	for _, form := range []string{"1-2", "2.1.", "2 January", "2 Jan", "January 2", "Jan 2", slashed[1]} {
		if d, err := time.ParseInLocation("2006 "+form, fmt.Sprint(now.Year())+" "+clean, now.Location()); err == nil {
			return d, nil
		}
	}
	return time.Time{}, words.Errorf("%q is not a day: type one such as %s, today, yesterday or -2", strings.TrimSpace(text), today)
}

// namedDays are the days that have a name, with what is typed for short.
var namedDays = []struct {
	name  words.Text
	short []string
	from  int
}{{"today", []string{"t", "now"}, 0}, {"yesterday", []string{"y"}, -1}, {"tomorrow", nil, 1}}

// monthsInEnglish puts the names of months into the words that package time
// reads.
func monthsInEnglish(text string) string {
	for m := time.January; m <= time.December; m++ {
		for _, name := range []string{say.Month(m, false), say.Month(m, true)} {
			if name := strings.ToLower(name); name != "" && strings.Contains(text, name) {
				return strings.Replace(text, name, strings.ToLower(m.String()), 1)
			}
		}
	}
	return text
}

// midnight is the start of t's day in t's zone.
func midnight(t time.Time) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, t.Location())
}

// ParseMoment reads a day and a time of day, such as "2026-03-14 09:20" or
// "yesterday 18:05". A time alone is today's, a day alone is that day at the time
// of now, "now" is now to the minute, "-2h" and "-20min" are so long ago.
func ParseMoment(text string, now time.Time) (time.Time, error) {
	clean := strings.ToLower(strings.TrimSpace(text))
	if isoMoment(clean) {
		clean = clean[:10] + " " + clean[11:]
	}
	if clean == "now" {
		return now.Truncate(time.Minute), nil
	}
	if at, ok := ago(clean, now); ok {
		return at, nil
	}
	fields := strings.Fields(strings.ReplaceAll(clean, ", ", " "))
	if len(fields) == 0 {
		return time.Time{}, words.Errorf("no time is given: type one such as %s, or now", words.Moment(now))
	}
	hour, minute, ok := clockTime(fields[len(fields)-1])
	if !ok {
		day, err := ParseDay(text, now)
		if err != nil {
			return time.Time{}, words.Errorf(
				"%q is no time: type one such as %s, 14:30, yesterday, -2h or now",
				strings.TrimSpace(text),
				words.Moment(now),
			)
		}
		return on(day, now.Hour(), now.Minute())
	}
	day := midnight(now)
	if len(fields) > 1 {
		var err error
		if day, err = ParseDay(strings.Join(fields[:len(fields)-1], " "), now); err != nil {
			return time.Time{}, err
		}
	}
	return on(day, hour, minute)
}

// on is a time of a day, which the clocks may have left out.
func on(day time.Time, hour, minute int) (time.Time, error) {
	y, m, d := day.Date()
	at := time.Date(y, m, d, hour, minute, 0, 0, day.Location())
	if at.Hour() != hour || at.Minute() != minute {
		return time.Time{}, words.Errorf("%02d:%02d did not happen on %s, the clocks went forward: type another time", hour, minute, day)
	}
	return at, nil
}

// ago reads "-2h" and "-20min".
func ago(text string, now time.Time) (time.Time, bool) {
	number, unit := text, time.Duration(0)
	for suffix, length := range map[string]time.Duration{"h": time.Hour, "min": time.Minute} {
		if cut, ok := strings.CutSuffix(text, suffix); ok {
			number, unit = strings.TrimSpace(cut), length
		}
	}
	n, err := strconv.Atoi(number)
	if unit == 0 || err != nil || n > 0 || n < -10000 || !strings.HasPrefix(number, "-") {
		return time.Time{}, false
	}
	return now.Add(time.Duration(n) * unit).Truncate(time.Minute), true
}

// isoMoment tells whether a text is an ISO day, a t, and more.
func isoMoment(text string) bool { return len(text) > 11 && text[10] == 't' && text[4] == '-' }

// clockTime reads 9:20, 09:20 or 0920.
func clockTime(text string) (hour, minute int, ok bool) {
	h, m, colon := strings.Cut(text, ":")
	if !colon {
		if len(text) != 4 {
			return 0, 0, false
		}
		h, m = text[:2], text[2:]
	}
	hour, err1 := strconv.Atoi(h)
	minute, err2 := strconv.Atoi(m)
	ok = err1 == nil && err2 == nil && len(m) == 2 && hour >= 0 && hour < 24 && minute >= 0 && minute < 60
	return hour, minute, ok
}
