package chem

import "testing"

// A change is written with the decimals that values of the analyte have in the
// unit, or not at all: no "+0.00001 SG".
func TestFormatChange(t *testing.T) {
	for _, c := range []struct {
		name   string
		a      Analyte
		change float64
		u      Unit
		want   string
	}{
		{"calcium", Calcium, 5.4, MgL, "+5 mg/L"},
		{"too small to show", Calcium, 0.4, MgL, ""},
		{"downwards", Sodium, -12, MgL, "−12 mg/L"},
		{"in another unit", Alkalinity, 0.357, DKH, "+1.0 dKH"},
		{"a trace of salt", Salinity, 0.013, SG25, ""},
		{"salt", Salinity, 1, SG25, "+0.0008 SG 25/25"}, // EOS-80 at 25 °C, from 35 to 36
		{"salt in PSU", Salinity, 1, PSU, "+1.0 PSU"},
		{"warmer by one", Temperature, 1, Fahrenheit, "+1.8 °F"},
		{"nothing", Calcium, 0, MgL, ""},
		{"in a unit that it has not", Calcium, 5, DKH, ""},
	} {
		if got := FormatChange(c.a, c.change, c.u, Water{}).String(); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}
