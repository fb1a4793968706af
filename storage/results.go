package storage

import (
	"context"

	"weirkeeper/tanks"
)

// SaveResults writes a lab sample's results and the sample itself, in one
// transaction.
func (s *Store) SaveResults(ctx context.Context, sample tanks.Sample, results []tanks.Reading) error {
	now := s.clock()
	if err := sample.Validate(now); err != nil {
		return err
	}
	if err := checkReadings(results, now); err != nil {
		return err
	}
	return s.act(ctx, "saving the results", Change{Kinds: []Kind{KindReading, KindSample}, Systems: []tanks.SystemID{sample.System}}, func(tx *act) error {
		if _, err := insertReadings(tx, results, now); err != nil {
			return err
		}
		return tx.set("samples", int64(sample.ID), "received_at", stamp(sample.Received))
	})
}
