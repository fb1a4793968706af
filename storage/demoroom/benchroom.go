package demoroom

import (
	"context"
	"fmt"
	"time"

	"weirkeeper/storage"
	"weirkeeper/tanks"
	"weirkeeper/tasks"
)

// BenchSize is how large a bench room is.
type BenchSize struct {
	Systems int // two or more: the first two are the sources
	Days    int
	// Often is how many times as often as the profiles say the systems are
	// tested, 1 or more.
	Often int
}

// FullBench is the size that the program is built for: 200 systems, ten years,
// some two million readings.
var FullBench = BenchSize{Systems: 200, Days: 3650, Often: 2}

const (
	// benchDoses is for how many days back a bench room's doses are recorded: the
	// program looks at 30.
	benchDoses   = 45
	benchChanges = 400
)

// CreateBench makes a ledger at path with a room of that size, invented by the
// demo room's generator: its systems are the demo room's over and over, each
// with a noise of its own. progress, which may be nil, is told the systems done.
func CreateBench(
	ctx context.Context,
	path string,
	clock storage.Clock,
	seed uint64,
	size BenchSize,
	progress func(done int),
) (*storage.Store, error) {
	store, err := storage.Create(ctx, path, tanks.Room{Name: "Bench room", Zone: roomZone, Note: roomNote, Demo: true}, clock)
	if err != nil {
		return nil, err
	}
	if err := fillBench(ctx, store, clock(), seed, size, progress); err != nil {
		store.Close()
		return nil, fmt.Errorf("filling the bench room: %w", err)
	}
	return store, nil
}

// benchPlans are the demo room's sources, then its other systems in turn.
func benchPlans(systems int) []plan {
	var sources, others []plan
	for _, p := range demoSystems {
		if p.kind == tanks.Source {
			sources = append(sources, p)
		} else {
			others = append(others, p)
		}
	}
	plans := sources
	for n := len(sources); n < systems; n++ {
		p := others[n%len(others)]
		p.code, p.name = fmt.Sprintf("%s-%d", p.code, n), fmt.Sprintf("%s %d", p.name, n)
		plans = append(plans, p)
	}
	return plans
}

func fillBench(ctx context.Context, store *storage.Store, now time.Time, seed uint64, size BenchSize, progress func(int)) error {
	loc, err := time.LoadLocation(roomZone)
	if err != nil {
		return fmt.Errorf("the room's zone: %w", err)
	}
	g := newGenerator(now, loc, seed, size.Days, benchPlans(size.Systems))
	g.often, g.dosedFor, g.changedFor = size.Often, benchDoses, benchChanges
	if err := g.furnish(ctx, store); err != nil {
		return err
	}
	for n := range g.systems {
		g.run(n)
		if _, _, err := g.save(ctx, store); err != nil {
			return err
		}
		g.readings, g.additions, g.changes, g.samples = nil, nil, nil, nil
		if progress != nil {
			progress(n + 1)
		}
	}
	return g.benchWork(ctx, store)
}

// benchWork records the chores of all years as done, each on its day.
func (g *generator) benchWork(ctx context.Context, store *storage.Store) error {
	all, err := store.Tasks(ctx)
	if err != nil {
		return err
	}
	const most = 50_000 // at once
	var done []tasks.Completion
	for _, t := range all {
		for n, s := range g.systems {
			if t.Profile != s.Profile {
				continue
			}
			for back := n % max(1, t.Every); back < g.days; back += max(1, t.Every) {
				done = append(done, tasks.Completion{Task: t.ID, System: s.ID, At: g.day(g.days-back, 17), Person: person(back)})
			}
			if len(done) > most {
				if err := store.CompleteAll(ctx, kept(done, g.now)); err != nil {
					return err
				}
				done = done[:0]
			}
		}
	}
	return store.CompleteAll(ctx, kept(done, g.now))
}
