package words

import (
	"testing"
	"time"

	"pgregory.net/rapid"
)

func TestKeptTexts(t *testing.T) {
	other := upside{
		"calcium": "muiclac", "taking back: %s": "kcab gnikat: %s", "saving": "gnivas", "%d of %s, %.1f on %s": "%d fo %s, %.1f no %s",
	}
	day := time.Date(2026, 3, 10, 8, 2, 0, 0, time.UTC)
	for name, c := range map[string]struct {
		text           Text
		english, other string
	}{
		"nothing":             {"", "", ""},
		"a sentence":          {"saving", "saving", "gnivas"},
		"typed":               {Typed("saving"), "saving", "saving"},
		"typed, a verb":       {Typed("50 % of %s"), "50 % of %s", "50 % of %s"},
		"typed like a kept":   {Typed("\x1dp6:saving"), "\x1dp6:saving", "\x1dp6:saving"},
		"typed, the mark":     {Typed("\x1d"), "\x1d", "\x1d"},
		"a sentence in one":   {T("taking back: %s", Text("saving")), "taking back: saving", "kcab gnikat: gnivas"},
		"typed in a sentence": {T("taking back: %s", Typed("saving")), "taking back: saving", "kcab gnikat: saving"},
		"values": {
			T("%d of %s, %.1f on %s", 3, metal{}, 2.5, day),
			"3 of calcium, 2.5 on 10 Mar 2026", "3 fo muiclac, 2,5 no 10-03-2026"},
		"a sign of per cent": {T("100 %% sure"), "100 % sure", "100 % sure"},
	} {
		got := Kept(c.text.Keep())
		if got != c.text || got.String() != c.english || got.In(other) != c.other {
			t.Errorf("%s: kept as %q it says %q and %q", name, c.text.Keep(), got, got.In(other))
		}
	}
	// A text from before sentences were kept with their values.
	if got := Kept("saving"); got.In(other) != "saving" || got.Keep() != "saving" {
		t.Errorf("a plain text says %q, and is kept as %q", got.In(other), got.Keep())
	}
}

// What a person types is kept as it is, unless it could be taken for more.
func TestTypedTextsComeBack(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		text := rapid.OneOf(rapid.String(), rapid.Map(rapid.String(), func(s string) string { return mark + s })).Draw(r, "text")
		kept := Typed(text).Keep()
		if got := Kept(kept); got.String() != text {
			r.Fatalf("%q is kept as %q and says %q", text, kept, got)
		}
		if text != "" && text[0] != mark[0] && kept != text {
			r.Fatalf("%q is kept as %q", text, kept)
		}
	})
}
