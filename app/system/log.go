package system

import (
	"slices"
	"strings"
	"time"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/state"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// event is one line of a system's log.
type event struct {
	number    int // in the log
	at        time.Time
	kind      string // "reading", "addition", "water change", "note"
	what      string
	value     string
	by        string
	remark    string
	withdrawn bool
	reading   tanks.Reading // of a reading, for amending it
}

// names are what the log needs to name things.
type names struct {
	methods  map[tanks.MethodID]tanks.Method
	products map[tanks.ProductID]tanks.Product
	systems  map[tanks.SystemID]tanks.System
}

// logOf puts everything that happened to a system in order, newest first.
func logOf(s *session.Session, readings []tanks.Reading, h state.History, n names) []event {
	var events []event
	for _, r := range readings {
		events = append(events, readingEvent(s, r, n))
	}
	for _, a := range h.Additions {
		events = append(events, additionEvent(s, a, n))
	}
	for _, w := range h.WaterChanges {
		events = append(events, changeEvent(s, w, n))
	}
	for _, o := range h.Observations {
		events = append(events, event{at: o.At, kind: "note", what: o.Text, by: o.Person, withdrawn: o.Status == tanks.Withdrawn})
	}
	slices.SortStableFunc(events, func(a, b event) int { return b.at.Compare(a.at) })
	for n := range events {
		events[n].number = n
	}
	return events
}

func readingEvent(s *session.Session, r tanks.Reading, n names) event {
	sign := map[tanks.Limit]string{tanks.Below: "<", tanks.Above: ">"}[r.Limit]
	e := event{
		at: r.At, kind: "reading", what: say.Of(r.Analyte), by: r.Person, remark: r.Note,
		value:     sign + s.Value(r.Analyte, r.Value) + " " + string(s.Unit(r.Analyte)),
		withdrawn: r.Status == tanks.Withdrawn, reading: r,
	}
	if m, ok := n.methods[r.Method]; ok {
		e.what += ", " + m.Name
	}
	return e
}

func additionEvent(s *session.Session, a tanks.Addition, n names) event {
	p := n.products[a.Product]
	e := event{
		at: a.At, kind: "addition", what: p.Name, by: a.Person, remark: a.Note,
		value: say.F("%.4g %s", a.Amount, p.Unit()), withdrawn: a.Status == tanks.Withdrawn,
	}
	if effects := effectList(s, a.Changes); effects != "" {
		e.remark = strings.TrimSpace(effects + " " + e.remark)
	}
	return e
}

// effectList names the changes that matter: those that show in the decimals
// of the analyte's unit.
func effectList(s *session.Session, changes []tanks.Delta) string {
	var parts []string
	for _, d := range changes {
		info, ok := chem.Lookup(d.Analyte)
		if !ok {
			continue
		}
		unit := s.Unit(d.Analyte)
		in, err := chem.ConvertDelta(d.Analyte, info.Low, d.Change, info.Unit, unit, chem.Water{})
		if err != nil {
			continue
		}
		text := say.F("%+.*f", chem.Decimals(d.Analyte, unit), in)
		if strings.Trim(text, "+-0.") == "" {
			continue
		}
		parts = append(parts, say.F("%s %s %s", info.Name, text, unit))
	}
	return strings.Join(parts, ", ")
}

func changeEvent(s *session.Session, w tanks.WaterChange, n names) event {
	e := event{
		at: w.At, kind: say.L("water change"), what: say.L("Water change"), by: w.Person, remark: w.Note,
		value: say.F("%s, %.0f %%", s.Volume(w.Litres, 0), w.Share*100), withdrawn: w.Status == tanks.Withdrawn,
	}
	if from, ok := n.systems[w.From]; ok {
		e.what += say.F(" from %s", from.Code)
	}
	return e
}
