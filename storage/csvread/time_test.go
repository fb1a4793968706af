package csvread_test

import (
	"testing"
	"time"

	"weirkeeper/storage/csvread"
)

// Dates are read in the order that was said, and in no other.
func TestOrdersOfDates(t *testing.T) {
	for _, c := range []struct {
		order      csvread.DateOrder
		text, want string // UTC; empty: refused
	}{
		{csvread.DayMonthYear, "3/2/2026 14:05", "2026-02-03T13:05:00Z"},
		{csvread.MonthDayYear, "3/2/2026 2:05 PM", "2026-03-02T13:05:00Z"},
		{csvread.MonthDayYear, "3/2/26 2:05:09 pm", "2026-03-02T13:05:09Z"},
		{csvread.YearMonthDay, "3/2/2026 14:05", ""},
		{csvread.YearMonthDay, "2026/3/2 14:05", "2026-03-02T13:05:00Z"},
		{csvread.DayMonthYear, "13.2.2026", "2026-02-12T23:00:00Z"},
		{csvread.MonthDayYear, "13.2.2026", ""},
		{csvread.DayMonthYear, "2 Feb 2026 14:05", "2026-02-02T13:05:00Z"},
		{csvread.DayMonthYear, "2026-02-03T14:05+02:00", "2026-02-03T12:05:00Z"},
		// Day 46055 is 2 February 2026: day 45658 is 1 January 2025 in any spreadsheet.
		{csvread.DayNumber, "46055,5", "2026-02-02T11:00:00Z"},
		{csvread.DayNumber, "45658", "2024-12-31T23:00:00Z"},
		{csvread.YearMonthDay, "46055,5", ""},
		// The clocks in Paris: from 2 to 3 o'clock is skipped on 30 March 2025 and
		// happens twice on 26 October 2025.
		{csvread.DayMonthYear, "30.3.2025 02:30", ""},
		{csvread.DayMonthYear, "30.3.2025 03:30", "2025-03-30T01:30:00Z"},
		{csvread.DayMonthYear, "26.10.2025 02:30", "2025-10-26T00:30:00Z"},
		{csvread.DayMonthYear, "26.10.2025 03:30", "2025-10-26T02:30:00Z"},
	} {
		r, err := readAll(t, "time;system;analyte;value;unit\n"+c.text+";F1;Ca;420;mg/L\n", csvread.ColumnMap{Dates: c.order})
		if err != nil {
			t.Fatal(err)
		}
		got := ""
		if len(r.readings) == 1 {
			got = r.readings[0].At.Format(time.RFC3339)
		}
		if got != c.want {
			t.Errorf("%s, %s: %q, want %q (%+v)", c.order, c.text, got, c.want, r.Faults)
		}
	}
}
