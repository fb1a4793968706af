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
	all, err := reads.store.Tasks(ctx)
	if err != nil {
		return tasks.Agenda{}, nil, words.Errorf("reading the tasks: %w", err)
	}
	completions, err := reads.store.LatestCompletions(ctx)
	if err != nil {
		return tasks.Agenda{}, nil, words.Errorf("reading the work done: %w", err)
	}
	last := make(map[tanks.Cell]tasks.Last, len(b.Latest))
	for c, reading := range b.Latest {
		last[c] = tasks.Last{At: reading.At, By: reading.Person}
	}
	verdicts := b.Verdicts()
	work := tasks.MakeAgenda(tasks.Input{
		Systems: b.Systems, Bands: b.Bands, LastTested: last, Tasks: all, Completions: completions, Verdicts: verdicts,
	}, b.Now, zone)
	disagree, err := disagreements(ctx, reads, b.Board, unit)
	if err != nil {
		return work, nil, err
	}
	concerns := tasks.Attention(tasks.AttentionInput{
		Systems: b.Systems, Bands: b.Bands, Verdicts: verdicts, Disagree: disagree,
		Say: func(c tasks.Concern) words.Text {
			return b.Why(tanks.Cell{System: c.System, Analyte: c.Analyte}, unit(c.Analyte))
		},
	})
	return work, concerns, nil
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
