package widgets

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"weirkeeper/app/say"
	"weirkeeper/words"
)

const (
	dayForm    = "2006-01-02"
	momentForm = "2006-01-02 15:04"
)

// ParseDay reads a day: 2026-03-14, 14.3.2026, 14 March 2026, 03-14 (of this
// year), today or t, yesterday or y, tomorrow, +3, -2, -2d. now is in the zone
// in which today is meant; the answer is midnight there.
func ParseDay(text string, now time.Time) (time.Time, error) {
	clean := strings.ToLower(strings.TrimSpace(text))
	today := midnight(now)
	switch clean {
	case "":
		return time.Time{}, words.Errorf("no day is given: type one such as %s, or today", today.Format(dayForm))
	case "today", "t", "now":
		return today, nil
	case "yesterday", "y":
		return today.AddDate(0, 0, -1), nil
	case "tomorrow":
		return today.AddDate(0, 0, 1), nil
	}
	if clean[0] == '+' || clean[0] == '-' {
		n, err := strconv.Atoi(strings.TrimSpace(strings.TrimSuffix(clean, "d")))
		if err == nil && n > -100000 && n < 100000 {
			return today.AddDate(0, 0, n), nil
		}
	}
	for _, form := range []string{dayForm, "2006-1-2", "20060102", "2.1.2006", "2 January 2006", "2 Jan 2006"} {
		if d, err := time.ParseInLocation(form, clean, now.Location()); err == nil {
			return d, nil
		}
	}
	for _, form := range []string{"1-2", "2.1.", say.L("2 January"), say.L("2 Jan")} {
		if d, err := time.ParseInLocation("2006 "+form, fmt.Sprint(now.Year())+" "+clean, now.Location()); err == nil {
			return d, nil
		}
	}
	return time.Time{}, words.Errorf("%q is not a day: type one such as %s, today, yesterday or -2", strings.TrimSpace(text), today.Format(dayForm))
}

// midnight is the start of t's day in t's zone.
func midnight(t time.Time) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, t.Location())
}

// ParseMoment reads a day and a time of day, such as "2026-03-14 09:20" or
// "yesterday 18:05"; a time alone is today's, "now" is now to the minute.
func ParseMoment(text string, now time.Time) (time.Time, error) {
	clean := strings.ToLower(strings.TrimSpace(text))
	if isoMoment(clean) {
		clean = clean[:10] + " " + clean[11:]
	}
	if clean == "now" {
		return now.Truncate(time.Minute), nil
	}
	fields := strings.Fields(clean)
	if len(fields) == 0 {
		return time.Time{}, words.Errorf("no time is given: type one such as %s, or now", now.Format(momentForm))
	}
	hour, minute, ok := clockTime(fields[len(fields)-1])
	if !ok {
		return time.Time{}, words.Errorf("%q has no time of day: type one such as %s, or now", strings.TrimSpace(text), now.Format(momentForm))
	}
	day := midnight(now)
	if len(fields) > 1 {
		var err error
		if day, err = ParseDay(strings.Join(fields[:len(fields)-1], " "), now); err != nil {
			return time.Time{}, err
		}
	}
	y, m, d := day.Date()
	at := time.Date(y, m, d, hour, minute, 0, 0, now.Location())
	if at.Hour() != hour || at.Minute() != minute {
		return time.Time{}, words.Errorf("%02d:%02d did not happen on %s, the clocks went forward: type another time", hour, minute, day.Format(dayForm))
	}
	return at, nil
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
