package board

import (
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/compare"
)

// Lab results and bench readings of the same water are at most PairSpan apart;
// comparisons older than CompareSpan are left alone.
const (
	PairSpan    = 36 * time.Hour
	CompareSpan = 100 * 24 * time.Hour
)

// Pair is a lab result beside the bench reading nearest to it in time.
type Pair struct {
	Lab, Bench tanks.Reading
	Agreement  compare.Agreement
}

// Pairs returns the newest lab result of each analyte among a system's readings,
// in order of time, beside the bench reading of about the same time, where there
// is one.
func (b *Board) Pairs(readings []tanks.Reading) []Pair {
	newest := map[chem.Analyte]tanks.Reading{}
	for _, r := range readings {
		if r.Status == tanks.Live && b.byLab(r) {
			newest[r.Analyte] = r
		}
	}
	var out []Pair
	for _, info := range chem.Catalogue() {
		lab, ok := newest[info.Analyte]
		if !ok {
			continue
		}
		if pair, ok := b.Pair(lab, readings); ok {
			out = append(out, pair)
		}
	}
	return out
}

// Pair finds the bench reading for a lab result among the readings of its system
// and compares the two; ok is false without one, for a bound, or when neither
// states an uncertainty to compare by.
func (b *Board) Pair(lab tanks.Reading, readings []tanks.Reading) (_ Pair, ok bool) {
	bench, ok := b.nearestBench(lab, readings)
	if !ok || lab.Limit != tanks.Exact {
		return Pair{}, false
	}
	agreement, err := compare.Pair(b.result(bench), b.result(lab))
	return Pair{Lab: lab, Bench: bench, Agreement: agreement}, err == nil
}

func (b *Board) byLab(r tanks.Reading) bool {
	return r.Limit == tanks.Exact && b.Methods[r.Method].Kind == tanks.Lab
}

func (b *Board) result(r tanks.Reading) compare.Result {
	e := b.Tells(r)
	return compare.Result{Value: e.Value, Uncertainty: e.Uncertainty}
}

func (b *Board) nearestBench(lab tanks.Reading, readings []tanks.Reading) (best tanks.Reading, ok bool) {
	nearest := PairSpan
	for _, r := range readings {
		if r.Analyte != lab.Analyte || r.Status != tanks.Live || r.Limit != tanks.Exact || b.byLab(r) {
			continue
		}
		if d := r.At.Sub(lab.At).Abs(); d <= nearest {
			nearest, best, ok = d, r, true
		}
	}
	return best, ok
}

// Disagree says that the two of a pair are further apart than both claim.
func (b *Board) Disagree(p Pair, unit chem.Unit) words.Text {
	s := shown{p.Lab.Analyte, unit, b.Water(p.Lab.System)}
	return words.T("%s by %s, %s %s by %s: further apart than both claim.",
		s.value(p.Bench.Value), b.Methods[p.Bench.Method].Name, s.value(p.Lab.Value), unit, b.Methods[p.Lab.Method].Name)
}
