package state

import (
	"context"
	"errors"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
	"weirkeeper/tanks/trend"
)

// FitWindow is how far back a fit of uptake looks: uptake changes with growth
// and season, so older readings would mislead (our choice).
const FitWindow = 30 * 24 * time.Hour

// History is what happened to one system since a time, for trends and fits.
type History struct {
	System       tanks.SystemID
	Additions    []tanks.Addition
	WaterChanges []tanks.WaterChange
	Observations []tanks.Observation
}

// ReadHistory returns what was put into, changed in and seen at a system.
func ReadHistory(ctx context.Context, store *storage.Store, id tanks.SystemID, from, to time.Time) (History, error) {
	h := History{System: id}
	var err error
	if h.Additions, err = store.Additions(ctx, id, from, to); err != nil {
		return h, words.Errorf("reading the additions: %w", err)
	}
	if h.WaterChanges, err = store.WaterChanges(ctx, id, from, to); err != nil {
		return h, words.Errorf("reading the water changes: %w", err)
	}
	if h.Observations, err = store.Observations(ctx, id, from, to); err != nil {
		return h, words.Errorf("reading the notes: %w", err)
	}
	return h, nil
}

// Record gathers the mass balance of one analyte from its readings and what
// happened to the system; unknown counts the water changes that cannot be
// followed because the new water's value is not known.
func (h History) Record(a chem.Analyte, readings []tanks.Reading, methods map[tanks.MethodID]tanks.Method) (rec trend.Record, unknown int) {
	byID := func(id tanks.MethodID) tanks.Method { return methods[id] }
	return trend.RecordOf(a, readings, byID, h.Additions, h.WaterChanges)
}

// WithFits fits the uptake of the given cells over the last 30 days and judges
// again by the fits. Cells with too little to tell keep their newest reading.
func (r *Room) WithFits(ctx context.Context, store *storage.Store, cells []tanks.Cell) error {
	from := r.Now.Add(-FitWindow)
	histories := map[tanks.SystemID]History{}
	for _, k := range cells {
		if !Balanced(k.Analyte) {
			continue
		}
		h, ok := histories[k.System]
		if !ok {
			var err error
			if h, err = ReadHistory(ctx, store, k.System, from, r.Now); err != nil {
				return err
			}
			histories[k.System] = h
		}
		readings, err := store.Series(ctx, k.System, k.Analyte, from, r.Now)
		if err != nil {
			return words.Errorf("reading a series: %w", err)
		}
		rec, _ := h.Record(k.Analyte, readings, r.Methods)
		r.Standing[k] = trend.Standing(rec.Steps, r.Now)
		fit, err := trend.FitRecord(rec, trend.Options{Now: r.Now, Window: FitWindow})
		if errors.Is(err, trend.ErrNotEnough) {
			continue
		}
		if err != nil {
			return words.Errorf("fitting %s: %w", k.Analyte, err)
		}
		r.Fits[k] = fit
		r.Estimate[k] = fit.Estimate(r.Now)
	}
	r.judge()
	return nil
}

// Balanced tells the analytes whose level follows from what goes in and out;
// temperature, pH and gases do not, and salinity follows the top-off.
func Balanced(a chem.Analyte) bool {
	switch a {
	case chem.Temperature, chem.PH, chem.Oxygen, chem.CarbonDi, chem.Salinity, chem.Conductivity:
		return false
	}
	return true
}
