package chart

import (
	"fmt"
	"math"
	"strings"
	"time"

	"weirkeeper/assets/words"
)

// valueTick is a labelled value of a vertical axis.
type valueTick struct {
	value float64
	label string
}

// valueTicks returns ticks at steps of 1, 2, 2.5 or 5 times a power of ten, at
// most most of them, with equal decimals and a true minus sign.
func valueTicks(low, high float64, lang words.Language, most int) []valueTick {
	if most < 2 || !(high > low) {
		return nil
	}
	step := math.Pow(10, math.Floor(math.Log10((high-low)/float64(most))))
	for _, factor := range []float64{1, 2, 2.5, 5, 10, 20} {
		if (high-low)/(step*factor) <= float64(most) {
			step *= factor
			break
		}
	}
	decimals := 0
	for d := step; d < 0.9999 || math.Abs(d-math.Round(d)) > 1e-6*d; d *= 10 {
		if decimals++; decimals >= 8 {
			break
		}
	}
	var out []valueTick
	for n := math.Ceil(low/step - 1e-9); n*step <= high+step*1e-9; n++ {
		v := n * step
		text := words.Sprintf(lang, "%.*f", decimals, v)
		if strings.HasPrefix(text, "-") {
			text = "\u2212" + text[1:]
		}
		if n == 0 {
			text = words.Sprintf(lang, "%.*f", decimals, 0.0)
		}
		out = append(out, valueTick{v, text})
	}
	return out
}

// timeTick is a mark of the time axis; second is a second line where the
// coarser unit changes.
type timeTick struct {
	at            time.Time
	label, second string
}

// calendarStep walks the calendar.
type calendarStep struct {
	hours, days, months, years int
	weeks                      bool
	length                     time.Duration // about
}

var calendarSteps = []calendarStep{
	{hours: 1, length: time.Hour}, {hours: 3, length: 3 * time.Hour}, {hours: 6, length: 6 * time.Hour},
	{hours: 12, length: 12 * time.Hour},
	{days: 1, length: 24 * time.Hour}, {days: 2, length: 48 * time.Hour}, {weeks: true, days: 7, length: 7 * 24 * time.Hour},
	{months: 1, length: 30 * 24 * time.Hour}, {months: 2, length: 61 * 24 * time.Hour}, {months: 3, length: 91 * 24 * time.Hour},
	{months: 6, length: 182 * 24 * time.Hour},
	{years: 1, length: 365 * 24 * time.Hour}, {years: 2, length: 730 * 24 * time.Hour}, {years: 5, length: 1826 * 24 * time.Hour},
	{years: 10, length: 3652 * 24 * time.Hour},
}

// timeTicks returns the ticks between from and to in zone, with the first
// calendar step that leaves room for at most most labels.
func timeTicks(from, to time.Time, zone *time.Location, lang words.Language, most int) []timeTick {
	if most < 1 || !from.Before(to) {
		return nil
	}
	step := calendarSteps[len(calendarSteps)-1]
	for _, s := range calendarSteps {
		if float64(to.Sub(from))/float64(s.length) <= float64(most) {
			step = s
			break
		}
	}
	var out []timeTick
	last := ""
	for t := step.first(from.In(zone)); !t.After(to); t = step.next(t) {
		if t.Before(from) {
			continue
		}
		label, coarse := step.label(t, lang)
		tick := timeTick{at: t, label: label}
		if coarse != last {
			tick.second, last = coarse, coarse
		}
		out = append(out, tick)
		if len(out) > 4*most+8 {
			break
		}
	}
	return out
}

// first returns the last step at or before t.
func (s calendarStep) first(t time.Time) time.Time {
	y, m, d := t.Date()
	switch {
	case s.years > 0:
		return time.Date(y-y%s.years, 1, 1, 0, 0, 0, 0, t.Location())
	case s.months > 0:
		return time.Date(y, m-time.Month((int(m)-1)%s.months), 1, 0, 0, 0, 0, t.Location())
	case s.weeks:
		return time.Date(y, m, d-(int(t.Weekday())+6)%7, 0, 0, 0, 0, t.Location())
	case s.days > 0:
		return time.Date(y, m, d, 0, 0, 0, 0, t.Location())
	}
	return time.Date(y, m, d, t.Hour()-t.Hour()%s.hours, 0, 0, 0, t.Location())
}

func (s calendarStep) next(t time.Time) time.Time {
	y, m, d := t.Date()
	next := time.Date(y+s.years, m+time.Month(s.months), d+s.days, t.Hour()+s.hours, 0, 0, 0, t.Location())
	if !next.After(t) {
		// The clocks went back over this hour.
		return t.Add(time.Duration(max(1, s.hours)) * time.Hour)
	}
	return next
}

// label returns the tick's label and the coarser unit that it lies in.
func (s calendarStep) label(t time.Time, lang words.Language) (label, coarse string) {
	switch {
	case s.years > 0:
		return t.Format("2006"), ""
	case s.months > 0:
		return lang.Month(t.Month()), t.Format("2006")
	case s.days > 0:
		return t.Format("2"), fmt.Sprintf("%s %d", lang.Month(t.Month()), t.Year())
	}
	return t.Format("15:04"), fmt.Sprintf("%d %s", t.Day(), lang.Month(t.Month()))
}
