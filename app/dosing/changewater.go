package dosing

import (
	"errors"
	"math"
	"slices"

	"fyne.io/fyne/v2"

	"weirkeeper/app/say"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/changes"
)

// What the new water can be besides a source.
const (
	noSource   tanks.SystemID = 0
	typedWater tanks.SystemID = -1 // typed in, or made and handed over
)

// newWater is the water that goes in: a source's newest readings, or levels that were
// typed or handed over.
type newWater struct {
	changes *changesView
	from    *widgets.Choice[tanks.SystemID]
	typed   chem.Analysis
	name    string // of what was handed over
}

func newNewWater(v *changesView) *newWater {
	w := &newWater{changes: v, from: widgets.NewChoice[tanks.SystemID](nil, noSource)}
	w.from.OnChanged = func(tanks.SystemID) {
		if v.course != nil {
			v.course.propose()
		}
		v.compute()
	}
	return w
}

// offer shows the sources, and what was typed or handed over.
func (w *newWater) offer(systems []tanks.System) {
	options := []widgets.Option[tanks.SystemID]{{Value: noSource}}
	for _, s := range systems {
		if s.Kind == tanks.Source {
			options = append(options, widgets.Option[tanks.SystemID]{Value: s.ID, Name: s.Label()})
		}
	}
	if w.typed != nil {
		name := say.L("as typed")
		if w.name != "" {
			name = say.F("as made: %s", w.name)
		}
		options = append(options, widgets.Option[tanks.SystemID]{Value: typedWater, Name: name})
	}
	w.from.SetOptions(options)
}

// usual chooses the usual water for a system, unless water was made or typed.
func (w *newWater) usual(s tanks.System) {
	if w.from.Value() == typedWater {
		return
	}
	source, _ := sourceFor(w.changes.loaded.room, s)
	w.from.SetSelected(source.ID)
}

// take takes over water that was made.
func (w *newWater) take(made tanks.NewWater) {
	levels := chem.Analysis{}
	for _, l := range made.Levels {
		levels[l.Analyte] = l.Value
	}
	w.set(levels, made.Name)
	w.changes.once.take(made)
	w.changes.course.each.SetValue(made.Litres)
}

func (w *newWater) set(levels chem.Analysis, name string) {
	w.typed, w.name = levels, name
	w.offer(w.changes.loaded.room.Systems)
	w.from.Clear() // so that a second water is a change of the choice too
	w.from.SetSelected(typedWater)
}

// source is the source, zero for none.
func (w *newWater) source() tanks.SystemID { return max(w.from.Value(), noSource) }

// levels is the composition of the new water.
func (w *newWater) levels() chem.Analysis {
	if w.from.Value() == typedWater {
		return w.typed
	}
	return waterOf(w.changes.loaded.room, w.source())
}

// counted is levels with nothing for what was not measured of purified water, among
// the analytes that the system's water is known by; assumed lists those.
func (w *newWater) counted(now chem.Analysis) (levels chem.Analysis, assumed []chem.Analyte) {
	levels = chem.Analysis{}
	for a, v := range w.levels() {
		levels[a] = v
	}
	source, _ := w.changes.loaded.room.System(w.source())
	if !source.Purified {
		return levels, nil
	}
	for _, info := range chem.Catalogue() {
		_, known := now[info.Analyte]
		_, measured := levels[info.Analyte]
		if known && !measured && changes.Mixes(info.Analyte) {
			levels[info.Analyte] = 0
			assumed = append(assumed, info.Analyte)
		}
	}
	return levels, assumed
}

// muchColder is a step of temperature in °C that animals feel (common practice, no source).
const muchColder = 1

// cautions say what is to be heeded of chlorine and temperature before a share of the
// system's water is replaced.
func (w *newWater) cautions(s tanks.System, share float64) []string {
	room, in := w.changes.loaded.room, w.changes.session
	var out []string
	held := 0.0
	for _, a := range []chem.Analyte{chem.AllChlorine, chem.FreeChlorine, chem.Chloramine} {
		held = max(held, w.levels()[a])
	}
	if held > 0 {
		out = append(out, say.F("The new water holds %.2f mg/L of chlorine: take it out first, and test that none is left. Chloramine "+
			"leaves ammonia.", held))
	}
	now, known := room.Estimate(tanks.Cell{System: s.ID, Analyte: chem.Temperature})
	fresh, told := room.Estimate(tanks.Cell{System: w.source(), Analyte: chem.Temperature})
	if known && told && math.Abs(share*(fresh.Value-now.Value)) > muchColder {
		after := now.Value + share*(fresh.Value-now.Value)
		out = append(out, say.F("As it is, the new water brings the system from %s to %s %s: warm or cool it first.",
			in.Value(chem.Temperature, now.Value), in.Value(chem.Temperature, after), in.Unit(chem.Temperature)))
	}
	return out
}

// askedOf are the analytes that a new water is typed by when the system has none of
// its own: what every change looks at.
var askedOf = []chem.Analyte{chem.Salinity, chem.Conductivity, chem.Alkalinity, chem.Hardness, chem.Nitrate, chem.Phosphate}

// ask lets the levels of the new water be typed; an empty field is not known.
func (w *newWater) ask() {
	s, ok := w.changes.chosen()
	if !ok {
		return
	}
	now := w.changes.loaded.room.Estimates(s.ID)
	begun := w.levels()
	var fields []widgets.Field
	entries := map[chem.Analyte]*widgets.QuantityEntry{}
	for _, info := range chem.Catalogue() {
		a := info.Analyte
		_, known := now[a]
		level, typed := begun[a]
		if !changes.Mixes(a) || !(known || typed || slices.Contains(askedOf, a)) {
			continue
		}
		entries[a] = w.changes.session.ValueEntry(a, w.changes.loaded.room.Water(w.source()))
		if typed {
			entries[a].SetValue(level)
		}
		fields = append(fields, widgets.Field{Name: info.Key, Label: say.L(info.Name), Input: entries[a]})
	}
	form := widgets.NewForm(fields...)
	read := func() bool {
		levels, faults := chem.Analysis{}, []widgets.Fault(nil)
		for _, info := range chem.Catalogue() {
			e := entries[info.Analyte]
			if e == nil {
				continue
			}
			v, err := e.Value()
			switch {
			case err == nil:
				levels[info.Analyte] = v
			case !errors.Is(err, widgets.ErrNoNumber):
				faults = append(faults, widgets.Fault{Field: info.Key, Problem: say.Of(err)})
			}
		}
		if len(levels) == 0 && faults == nil {
			faults = []widgets.Fault{{Field: fields[0].Name, Problem: say.L("Nothing of the new water is typed"),
				Remedy: say.L("type one level or more")}}
		}
		form.ShowFaults(faults)
		if faults != nil {
			return false
		}
		w.set(levels, "")
		return true
	}
	scroll := widgets.NewScrolled(form)
	scroll.SetMinSize(typedSize)
	widgets.ShowDialog(w.changes.session.Window, widgets.Dialog{
		Title: say.L("Levels of the new water"), Content: scroll, Confirm: say.L("Take these"), OnConfirm: read, Focus: form.First(),
	})
}

// typedSize is the room of the levels that are typed.
var typedSize = fyne.NewSize(420, 400)
