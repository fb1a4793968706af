package state

import (
	"context"
	"maps"
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

// Recent returns, for every cell of the room, the values that let expect the next
// one [board.Board.Expecting]. Each system is read again only when it has changed.
func (r *Reads) Recent(ctx context.Context, room *board.Estimated) (map[tanks.Cell][]float64, error) {
	out := make(map[tanks.Cell][]float64, len(room.Latest))
	var missing []tanks.SystemID
	r.mutex.Lock()
	edition := r.edition
	for _, s := range room.Systems {
		kept, ok := r.recent[s.ID]
		if !ok {
			missing = append(missing, s.ID)
		}
		maps.Copy(out, kept)
	}
	r.mutex.Unlock()
	if len(missing) == 0 {
		return out, nil
	}
	read := make(map[tanks.SystemID]map[tanks.Cell][]float64, len(missing))
	for _, id := range missing {
		read[id] = map[tanks.Cell][]float64{}
	}
	err := r.store.Newest(ctx, room.Now.Add(-recentSpan), recentMost, func(of []tanks.Reading) {
		c := of[0].Cell()
		out[c] = room.Expecting(of)
		read[c.System][c] = out[c]
	}, missing...)
	if err != nil {
		return nil, words.Errorf("reading the last values: %w", err)
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
