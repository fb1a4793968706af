package board_test

import (
	"testing"

	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

// A lab's result stands beside the bench reading nearest to it, within a day and
// a half.
func TestPairs(t *testing.T) {
	lab := func(days, v float64) tanks.Reading { return reading(reef, chem.Calcium, labCalcium, days, v) }
	bench := func(days, v float64) tanks.Reading { return reading(reef, chem.Calcium, calciumKit, days, v) }
	withdrawn := func(r tanks.Reading) tanks.Reading { r.Status = tanks.Withdrawn; return r }
	bound := func(r tanks.Reading) tanks.Reading { r.Limit = tanks.Below; return r }
	cases := map[string]struct {
		readings   []tanks.Reading
		lab, bench float64 // 0: no pair
		agree      bool
	}{
		"that agree":                   {[]tanks.Reading{bench(10, 420), lab(10, 412)}, 412, 420, true},
		"that disagree":                {[]tanks.Reading{bench(10, 420), lab(10, 380)}, 380, 420, false},
		"the nearest of the bench":     {[]tanks.Reading{bench(11, 400), lab(10, 412), bench(9.8, 415)}, 412, 415, true},
		"the newest of the lab":        {[]tanks.Reading{bench(20, 420), lab(20, 380), bench(10, 415), lab(10, 412)}, 412, 415, true},
		"none within a day and a half": {[]tanks.Reading{bench(12, 420), lab(10, 412)}, 0, 0, false},
		"withdrawn on the bench":       {[]tanks.Reading{withdrawn(bench(10, 420)), lab(10, 412)}, 0, 0, false},
		"withdrawn by the lab":         {[]tanks.Reading{bench(10, 420), withdrawn(lab(10, 412))}, 0, 0, false},
		"a bound on the bench":         {[]tanks.Reading{bound(bench(10, 420)), lab(10, 412)}, 0, 0, false},
		"a bound of the lab":           {[]tanks.Reading{bench(10, 420), bound(lab(10, 412))}, 0, 0, false},
		"another lab's is no bench":    {[]tanks.Reading{lab(10.1, 420), lab(10, 412)}, 0, 0, false},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			pairs := board.New(facts()).Pairs(c.readings)
			if c.lab == 0 {
				if len(pairs) > 0 {
					t.Errorf("paired %+v", pairs)
				}
				return
			}
			if len(pairs) != 1 || pairs[0].Lab.Value != c.lab || pairs[0].Bench.Value != c.bench || pairs[0].Agreement.Agree != c.agree {
				t.Errorf("the pairs are %+v", pairs)
			}
		})
	}
}

func TestDisagreementIsSaid(t *testing.T) {
	b := board.New(facts())
	lab := reading(reef, chem.Calcium, labCalcium, 10, 380)
	p, ok := b.Pair(lab, []tanks.Reading{reading(reef, chem.Calcium, calciumKit, 10, 420)})
	if want := "420 by Calcium kit, 380 mg/L by ICP: further apart than both claim."; !ok || b.Disagree(p, chem.MgL).String() != want {
		t.Errorf("%q, want %q", b.Disagree(p, chem.MgL), want)
	}
	lab.Limit = tanks.Above
	if p, ok := b.Pair(lab, []tanks.Reading{reading(reef, chem.Calcium, calciumKit, 10, 420)}); ok {
		t.Errorf("a bound is compared: %+v", p)
	}
}
