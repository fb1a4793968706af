package tanks

import (
	"strings"
	"testing"
	"time"

	"weirkeeper/chem"
)

func TestCheckText(t *testing.T) {
	for name, c := range map[string]struct {
		text       string
		name, note bool
	}{
		"empty":           {"", true, true},
		"plain":           {"Frag rack, north", true, true},
		"pictures":        {"\U0001F420 \U0001F468\u200d\U0001F469\u200d\U0001F467", true, true},
		"Arabic":          {"حوض المرجان", true, true},
		"two lines":       {"a\nb\tc", false, true},
		"broken":          {"a\xffb", false, false},
		"cut letter":      {"a\xc3", false, false},
		"bell":            {"a\ab", false, false},
		"NUL":             {"\x00", false, false},
		"longest name":    {strings.Repeat("é", LongestName), true, true},
		"too long a name": {strings.Repeat("é", LongestName+1), false, true},
		"longest note":    {strings.Repeat("\U0001F420", LongestNote), false, true},
		"too long a note": {strings.Repeat("a", LongestNote+1), false, false},
	} {
		if f, ok := CheckName("x", c.text); ok != c.name || !ok && (f.Field != "x" || f.Problem == "" || f.Remedy == "") {
			t.Errorf("%s as a name: %v, %v", name, ok, f)
		}
		if f, ok := CheckNote("y", c.text); ok != c.note || !ok && f.Field != "y" {
			t.Errorf("%s as a note: %v, %v", name, ok, f)
		}
	}
}

func TestReadingRefusesTexts(t *testing.T) {
	now := time.Date(2026, 3, 10, 8, 0, 0, 0, time.UTC)
	r := Reading{System: 1, Analyte: chem.Calcium, At: now, Value: 420, Person: "J\xffM", Note: strings.Repeat("x", LongestNote+1)}
	fs := FaultsOf(r.Validate(now))
	for _, field := range []string{"person", "note"} {
		if _, ok := fs.Field(field); !ok {
			t.Errorf("nothing is said of %s: %v", field, fs)
		}
	}
}
