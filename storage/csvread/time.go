package csvread

import (
	"strconv"
	"strings"
	"time"

	"weirkeeper/assets/words"
)

var (
	errNoTime      = words.New("no time")
	errSkippedHour = words.New("skipped by the clocks")
)

// Spellings of times, the T replaced by a space. ISO 8601 goes with every order
// of dates.
var (
	withOffset = []string{"2006-01-02 15:04:05Z07:00", "2006-01-02 15:04Z07:00", "2006-01-02 15:04:05Z0700", "2006-01-02 15:04Z0700"}
	ofOrder    = map[DateOrder][]string{
		YearMonthDay: {"2006-01-02", "2006/1/2", "2006.1.2"},
		DayMonthYear: {"2006-01-02", "2/1/2006", "2.1.2006", "2-1-2006", "2/1/06", "2.1.06", "2-1-06", "2 Jan 2006"},
		MonthDayYear: {"2006-01-02", "1/2/2006", "1.2.2006", "1-2-2006", "1/2/06", "1.2.06", "1-2-06", "Jan 2 2006", "Jan 2, 2006"},
		DayNumber:    {"2006-01-02"},
	}
	ofClock     = []string{" 15:04", " 15:04:05", "", " 3:04 PM", " 3:04:05 PM", " 3:04PM"}
	offsetSpace = strings.NewReplacer(" +", "+", " -", "-", " Z", "Z")
)

// timeReader reads the times of one file. It remembers the spelling that was
// right last, since a file has one.
type timeReader struct {
	zone    *time.Location
	number  bool
	layouts []string // without an offset
	last    int      // of layouts
	offset  int      // of withOffset
}

func newTimeReader(order DateOrder, zone *time.Location) *timeReader {
	r := &timeReader{zone: zone, number: order == DayNumber}
	for _, date := range ofOrder[order] {
		for _, clock := range ofClock {
			r.layouts = append(r.layouts, date+clock)
		}
	}
	return r
}

// read reads a time; one without an offset is local to the zone, a day alone its
// first instant. An hour that happened twice is the first of the two.
func (r *timeReader) read(text string) (time.Time, error) {
	if r.number {
		if t, ok := r.dayNumber(text); ok {
			return t, nil
		}
	}
	plain := tidyTime(text)
	if t, ok := r.withOffset(plain); ok {
		return t, nil
	}
	for n := range r.layouts {
		i := (r.last + n) % len(r.layouts)
		wall, err := time.Parse(r.layouts[i], plain)
		if err != nil {
			continue
		}
		r.last = i
		return r.local(wall)
	}
	return time.Time{}, errNoTime
}

// tidyTime writes a time with single spaces and capitals, and without the T.
func tidyTime(text string) string {
	if len(text) > 10 && (text[10] == 'T' || text[10] == 't') {
		text = text[:10] + " " + text[11:]
	}
	if strings.Contains(text, "  ") || strings.ContainsAny(text, "\t\u00a0\u202f") {
		text = strings.Join(strings.Fields(text), " ")
	}
	if strings.HasSuffix(text, "m") || strings.HasSuffix(text, "z") {
		text = strings.ToUpper(text)
	}
	return text
}

func (r *timeReader) withOffset(plain string) (time.Time, bool) {
	if len(plain) < len("2006-01-02 15:04Z") || (plain[len(plain)-1] != 'Z' && !strings.ContainsAny(plain[len("2006-01-02 "):], "+-")) {
		return time.Time{}, false
	}
	plain = offsetSpace.Replace(plain)
	for n := range withOffset {
		i := (r.offset + n) % len(withOffset)
		if t, err := time.Parse(withOffset[i], plain); err == nil {
			r.offset = i
			return t, true
		}
	}
	return time.Time{}, false
}

// local is the instant of a time on the wall.
func (r *timeReader) local(wall time.Time) (time.Time, error) {
	y, mo, d := wall.Date()
	h, mi, s := wall.Clock()
	t := time.Date(y, mo, d, h, mi, s, wall.Nanosecond(), r.zone)
	if _, _, day := t.Date(); h+mi+s > 0 && (day != d || t.Hour() != h || t.Minute() != mi) {
		return t, errSkippedHour
	}
	for _, back := range []time.Duration{time.Hour, 30 * time.Minute} {
		if before := t.Add(-back); before.Hour() == h && before.Minute() == mi {
			return before, nil
		}
	}
	return t, nil
}

// dayNumber reads a day as spreadsheets count them, with the time as its
// fraction, to the second.
func (r *timeReader) dayNumber(text string) (time.Time, bool) {
	days, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err != nil || !(days > 0 && days < 2_958_466) { // to the end of the year 9999
		return time.Time{}, false
	}
	wall := time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC).Add(time.Duration(days*86400+0.5) * time.Second)
	t, err := r.local(wall)
	return t, err == nil
}
