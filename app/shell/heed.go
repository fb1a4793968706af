package shell

import (
	"slices"

	"weirkeeper/app/session"
	"weirkeeper/storage"
)

// waterKinds are what the water of the room and its judgement rest on.
var waterKinds = []storage.Kind{
	storage.KindRoom, storage.KindSystem, storage.KindProfile, storage.KindMethod, storage.KindReading, storage.KindAddition, storage.KindWaterChange,
}

// shownKinds are what each place shows beside that. Places that are not among them
// show everything.
var shownKinds = map[session.Place][]storage.Kind{
	session.Rounds:    {storage.KindTask, storage.KindPlan, storage.KindSample},
	session.Room:      {},
	session.TestSheet: {storage.KindTask},
	session.Dosing:    {storage.KindProduct, storage.KindPlan, storage.KindPump, storage.KindWaterRecipe, storage.KindTask},
	session.Samples:   {storage.KindSample},
	session.Trends:    {storage.KindObservation},
}

// heeds tells whether a change concerns what an open route shows.
func heeds(open session.Route, c storage.Touched) bool {
	if open.Place == session.System && len(c.Systems) > 0 && !slices.Contains(c.Systems, open.System) {
		return false
	}
	shown, some := shownKinds[open.Place]
	return !some || slices.ContainsFunc(c.Kinds, func(k storage.Kind) bool {
		return slices.Contains(waterKinds, k) || slices.Contains(shown, k)
	})
}
