package state

import (
	"context"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
	"weirkeeper/tasks"
)

// Work reads the tasks and returns the day's work and what needs attention, each
// with why. unit names the unit an analyte is shown in.
func Work(
	ctx context.Context,
	reads *Reads,
	b *board.Estimated,
	zone *time.Location,
	unit func(chem.Analyte) chem.Unit,
) (tasks.Agenda, []tasks.Concern, error) {
	in, err := workOf(ctx, reads, b)
	if err != nil {
		return tasks.Agenda{}, nil, err
	}
	work := tasks.MakeAgenda(in, b.Now, zone)
	disagree, err := disagreements(ctx, reads, b.Board, unit)
	if err != nil {
		return work, nil, err
	}
	concerns := tasks.Attention(tasks.AttentionInput{
		Systems: b.Systems, Bands: b.Bands, Verdicts: in.Verdicts, Disagree: disagree,
		Say: func(c tasks.Concern) words.Text {
			return b.Why(tanks.Cell{System: c.System, Analyte: c.Analyte}, unit(c.Analyte))
		},
	})
	return work, concerns, nil
}

// workOf reads what the day's work is made from.
func workOf(ctx context.Context, reads *Reads, b *board.Estimated) (in tasks.Input, err error) {
	in = tasks.Input{Systems: b.Systems, Bands: b.Bands, LastTested: make(map[tanks.Cell]tasks.Last, len(b.Latest)), Verdicts: b.Verdicts()}
	if in.Tasks, err = reads.store.Tasks(ctx); err != nil {
		return in, words.Errorf("reading the tasks: %w", err)
	}
	if in.Completions, err = reads.store.LatestCompletions(ctx); err != nil {
		return in, words.Errorf("reading the work done: %w", err)
	}
	for c, reading := range b.Latest {
		in.LastTested[c] = tasks.Last{At: reading.At, By: reading.Person}
	}
	return in, nil
}

// DueTests returns the tests that are overdue or due today, as the day's work has
// them.
func DueTests(ctx context.Context, reads *Reads, b *board.Estimated, zone *time.Location) (map[tanks.Cell]bool, error) {
	in, err := workOf(ctx, reads, b)
	if err != nil {
		return nil, err
	}
	return tasks.DueTests(in, b.Now, zone), nil
}

// disagreements are the cells in which lab and bench are further apart than
// both claim.
func disagreements(
	ctx context.Context,
	reads *Reads,
	b *board.Board,
	unit func(chem.Analyte) chem.Unit,
) (map[tanks.Cell]words.Text, error) {
	samples, err := reads.store.SamplesSince(ctx, b.Now.Add(-board.CompareSpan))
	if err != nil {
		return nil, words.Errorf("reading the lab samples: %w", err)
	}
	out := map[tanks.Cell]words.Text{}
	done := map[tanks.SystemID]bool{}
	for _, s := range samples {
		if done[s.System] {
			continue
		}
		done[s.System] = true
		pairs, err := reads.pairsOf(ctx, b, s.System)
		if err != nil {
			return nil, err
		}
		for _, p := range pairs {
			if !p.Agreement.Agree {
				out[p.Lab.Cell()] = b.Disagree(p, unit(p.Lab.Analyte))
			}
		}
	}
	return out, nil
}

// PairsOf returns the results of one sample beside the bench readings nearest
// to when it was drawn.
func PairsOf(
	ctx context.Context,
	store *storage.Store,
	b *board.Board,
	s tanks.Sample,
	results []tanks.Reading,
) (map[chem.Analyte]board.Pair, error) {
	readings, err := store.ReadingsOf(ctx, s.System, s.Drawn.Add(-board.PairSpan), s.Drawn.Add(board.PairSpan))
	if err != nil {
		return nil, words.Errorf("reading the values to compare: %w", err)
	}
	out := map[chem.Analyte]board.Pair{}
	for _, lab := range results {
		if pair, ok := b.Pair(lab, readings); ok {
			out[lab.Analyte] = pair
		}
	}
	return out, nil
}
