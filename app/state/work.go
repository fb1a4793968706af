package state

import (
	"context"
	"math"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
	"weirkeeper/tanks/compare"
	"weirkeeper/tasks"
)

// Work reads the tasks and returns the day's board and what needs attention,
// each with why. unit names the unit an analyte is shown in.
func (r *Room) Work(ctx context.Context, store *storage.Store, zone *time.Location, unit func(chem.Analyte) chem.Unit) (tasks.Board, []tasks.Concern, error) {
	all, err := store.Tasks(ctx)
	if err != nil {
		return tasks.Board{}, nil, words.Errorf("reading the tasks: %w", err)
	}
	completions, err := store.LatestCompletions(ctx)
	if err != nil {
		return tasks.Board{}, nil, words.Errorf("reading the work done: %w", err)
	}
	verdicts := make(map[tanks.Cell]tanks.Verdict, len(r.Verdict))
	for k, v := range r.Verdict {
		verdicts[k] = v
	}
	last := make(map[tanks.Cell]tasks.Last, len(r.Latest))
	for k, reading := range r.Latest {
		last[k] = tasks.Last{At: reading.At, By: reading.Person}
	}
	board := tasks.MakeBoard(tasks.Input{
		Systems: r.Systems, Bands: r.Bands, LastTested: last, Tasks: all, Completions: completions, Verdicts: verdicts,
	}, r.Now, zone)
	disagree, err := r.disagreements(ctx, store, unit)
	if err != nil {
		return board, nil, err
	}
	concerns := tasks.Attention(tasks.AttentionInput{
		Systems: r.Systems, Bands: r.Bands, Verdicts: verdicts, Disagree: disagree,
		Say: func(c tasks.Concern) words.Text { return r.why(c, unit(c.Analyte)) },
	})
	return board, concerns, nil
}

// why says in a sentence what is wrong with a value.
func (r *Room) why(c tasks.Concern, unit chem.Unit) words.Text {
	k := tanks.Cell{System: c.System, Analyte: c.Analyte}
	band, _ := r.Band(k)
	show := func(v float64) words.Text { return chem.Format(c.Analyte, v, unit) }
	if c.Verdict.Stale {
		days := int(r.Now.Sub(r.Latest[k].At).Hours() / 24)
		return words.T("The last value is %d days old; it is tested every %.0f.", days, band.TestEvery.Hours()/24)
	}
	e := r.Estimate[k]
	text := words.T("%s %s %s, %s below %s to %s.", show(e.Value), plusMinus(c.Analyte, e, unit), unit, c.Verdict.Sure, show(band.Low), show(band.High))
	if c.Verdict.Word == tanks.AboveBand {
		text = words.T("%s %s %s, %s above %s to %s.", show(e.Value), plusMinus(c.Analyte, e, unit), unit, c.Verdict.Sure, show(band.Low), show(band.High))
	}
	fit, ok := r.Fits[k]
	if !ok || math.Abs(fit.Uptake) <= fit.UptakeSE*fit.T95() {
		return text
	}
	info, _ := chem.Lookup(c.Analyte)
	d, err := chem.ConvertDelta(c.Analyte, e.Value, math.Abs(fit.Uptake), info.Unit, unit, chem.Water{})
	if err != nil {
		return text
	}
	daily := chem.Decimal(math.Abs(d), chem.Decimals(c.Analyte, unit)+1)
	if fit.Uptake < 0 {
		return words.T("%s Gains %s a day.", text, daily)
	}
	return words.T("%s Uses %s a day.", text, daily)
}

// plusMinus writes the expanded uncertainty (two standard ones) of an
// estimate in a unit.
func plusMinus(a chem.Analyte, e tanks.Estimate, unit chem.Unit) words.Text {
	info, _ := chem.Lookup(a)
	d, err := chem.ConvertDelta(a, e.Value, 2*e.Uncertainty, info.Unit, unit, chem.Water{})
	if err != nil {
		return ""
	}
	return words.T("± %s", chem.Decimal(math.Abs(d), chem.Decimals(a, unit)))
}

// Lab results and bench readings of the same water are at most pairSpan apart;
// comparisons older than compareSpan are left alone.
const (
	pairSpan    = 36 * time.Hour
	compareSpan = 100 * 24 * time.Hour
)

// Pair is a lab result beside the bench reading nearest to it in time.
type Pair struct {
	Lab, Bench tanks.Reading
	Agreement  compare.Agreement
}

