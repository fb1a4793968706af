package state

import (
	"context"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

const (
	// recentSpan is how far back values let expect the next one (our choice).
	recentSpan = 120 * 24 * time.Hour
	// recentMost is how many of them are read: those by the laboratory, which let
	// expect nothing of the bench, are among them.
	recentMost = 12
)

// Recent returns the newest readings of every cell of the room, in the order of
// time, from which the next one can be expected. Each system is read again only
// when it has changed.
func (r *Reads) Recent(ctx context.Context, room *board.Estimated) (map[tanks.Cell][]tanks.Reading, error) {
	out := make(map[tanks.Cell][]tanks.Reading, len(room.Latest))
	var missing []tanks.SystemID
	r.mutex.Lock()
	edition := r.edition
	for _, s := range room.Systems {
		kept, ok := r.recent[s.ID]
		if !ok {
			missing = append(missing, s.ID)
		}
		for c, readings := range kept {
			out[c] = readings
		}
	}
	r.mutex.Unlock()
	if len(missing) == 0 {
		return out, nil
	}
	readings, err := r.store.Newest(ctx, room.Now.Add(-recentSpan), recentMost, missing...)
	if err != nil {
		return nil, words.Errorf("reading the last values: %w", err)
	}
	read := make(map[tanks.SystemID]map[tanks.Cell][]tanks.Reading, len(missing))
	for _, id := range missing {
		read[id] = map[tanks.Cell][]tanks.Reading{}
	}
	for _, one := range readings {
		of := read[one.System]
		of[one.Cell()] = append(of[one.Cell()], one)
		out[one.Cell()] = of[one.Cell()]
	}
	r.keep(edition, func() {
		for id, of := range read {
			r.recent[id] = of
		}
	})
	return out, nil
}

// pairsOf returns the newest lab results of a system beside the bench's of about the
// same time.
func (r *Reads) pairsOf(ctx context.Context, b *board.Board, id tanks.SystemID) ([]board.Pair, error) {
	r.mutex.Lock()
	pairs, ok := r.pairs[id]
	edition := r.edition
	r.mutex.Unlock()
	if ok {
		return pairs, nil
	}
	readings, err := r.store.ReadingsOf(ctx, id, b.Now.Add(-board.CompareSpan), b.Now)
	if err != nil {
		return nil, words.Errorf("reading the values to compare: %w", err)
	}
	pairs = b.Pairs(readings)
	r.keep(edition, func() { r.pairs[id] = pairs })
	return pairs, nil
}

// keep keeps what was read in an edition, unless something has changed since.
func (r *Reads) keep(edition int, keep func()) {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	if edition == r.edition {
		keep()
	}
}
