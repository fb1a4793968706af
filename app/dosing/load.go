package dosing

import (
	"context"
	"slices"
	"time"

	"weirkeeper/app/state"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
	"weirkeeper/tanks/plan"
)

// runAhead is how far the run sheet looks; what was given today stays on it.
const runAhead = 7 * 24 * time.Hour

func fetch(ctx context.Context, store *storage.Store, reads *state.Reads, now time.Time, zone *time.Location) (*loaded, error) {
	room, err := reads.Room(ctx, now)
	if err != nil {
		return nil, err
	}
	l := &loaded{room: room}
	if l.products, err = store.Products(ctx); err != nil {
		return nil, words.Errorf("reading the shelf: %w", err)
	}
	if l.recipes, err = store.WaterRecipes(ctx); err != nil {
		return nil, words.Errorf("reading the recipes of water: %w", err)
	}
	if l.tasks, err = store.Tasks(ctx); err != nil {
		return nil, words.Errorf("reading the tasks: %w", err)
	}
	local := now.In(zone)
	today := time.Date(local.Year(), local.Month(), local.Day(), 0, 0, 0, 0, zone)
	if l.items, err = store.RunItems(ctx, today, now.Add(runAhead)); err != nil {
		return nil, words.Errorf("reading the run sheet: %w", err)
	}
	return l, nil
}

// planned are the analytes that a plan can be about.
var planned = []chem.Analyte{
	chem.Calcium, chem.Alkalinity, chem.Magnesium, chem.Hardness, chem.Potassium, chem.Strontium, chem.Iodine, chem.Nitrate,
	chem.Phosphate, chem.Iron,
}

// usual are those a plan is about unless others are asked for.
var usual = []chem.Analyte{chem.Calcium, chem.Alkalinity, chem.Magnesium, chem.Hardness}

func isPlanned(a chem.Analyte) bool {
	return slices.Contains(planned, a)
}

// inputOf is what is known of a system, for its plan. The water of changes is
// that of the source with a salinity, when there is just one.
func inputOf(room *board.Estimated, system tanks.System) plan.Input {
	in := plan.Input{
		System: system, Bands: room.Bands[system.ID], Estimates: room.Estimates(system.ID), Verdicts: map[chem.Analyte]tanks.Verdict{},
		Uptakes: map[chem.Analyte]tanks.Uptake{}, Methods: map[chem.Analyte]tanks.Method{}, Standing: map[chem.Analyte]float64{},
	}
	for a := range in.Estimates {
		k := tanks.Cell{System: system.ID, Analyte: a}
		in.Verdicts[a], in.Methods[a], in.Standing[a] = room.Judge(k), room.Methods[room.Latest[k].Method], room.Standing(k)
		if used, ok := room.Uptake(k); ok {
			in.Uptakes[a] = used
		}
	}
	in.By = room.Conventions(system.ID)
	if source, ok := sourceFor(room, system); ok {
		in.Fresh = waterOf(room, source.ID)
	}
	return in
}

// sourceFor finds the water for changes of a system: the source with a
// salinity for salt water, the one without for fresh water.
func sourceFor(room *board.Estimated, system tanks.System) (tanks.System, bool) {
	salt := system.Kind == tanks.Marine || system.Kind == tanks.Brackish
	for _, s := range room.Systems {
		psu, _ := room.Water(s.ID).Salinity()
		if s.Kind == tanks.Source && (psu > 1) == salt {
			return s, true
		}
	}
	return tanks.System{}, false
}

// waterOf is a source's newest composition.
func waterOf(room *board.Estimated, id tanks.SystemID) map[chem.Analyte]float64 {
	out := map[chem.Analyte]float64{}
	for a, e := range room.Estimates(id) {
		if a != chem.Temperature && a != chem.PH {
			out[a] = e.Value
		}
	}
	return out
}