// Pairs returns the newest lab result of each analyte of a system beside the
// bench reading of about the same time, where there is one.
func (r *Room) Pairs(ctx context.Context, store *storage.Store, id tanks.SystemID) ([]Pair, error) {
	readings, err := store.ReadingsOf(ctx, id, r.Now.Add(-compareSpan), r.Now)
	if err != nil {
		return nil, words.Errorf("reading the values to compare: %w", err)
	}
	newest := map[chem.Analyte]tanks.Reading{}
	for _, reading := range readings {
		if reading.Status == tanks.Live && reading.Limit == tanks.Exact && r.Methods[reading.Method].Kind == tanks.Lab {
			newest[reading.Analyte] = reading
		}
	}
	var out []Pair
	for _, info := range chem.Catalogue() {
		lab, ok := newest[info.Analyte]
		if !ok {
			continue
		}
		if pair, ok := r.pair(readings, lab); ok {
			out = append(out, pair)
		}
	}
	return out, nil
}

// PairsOf returns the results of one sample beside the bench readings nearest
// to when it was drawn.
func (r *Room) PairsOf(ctx context.Context, store *storage.Store, s tanks.Sample, results []tanks.Reading) (map[chem.Analyte]Pair, error) {
	readings, err := store.ReadingsOf(ctx, s.System, s.Drawn.Add(-pairSpan), s.Drawn.Add(pairSpan))
	if err != nil {
		return nil, words.Errorf("reading the values to compare: %w", err)
	}
	out := map[chem.Analyte]Pair{}
	for _, lab := range results {
		if pair, ok := r.pair(readings, lab); ok {
			out[lab.Analyte] = pair
		}
	}
	return out, nil
}

// pair finds the bench reading for a lab result and compares the two; ok is
// false without one, or when neither states an uncertainty to compare by.
func (r *Room) pair(readings []tanks.Reading, lab tanks.Reading) (Pair, bool) {
	if lab.Limit != tanks.Exact {
		return Pair{}, false
	}
	bench, ok := r.nearestBench(readings, lab)
	if !ok {
		return Pair{}, false
	}
	agreement, err := compare.Pair(r.result(bench), r.result(lab))
	return Pair{Lab: lab, Bench: bench, Agreement: agreement}, err == nil
}

func (r *Room) result(reading tanks.Reading) compare.Result {
	e := tanks.EstimateOf(reading, r.Methods[reading.Method])
	return compare.Result{Value: e.Value, Uncertainty: e.Uncertainty}
}

func (r *Room) nearestBench(readings []tanks.Reading, lab tanks.Reading) (best tanks.Reading, ok bool) {
	nearest := pairSpan
	for _, reading := range readings {
		if reading.Analyte != lab.Analyte || reading.Status != tanks.Live || reading.Limit != tanks.Exact || r.Methods[reading.Method].Kind == tanks.Lab {
			continue
		}
		if d := reading.At.Sub(lab.At).Abs(); d <= nearest {
			nearest, best, ok = d, reading, true
		}
	}
	return best, ok
}

// disagreements are the cells in which lab and bench are further apart than
// both claim.
func (r *Room) disagreements(ctx context.Context, store *storage.Store, unit func(chem.Analyte) chem.Unit) (map[tanks.Cell]words.Text, error) {
	out := map[tanks.Cell]words.Text{}
	samples, err := store.Samples(ctx)
	if err != nil {
		return nil, words.Errorf("reading the lab samples: %w", err)
	}
	done := map[tanks.SystemID]bool{}
	for _, s := range samples {
		if done[s.System] || r.Now.Sub(s.Drawn) > compareSpan {
			continue
		}
		done[s.System] = true
		pairs, err := r.Pairs(ctx, store, s.System)
		if err != nil {
			return nil, err
		}
		for _, p := range pairs {
			if p.Agreement.Agree {
				continue
			}
			a := p.Lab.Analyte
			out[tanks.Cell{System: s.System, Analyte: a}] = words.T("%s by %s, %s %s by %s: further apart than both claim.",
				chem.Format(a, p.Bench.Value, unit(a)), r.Methods[p.Bench.Method].Name, chem.Format(a, p.Lab.Value, unit(a)), unit(a), r.Methods[p.Lab.Method].Name)
		}
	}
	return out, nil
}
