package storage

import (
	"context"

	"weirkeeper/tanks"
)

// SaveResults writes a lab sample's results and when it came back, and drops the
// draft that they were typed on, if it has a name, in one transaction.
func (s *Store) SaveResults(ctx context.Context, sample tanks.Sample, results []tanks.Reading, draft string) error {
	now := s.clock()
	if err := sample.Validate(now); err != nil {
		return err
	}
	if err := checkReadings(results, now); err != nil {
		return err
	}
	notice := Touched{Kinds: []Kind{KindReading, KindSample}, Systems: []tanks.SystemID{sample.System}}
	return s.act(ctx, "saving the results", notice, func(tx *act) error {
		if _, err := insertReadings(tx, results, now); err != nil {
			return err
		}
		if err := tx.set("samples", int64(sample.ID), "received_at", stamp(sample.Received)); err != nil {
			return err
		}
		return dropDraft(tx, draft)
	})
}
