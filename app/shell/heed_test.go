package shell

import (
	"testing"

	"weirkeeper/app/session"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// The open screen reads anew what it shows and nothing else.
func TestHeeds(t *testing.T) {
	of := func(systems []tanks.SystemID, kinds ...storage.Kind) storage.Touched {
		return storage.Touched{Kinds: kinds, Systems: systems}
	}
	f1 := session.Route{Place: session.System, System: 1}
	for name, c := range map[string]struct {
		open   session.Route
		change storage.Touched
		want   bool
	}{
		"a value, in the room": {session.Route{Place: session.Room}, of([]tanks.SystemID{1}, storage.KindReading), true},
		"a note, in the room": {session.Route{Place: session.Room}, of([]tanks.SystemID{1}, storage.KindObservation),
			false},
		"a note, in the trends": {session.Route{Place: session.Trends}, of([]tanks.SystemID{1}, storage.KindObservation),
			true},
		"a chore that is done, on the rounds": {session.Route{Place: session.Rounds}, of(nil, storage.KindTask), true},
		"a chore that is done, on the sheet":  {session.Route{Place: session.TestSheet}, of(nil, storage.KindTask), true},
		"a dose given, on the run sheet": {session.Route{Place: session.Dosing}, of(nil, storage.KindPlan, storage.KindAddition),
			true},
		"a person, on the rounds":      {session.Route{Place: session.Rounds}, of(nil, storage.KindPerson), false},
		"a person, in Setup":           {session.Route{Place: session.Setup}, of(nil, storage.KindPerson), true},
		"a value of another system":    {f1, of([]tanks.SystemID{2}, storage.KindReading), false},
		"a value of this system":       {f1, of([]tanks.SystemID{2, 1}, storage.KindReading), true},
		"a note of this system":        {f1, of([]tanks.SystemID{1}, storage.KindObservation), true},
		"an import for the whole room": {f1, of(nil, storage.KindReading), true},
		"anything, on the handover":    {session.Route{Place: session.Handover}, of([]tanks.SystemID{2}, storage.KindPhoto), true},
	} {
		if got := heeds(c.open, c.change); got != c.want {
			t.Errorf("%s: %v", name, got)
		}
	}
}
