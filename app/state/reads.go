package state

import (
	"context"
	"slices"
	"sync"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/storage"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

// Reads keeps one read of the room and shares it among the screens until the
// ledger tells of a change; then only what changed is read anew. Its methods may
// be called from any goroutine.
type Reads struct {
	store *storage.Store
	stop  func()

	mutex   sync.Mutex
	room    *board.Estimated // nil: not read yet
	all     bool             // the whole room has changed since
	changed map[tanks.SystemID]bool
	under   chan struct{} // closed when the read under way ends; nil: none is
	edition int           // grows with every change
	recent  map[tanks.SystemID]map[tanks.Cell][]float64
	pairs   map[tanks.SystemID][]board.Pair
}

// NewReads returns a Reads that listens to the store until Close.
func NewReads(store *storage.Store) *Reads {
	r := &Reads{store: store, changed: map[tanks.SystemID]bool{}}
	r.forget()
	r.stop = store.Listen(r.heed)
	return r
}

// Close ends the listening.
func (r *Reads) Close() { r.stop() }

// fresh is how long a read counts as of now: verdicts and estimates move by days.
const fresh = time.Minute

// recordKinds are what changes the record of a system and nothing else of the room.
var recordKinds = []storage.Kind{storage.KindReading, storage.KindAddition, storage.KindWaterChange}

// roomKinds are what the rest of the room is made of.
var roomKinds = []storage.Kind{storage.KindRoom, storage.KindSystem, storage.KindProfile, storage.KindMethod}

// heed notes what a change makes old.
func (r *Reads) heed(c storage.Touched) {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	record := slices.ContainsFunc(c.Kinds, func(k storage.Kind) bool { return slices.Contains(recordKinds, k) })
	switch {
	case slices.ContainsFunc(c.Kinds, func(k storage.Kind) bool { return slices.Contains(roomKinds, k) }), record && len(c.Systems) == 0:
		r.all = true
		r.forget()
	case record:
		r.edition++
		for _, id := range c.Systems {
			r.changed[id] = true
			delete(r.recent, id)
			delete(r.pairs, id)
		}
	}
}

// forget drops what is kept of single systems.
func (r *Reads) forget() {
	r.edition++
	r.recent, r.pairs = map[tanks.SystemID]map[tanks.Cell][]float64{}, map[tanks.SystemID][]board.Pair{}
}

// Room returns the room as it stands at now, with estimates of every system.
func (r *Reads) Room(ctx context.Context, now time.Time) (*board.Estimated, error) {
	for {
		room, read, wait := r.claim(now)
		switch {
		case room != nil:
			return room, nil
		case read != nil:
			return read(ctx)
		}
		select {
		case <-wait:
		case <-ctx.Done():
			return nil, ctx.Err()
		}
	}
}

// claim returns the shared room when it is as of now, else the reading that brings
// it there, else what to wait for: another one's reading.
func (r *Reads) claim(now time.Time) (room *board.Estimated, read func(context.Context) (*board.Estimated, error), wait <-chan struct{}) {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	if r.under != nil {
		return nil, nil, r.under
	}
	before, all, changed := r.room, r.all || r.room == nil, r.changed
	if !all && len(changed) == 0 {
		if now.Sub(before.Now).Abs() >= fresh {
			r.room = before.At(now)
		}
		return r.room, nil, nil
	}
	r.under, r.all, r.changed = make(chan struct{}), false, map[tanks.SystemID]bool{}
	return nil, func(ctx context.Context) (room *board.Estimated, err error) {
		defer func() { r.end(room, all, changed) }()
		if all {
			return ReadEstimated(ctx, r.store, now)
		}
		return r.renew(ctx, before, now, changed)
	}, nil
}

// end keeps what was read; without anything what was to be read stays old.
func (r *Reads) end(room *board.Estimated, all bool, changed map[tanks.SystemID]bool) {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	if room != nil {
		r.room = room
	} else {
		r.all = r.all || all
		for id := range changed {
			r.changed[id] = true
		}
	}
	close(r.under)
	r.under = nil
}

// renew reads what changed of some systems.
func (r *Reads) renew(
	ctx context.Context,
	before *board.Estimated,
	now time.Time,
	changed map[tanks.SystemID]bool,
) (*board.Estimated, error) {
	ids := make([]tanks.SystemID, 0, len(changed))
	for id := range changed {
		ids = append(ids, id)
	}
	latest, err := r.store.LatestOf(ctx, ids...)
	if err != nil {
		return nil, words.Errorf("reading the newest values: %w", err)
	}
	records, err := r.store.Records(ctx, now.Add(-board.Window), now, ids...)
	if err != nil {
		return nil, words.Errorf("reading the last weeks: %w", err)
	}
	return before.Renew(before.With(now, ids, latest), records), nil
}
