package words

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// upside is a language for tests: known phrases change, numbers get a comma.
type upside map[string]string

func (u upside) Phrase(s string) string {
	if other, ok := u[s]; ok {
		return other
	}
	return s
}
func (upside) Point() string { return "," }
func (u upside) Plural(count int, _, many string) string {
	if count == 0 {
		return "geen (%d)"
	}
	return u.Phrase(many)
}
func (upside) Day(t time.Time) string    { return t.Format("02-01-2006") }
func (upside) Month(m time.Month) string { return m.String() }
func (upside) Moment(t time.Time) string { return t.Format("02-01-2006 15.04") }

type metal struct{}

func (metal) Words() Text { return "calcium" }

var dutch = upside{
	"%s is %.1f %s": "%[3]s: %.1[2]f voor %[1]s", "calcium": "calcium (Ca)", "Nothing is due": "Er is niets te doen",
	"reading %s: %s": "lezen van %s: %s", "too old": "te oud", "saving: %s": "bewaren: %s", "%d readings": "%d metingen",
}

func TestIn(t *testing.T) {
	morning := time.Date(2026, 3, 10, 8, 2, 0, 0, time.FixedZone("", 3600))
	cause := Errorf("reading %s: %w", "F1", New("too old"))
	for name, c := range map[string]struct {
		text           Text
		english, other string
	}{
		"plain":                   {"Nothing is due", "Nothing is due", "Er is niets te doen"},
		"unknown":                 {"Not in the list", "Not in the list", "Not in the list"},
		"order and decimal sign":  {T("%s is %.1f %s", metal{}, 8.25, "mg/L"), "calcium is 8.2 mg/L", "mg/L: 8,2 voor calcium (Ca)"},
		"only numbers":            {T("%.2f ± %.1f", 1.5, 0.25), "1.50 ± 0.2", "1,50 ± 0,2"},
		"decimals as an argument": {T("%.*f", 3, 2.0), "2.000", "2,000"},
		"signs, widths, quotes": {T("%+.1f|%5d|%q|%c|%g", 0.5, 7, "a%s", 'x', 0.001), `+0.5|    7|"a%s"|x|0.001`,
			`+0,5|    7|"a%s"|x|0,001`},
		"an error in an error":      {T("saving: %s", cause), "saving: reading F1: too old", "bewaren: lezen van F1: te oud"},
		"a per cent alone":          {T("100 %%"), "100 %", "100 %"},
		"a type of its own":         {T("%d of %s", time.March, time.Second), "3 of 1s", "3 of 1s"},
		"what looks like a packing": {Text(mark + "p99:x"), mark + "p99:x", mark + "p99:x"},
		"a foreign error":           {Of(fs.ErrNotExist), "file does not exist", "file does not exist"},
		"joined errors": {Of(errors.Join(New("too old"), New("Nothing is due"))), "too old\nNothing is due",
			"te oud\nEr is niets te doen"},
		"a day and a moment": {T("%s, %s", morning, Moment(morning)), "10 Mar 2026, 10 Mar 2026, 08:02",
			"10-03-2026, 10-03-2026 08.02"},
		"one": {N(1, "%d reading", "%d readings"), "1 reading", "1 metingen"},
		"several, and more in it": {N(3, "%d reading of %s", "%d readings of %s", metal{}), "3 readings of calcium",
			"3 readings of calcium (Ca)"},
		"none, in its own form": {T("%s, %.1f", N(0, "%d reading", "%d readings"), 0.5), "0 readings, 0.5", "geen (0), 0,5"},
		"joined texts":          {Join([]Text{"too old", T("%.1f", 0.5)}, ", "), "too old, 0.5", "te oud, 0,5"},
	} {
		if name == "a type of its own" {
			c.text = T("%d of %s", int(time.March), time.Second)
		}
		if got := c.text.String(); got != c.english {
			t.Errorf("%s: in English %q, want %q", name, got, c.english)
		}
		if got := c.text.In(dutch); got != c.other {
			t.Errorf("%s: %q, want %q", name, got, c.other)
		}
	}
}

func TestErrorf(t *testing.T) {
	first, second := New("first"), errors.New("second")
	err := Errorf("doing %d: %w, %w", 3, first, second)
	if !errors.Is(err, first) || !errors.Is(err, second) || err.Error() != "doing 3: first, second" {
		t.Errorf("%v", err)
	}
	if got := Of(err).Format(); got != "doing %d: %s, %s" {
		t.Errorf("the key is %q", got)
	}
	if got := Of(Errorf("%5.1f %% of %w", 12.5, first)).In(dutch); got != " 12,5 % of first" {
		t.Errorf("%q", got)
	}
}

func TestHasWords(t *testing.T) {
	for format, want := range map[string]bool{
		"%s, %.1f": false, "%d%%": false, "": false, "±%g": false, "%[2]s (%[1]d)": false, "%s L": true, "a": true, "µg": true, "%-10s|": false, "%d Ω": true,
	} {
		if got := HasWords(format); got != want {
			t.Errorf("%q: %v", format, got)
		}
	}
}

// Whatever stands in a text, in English it reads as fmt writes it, and a text
// within a text reads the same as its sentence would.
func TestLikeFmt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name, n, v := rapid.String().Draw(t, "name"), rapid.Int().Draw(t, "n"), rapid.Float64().Draw(t, "v")
		want := fmt.Sprintf("%s has %d of %.3g", name, n, v)
		text := T("%s has %d of %.3g", name, n, v)
		for range rapid.IntRange(0, 4).Draw(t, "depth") {
			text, want = T("(%s)", text), "("+want+")"
		}
		if got := text.String(); got != want {
			t.Fatalf("%q, want %q", got, want)
		}
		if got := text.In(dutch); strings.Count(got, "(") != strings.Count(want, "(") {
			t.Fatalf("%q", got)
		}
	})
}

func TestJoinOfNoneAndOne(t *testing.T) {
	if Join(nil, ", ") != "" || Join([]Text{"one"}, ", ") != "one" {
		t.Error("none and one need no separator")
	}
}
