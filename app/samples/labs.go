package samples

import (
	"context"

	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// resultsLookedAt is how many of a laboratory's newest samples tell its methods.
const resultsLookedAt = 4

// readLaboratories reads by which methods the newest results of each laboratory
// were recorded; samples are the newest first.
func readLaboratories(
	ctx context.Context, store *storage.Store, samples []tanks.Sample, methods map[tanks.MethodID]tanks.Method,
) (tanks.Laboratories, error) {
	results, looked := map[string][]tanks.Reading{}, map[string]int{}
	for _, s := range samples {
		lab := tanks.FoldLaboratory(s.Lab)
		if _, known := results[lab]; !known {
			results[lab] = nil
		}
		if s.Received.IsZero() || looked[lab] == resultsLookedAt {
			continue
		}
		looked[lab]++
		readings, err := store.ReadingsOfSample(ctx, s.ID)
		if err != nil {
			return tanks.Laboratories{}, err
		}
		results[lab] = append(results[lab], readings...)
	}
	return tanks.NewLaboratories(methods, results), nil
}
