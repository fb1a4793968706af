package demoroom

import (
	"context"
	"time"

	"weirkeeper/storage"
	"weirkeeper/tanks"
	"weirkeeper/tasks"
)

// save writes what was invented of the water, in a few transactions, and
// returns the readings with their ids.
func (g *generator) save(ctx context.Context, store *storage.Store) (all []tanks.Reading, ids []tanks.ReadingID, err error) {
	if err := store.RecordAdditions(ctx, g.additions); err != nil {
		return nil, nil, err
	}
	if err := store.SaveWaterChanges(ctx, g.changes); err != nil {
		return nil, nil, err
	}
	all = g.readings
	for _, s := range g.samples {
		if err := store.SaveSample(ctx, &s.sample); err != nil {
			return nil, nil, err
		}
		for _, r := range s.readings {
			r.Sample = s.sample.ID
			all = append(all, r)
		}
	}
	ids, err = store.SaveReadings(ctx, all)
	return all, ids, err
}

// write saves the demo room.
func (g *generator) write(ctx context.Context, store *storage.Store) error {
	all, ids, err := g.save(ctx, store)
	if err != nil {
		return err
	}
	if err := g.amend(ctx, store, all, ids); err != nil {
		return err
	}
	if err := g.notes(ctx, store); err != nil {
		return err
	}
	return g.work(ctx, store)
}

// amend corrects a few slips, so that the record has amendments to show.
func (g *generator) amend(ctx context.Context, store *storage.Store, all []tanks.Reading, ids []tanks.ReadingID) error {
	left := 3
	for n := len(g.readings) / 3; n < len(g.readings) && left > 0; n += len(g.readings) / 7 {
		r := all[n]
		if r.Limit != tanks.Exact || r.Value == 0 {
			continue
		}
		r.Note = "checked by a second test"
		if err := store.AmendReading(ctx, ids[n], r, "digits were swapped when it was written down", "JM"); err != nil {
			return err
		}
		left--
	}
	return nil
}

// notes are invented observations.
func (g *generator) notes(ctx context.Context, store *storage.Store) error {
	for _, n := range []struct {
		code string
		back int
		text string
	}{
		{"R1", 160, "Return pump swapped for the spare one."},
		{"F1", 122, "Forty new frags from the display's old colony glued."},
		{"F2", 34, "Tips of the staghorns look pale. Flow and light unchanged."},
		{"R2", 61, "Lamp cleaned, a little more light since."},
		{"Q2", 17, "New fish in, all feeding."},
		{"W1", 40, "Plants trimmed hard."},
		{"F3", 9, "One clam added on the left."},
	} {
		for _, s := range g.systems {
			if s.Code != n.code {
				continue
			}
			o := tanks.Observation{System: s.ID, At: g.day(g.days-n.back, 16), Text: n.text, Person: person(n.back)}
			if err := store.SaveObservation(ctx, &o); err != nil {
				return err
			}
		}
	}
	return nil
}

// work marks the chores as done on time, or nearly, and leaves a few due.
func (g *generator) work(ctx context.Context, store *storage.Store) error {
	probes := tasks.Task{Title: "Compare the temperature probes with the reference", Every: 28, Start: g.first}
	clam := tasks.Task{System: g.systems[4].ID, Title: "Look at the new clam", Every: 1, Start: g.day(g.days-9, 0)}
	for _, t := range []*tasks.Task{&probes, &clam} {
		if err := store.SaveTask(ctx, t); err != nil {
			return err
		}
	}
	all, err := store.Tasks(ctx)
	if err != nil {
		return err
	}
	r := g.random(0, forWork)
	var done []tasks.Completion
	for _, t := range all {
		for _, s := range g.systems {
			if t.Profile != s.Profile && t.System != s.ID {
				continue
			}
			back := r.IntN(t.Every + 2)
			if t.Every <= 2 {
				back = 1
			}
			for ; back < max(120, t.Every+2); back += t.Every { // once at least
				done = append(done, tasks.Completion{Task: t.ID, System: s.ID, At: g.day(g.days-back, 17), Person: person(back)})
			}
		}
		if t.Profile == 0 && t.System == 0 {
			done = append(done, tasks.Completion{Task: t.ID, At: g.day(g.days-25, 17), Person: "AL"})
		}
	}
	return store.CompleteAll(ctx, kept(done, g.now))
}

// kept leaves out what would lie in the future.
func kept(all []tasks.Completion, now time.Time) []tasks.Completion {
	var out []tasks.Completion
	for _, c := range all {
		if c.At.Before(now) {
			out = append(out, c)
		}
	}
	return out
}
