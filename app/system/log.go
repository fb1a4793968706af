package system

import (
	"context"
	"slices"
	"strings"
	"time"

	"weirkeeper/app/prefs"
	"weirkeeper/app/say"
	"weirkeeper/app/state"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// eventKind is what sort of entry an event of the log is.
type eventKind int

const (
	readingEvent eventKind = iota
	additionEvent
	changeEvent
	noteEvent
)

// eventKey names an event of the log: entries of different sorts may have the
// same number.
type eventKey struct {
	kind eventKind
	id   int64
}

// event is one line of a system's log.
type event struct {
	key       eventKey
	at        time.Time
	what      string
	value     string
	by        string
	remark    string
	withdrawn bool
	reading   tanks.Reading // of a reading, for correcting it
}

// title names the event; a withdrawn one says so.
func (e event) title() string {
	if e.withdrawn {
		return say.F("%s (withdrawn)", e.what)
	}
	return e.what
}

// names are what the log needs to name things.
type names struct {
	methods  map[tanks.MethodID]tanks.Method
	products map[tanks.ProductID]tanks.Product
	systems  map[tanks.SystemID]tanks.System
}

// logger writes the events of a log in a person's way.
type logger struct {
	names
	prefs prefs.Preferences
}

// read reads what happened to a system between two instants, the newest first;
// a zero time is the beginning.
func (l logger) read(ctx context.Context, store *storage.Store, id tanks.SystemID, from, to time.Time) ([]event, error) {
	readings, err := store.ReadingsOf(ctx, id, from, to)
	if err != nil {
		return nil, words.Errorf("reading the log: %w", err)
	}
	history, err := state.ReadHistory(ctx, store, id, from, to)
	if err != nil {
		return nil, err
	}
	return l.events(readings, history), nil
}

// events puts everything that happened to a system in order, newest first.
func (l logger) events(readings []tanks.Reading, h state.History) []event {
	events := make([]event, 0, len(readings)+len(h.Additions)+len(h.WaterChanges)+len(h.Observations))
	for _, r := range readings {
		events = append(events, l.reading(r))
	}
	for _, a := range h.Additions {
		events = append(events, l.addition(a))
	}
	for _, w := range h.WaterChanges {
		events = append(events, l.change(w))
	}
	for _, o := range h.Observations {
		events = append(events, event{
			key: eventKey{noteEvent, int64(o.ID)}, at: o.At, what: o.Text, by: o.Person, withdrawn: o.Status == tanks.Withdrawn,
		})
	}
	slices.SortStableFunc(events, func(a, b event) int { return b.at.Compare(a.at) })
	return events
}

func (l logger) reading(r tanks.Reading) event {
	sign := map[tanks.Limit]string{tanks.Below: "<", tanks.Above: ">"}[r.Limit]
	e := event{
		key: eventKey{readingEvent, int64(r.ID)}, at: r.At, what: say.Of(r.Analyte), by: r.Person, remark: r.Note,
		value:     sign + l.prefs.Value(r.Analyte, r.Value) + " " + string(l.prefs.Unit(r.Analyte)),
		withdrawn: r.Status == tanks.Withdrawn, reading: r,
	}
	if m, ok := l.methods[r.Method]; ok {
		e.what += ", " + m.Name
	}
	return e
}

func (l logger) addition(a tanks.Addition) event {
	p := l.products[a.Product]
	return event{
		key: eventKey{additionEvent, int64(a.ID)}, at: a.At, what: p.Name, by: a.Person,
		remark: strings.TrimSpace(l.effects(a.Changes) + " " + a.Note),
		value:  say.F("%.4g %s", a.Amount, p.Unit()), withdrawn: a.Status == tanks.Withdrawn,
	}
}

// effects names the changes that matter: those that show in the decimals of the
// analyte's unit.
func (l logger) effects(changes []tanks.Delta) string {
	var parts []string
	for _, d := range changes {
		if text := chem.FormatChange(d.Analyte, d.Change, l.prefs.Unit(d.Analyte), chem.Water{}); text != "" {
			parts = append(parts, say.F("%s %s", d.Analyte, text))
		}
	}
	return strings.Join(parts, ", ")
}

func (l logger) change(w tanks.WaterChange) event {
	e := event{
		key: eventKey{changeEvent, int64(w.ID)}, at: w.At, what: say.L("Water change"), by: w.Person, remark: w.Note,
		value: say.F("%s, %.0f %%", l.prefs.Litres(w.Litres, 0), w.Share*100), withdrawn: w.Status == tanks.Withdrawn,
	}
	if from, ok := l.systems[w.From]; ok {
		e.what = say.F("Water change from %s", from.Code)
	}
	return e
}
