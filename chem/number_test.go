package chem

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestParseNumber(t *testing.T) {
	for _, c := range []struct {
		text  string
		value float64
		limit string
	}{
		{"8.3", 8.3, ""},
		{"8,3", 8.3, ""},
		{" 420 ", 420, ""},
		{"<0.02", 0.02, "<"},
		{"> 100", 100, ">"},
		{" 1 020 ", 1020, ""},
		{"1\u202f234\u00a0567,5", 1234567.5, ""},
		{"-1.5", -1.5, ""},
		{"\u22121,5", -1.5, ""},
		{"+2", 2, ""},
		{".5", 0.5, ""},
		{"5.", 5, ""},
		{"0", 0, ""},
	} {
		q, err := ParseNumber(c.text)
		if err != nil || q.Value != c.value || q.Limit != c.limit {
			t.Errorf("%q is %+v, %v, want %q %g", c.text, q, err, c.limit, c.value)
		}
	}
}

func TestTwoWays(t *testing.T) {
	for text, both := range map[string][2]string{
		"1,280": {"1.280", "1280"}, "<12,345 mg/L": {"<12.345 mg/L", "<12345 mg/L"}, "-123,456": {"-123.456", "-123456"},
		"1280,500": {}, "0,280": {}, "1,28": {}, "1,2805": {}, "1,280,500": {}, "1,280.5": {}, ",280": {}, "1.280": {}, "1x,280": {}, "": {},
	} {
		decimal, thousands, ok := TwoWays(text)
		if decimal != both[0] || thousands != both[1] || ok != (both[0] != "") {
			t.Errorf("%q is %q or %q, %v", text, decimal, thousands, ok)
		}
	}
}

func TestBadNumber(t *testing.T) {
	for _, c := range []struct{ text, says string }{
		{"", "nothing is typed"},
		{"  ", "nothing is typed"},
		{"<", "no digits"},
		{"-", "no digits"},
		{".", "no digits"},
		{"8.3x", `'x'`},
		{"NaN", `'N'`},
		{"inf", `'i'`},
		{"1e5", `'e'`},
		{"0x10", `'x'`},
		{"1_000", `'_'`},
		{"1,2,3", `second decimal mark ','`},
		{"1,020.5", `second decimal mark '.'`},
		{"1-2", `'-'`},
		{"--1", `'-'`},
		{"<<1", `'<'`},
		{"٣", `'٣'`},
		{"1 2", "groups no thousands"},
		{"1 0200", "groups no thousands"},
		{"1020 300", "groups no thousands"},
		{"1  020", "groups no thousands"},
		{"8. 3", "groups no thousands"},
		{"- 5", "groups no thousands"},
		{strings.Repeat("9", 400), "too large"},
	} {
		q, err := ParseNumber(c.text)
		if err == nil || !strings.Contains(err.Error(), c.says) || q != (Quantity{}) {
			t.Errorf("%q gave %+v, %v, want an error with %s", c.text, q, err, c.says)
		}
	}
}

// A decimal written with either mark reads back as itself.
func TestNumberRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(-1e9, 1e9).Draw(t, "v")
		text := strconv.FormatFloat(v, 'f', -1, 64)
		if rapid.Bool().Draw(t, "comma") {
			text = strings.Replace(text, ".", ",", 1)
		}
		if q, err := ParseNumber(text); err != nil || q.Value != v {
			t.Fatalf("%q read as %v, %v", text, q, err)
		}
	})
}

func FuzzParseNumber(f *testing.F) {
	for _, s := range []string{"8,3", "<0.02", "> 100", " 1 020 ", "\u22121", "1e5", "NaN", "1,2,3"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		q, err := ParseNumber(s)
		if err != nil && (q != (Quantity{}) || err.Error() == "") {
			t.Errorf("%q gave %+v with %v", s, q, err)
		}
		if err == nil && (math.IsNaN(q.Value) || math.IsInf(q.Value, 0) || !strings.ContainsAny(s, "0123456789")) {
			t.Errorf("%q gave %v", s, q)
		}
	})
}
