package say

import (
	"time"

	"weirkeeper/assets/words"
)

// Dates is an order of day, month and year.
type Dates int

// The orders of dates.
const (
	DayFirst   Dates = iota // 10 Mar 2026
	MonthFirst              // Mar 10, 2026
	YearFirst               // 2026-03-10, ISO 8601
)

// months and weekdays, whole and in short: sentences of the languages' files.
var (
	months = [...][2]words.Text{
		{"January", "Jan"}, {"February", "Feb"}, {"March", "Mar"}, {"April", "Apr"}, {"May", "May (short)"}, {"June", "Jun"},
		{"July", "Jul"}, {"August", "Aug"}, {"September", "Sep"}, {"October", "Oct"}, {"November", "Nov"}, {"December", "Dec"},
	}
	weekdays = [...][2]words.Text{
		{
			"Sunday",
			"Sun",
		}, {"Monday", "Mon"}, {"Tuesday", "Tue"}, {"Wednesday", "Wed"}, {"Thursday", "Thu"}, {"Friday", "Fri"}, {"Saturday", "Sat"},
	}
)

// Month names a month, in short or whole.
func Month(m time.Month, short bool) string {
	if short {
		return L(months[m-1][1])
	}
	return L(months[m-1][0])
}

// Weekday names a day of the week, in short or whole.
func Weekday(d time.Weekday, short bool) string {
	if short {
		return L(weekdays[d][1])
	}
	return L(weekdays[d][0])
}

// Day writes a day with its year: 10 Mar 2026.
func Day(t time.Time) string {
	switch Using().Dates {
	case MonthFirst:
		return F("%s %d, %d", Month(t.Month(), true), t.Day(), t.Year())
	case YearFirst:
		return t.Format(time.DateOnly)
	}
	return F("%d %s %d", t.Day(), Month(t.Month(), true), t.Year())
}

// LongDay is Day with the whole name of the month.
func LongDay(t time.Time) string {
	switch Using().Dates {
	case MonthFirst:
		return F("%s %d, %d", Month(t.Month(), false), t.Day(), t.Year())
	case YearFirst:
		return t.Format(time.DateOnly)
	}
	return F("%d %s %d", t.Day(), Month(t.Month(), false), t.Year())
}

// DayOfYear writes a day without its year: 10 Mar.
func DayOfYear(t time.Time) string {
	switch Using().Dates {
	case MonthFirst:
		return F("%s %d", Month(t.Month(), true), t.Day())
	case YearFirst:
		return t.Format("01-02")
	}
	return F("%d %s", t.Day(), Month(t.Month(), true))
}

// Clock writes the time of day.
func Clock(t time.Time) string { return t.Format("15:04") }

// Moment writes a day with its year and the time: 10 Mar 2026, 08:02.
func Moment(t time.Time) string { return Day(t) + ", " + Clock(t) }
