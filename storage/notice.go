package storage

import (
	"slices"

	"weirkeeper/tanks"
)

// Kind is a kind of thing in the ledger.
type Kind int

// The kinds that listeners tell apart.
const (
	KindRoom Kind = iota
	KindSystem
	KindProfile
	KindMethod
	KindProduct
	KindReading
	KindSample
	KindAddition
	KindWaterChange
	KindObservation
	KindPlan
	KindTask
	KindDraft
	KindPerson
	KindPump
	KindLot
	KindPhoto
	KindColumnMap
	KindWaterRecipe
)

// kinds tells of each table what it holds.
var kinds = map[string]Kind{
	"room": KindRoom, "systems": KindSystem, "tanks": KindSystem, "profiles": KindProfile, "bands": KindProfile,
	"methods": KindMethod, "corrections": KindMethod, "standard_checks": KindMethod,
	"products": KindProduct, "ingredients": KindProduct, "strengths": KindProduct, "stock_movements": KindProduct,
	"readings": KindReading, "samples": KindSample, "additions": KindAddition, "addition_changes": KindAddition,
	"water_changes": KindWaterChange, "water_levels": KindWaterChange, "observations": KindObservation, "photos": KindPhoto,
	"plans": KindPlan, "plan_lines": KindPlan, "doses": KindPlan, "tasks": KindTask, "completions": KindTask,
	"pumps": KindPump, "heads": KindPump, "calibrations": KindPump, "calibration_runs": KindPump,
	"containers": KindPump, "programs": KindPump,
	"lots": KindLot, "lot_events": KindLot, "people": KindPerson, "drafts": KindDraft, "column_maps": KindColumnMap,
	"water_recipes": KindWaterRecipe, "recipe_portions": KindWaterRecipe, "recipe_goals": KindWaterRecipe, "recipe_products": KindWaterRecipe,
}

// Touched tells listeners what one transaction changed.
type Touched struct {
	Kinds   []Kind
	Systems []tanks.SystemID // empty: the whole room
}

// Has tells whether a kind is among what changed.
func (c Touched) Has(k Kind) bool { return slices.Contains(c.Kinds, k) }

// Listen calls f after every transaction that changed something, on the
// goroutine that made the change; stop ends it.
func (s *Store) Listen(f func(Touched)) (stop func()) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	id := s.nextID
	s.nextID++
	s.listen[id] = f
	return func() {
		s.mutex.Lock()
		defer s.mutex.Unlock()
		delete(s.listen, id)
	}
}

func (s *Store) tell(c Touched) {
	s.mutex.Lock()
	all := make([]func(Touched), 0, len(s.listen))
	for id := range s.nextID {
		if f, ok := s.listen[id]; ok {
			all = append(all, f)
		}
	}
	s.mutex.Unlock()
	for _, f := range all {
		f(c)
	}
}

func of(k Kind, systems ...tanks.SystemID) Touched {
	return Touched{Kinds: []Kind{k}, Systems: slices.DeleteFunc(systems, func(id tanks.SystemID) bool { return id == 0 })}
}
