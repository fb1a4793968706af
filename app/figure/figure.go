// Package figure builds the trend charts of screens and handovers from a
// system's record: values with their uncertainty, band, additions, water
// changes, the fitted mass balance and the forecast.
package figure

import (
	"context"
	"errors"
	"time"

	"weirkeeper/app/chart"
	"weirkeeper/app/prefs"
	"weirkeeper/app/session"
	"weirkeeper/app/state"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
	"weirkeeper/tanks/trend"
)

// Request says what a figure shows.
type Request struct {
	System   tanks.System
	Analytes []chem.Analyte
	From, To time.Time
	Forecast time.Duration // how far beyond now; zero: none
}

// How many points the curves have; the fitted course shows every dose.
const (
	forecastPoints = 80
	coursePoints   = 300
)

// Units says in which units and language a figure is shown.
type Units interface {
	Unit(chem.Analyte) chem.Unit
	VolumeUnit() chem.VolumeUnit
	Language() words.Language
}

// shown are the units and the language of a session as a value that a worker may
// have.
type shown struct {
	prefs.Preferences
	language words.Language
}

// VolumeUnit implements Units.
func (s shown) VolumeUnit() chem.VolumeUnit { return s.Volume }

// Language implements Units.
func (s shown) Language() words.Language { return s.language }

// UnitsOf returns the units and the language of a session, as they are now.
func UnitsOf(s *session.Session) Units { return shown{s.Prefs, s.Language()} }

// Build reads the record and returns the figure, with the fits by analyte
// where there was enough to tell.
func Build(ctx context.Context, store *storage.Store, room *state.Room, units Units, zone *time.Location, q Request) (chart.Figure, map[chem.Analyte]trend.Fit, error) {
	f := chart.Figure{
		Title: words.T("%s  %s", q.System.Code, q.System.Name), Zone: zone, From: q.From, To: q.To.Add(q.Forecast), Now: room.Now,
		Subtitle: words.T("%s to %s", q.From.In(zone), q.To.In(zone)), Language: units.Language(),
	}
	if v := q.System.NetVolume(); v.Known() {
		f.Subtitle = words.T("%s, %s", f.Subtitle, units.VolumeUnit().Volume(v.Litres, 0))
	}
	history, err := state.ReadHistory(ctx, store, q.System.ID, q.From, q.To)
	if err != nil {
		return f, nil, err
	}
	fits := map[chem.Analyte]trend.Fit{}
	for _, a := range q.Analytes {
		p, fit, ok, err := panel(ctx, store, room, units, history, q, a)
		if err != nil {
			return f, nil, err
		}
		if ok {
			fits[a] = fit
		}
		f.Panels = append(f.Panels, p)
	}
	f.Doses, f.Changes, f.Notes = events(history, q.Analytes)
	return f, fits, nil
}

// converter shows canonical values of one analyte in its unit.
type converter struct {
	analyte chem.Analyte
	unit    chem.Unit
	water   chem.Water
}

func (c converter) value(v float64) (float64, error) {
	info, _ := chem.Lookup(c.analyte)
	return chem.Convert(c.analyte, v, info.Unit, c.unit, c.water)
}

// spread converts an uncertainty at v.
func (c converter) spread(v, u float64) float64 {
	info, _ := chem.Lookup(c.analyte)
	d, err := chem.ConvertDelta(c.analyte, v, u, info.Unit, c.unit, c.water)
	if err != nil || d < 0 {
		return 0
	}
	return d
}

func panel(ctx context.Context, store *storage.Store, room *state.Room, units Units, h state.History, q Request, a chem.Analyte) (p chart.Panel, fit trend.Fit, ok bool, err error) {
	c := converter{a, units.Unit(a), room.Water(q.System.ID)}
	p = chart.Panel{Name: a.Words(), Unit: string(c.unit), Decimals: chem.Decimals(a, c.unit)}
	readings, err := store.Series(ctx, q.System.ID, a, q.From, q.To)
	if err != nil {
		return p, fit, false, words.Errorf("reading %s: %w", a, err)
	}
	k := tanks.Cell{System: q.System.ID, Analyte: a}
	band, _ := room.Band(k)
	if p.Band, err = bandOf(c, band); err != nil {
		return p, fit, false, err
	}
	fit, ok, err = fitOf(h, room, a, readings)
	if err != nil {
		return p, fit, false, err
	}
	outlier := map[int64]bool{}
	if ok {
		for _, n := range fit.Outliers() {
			outlier[fit.Points[n].At.UnixMilli()] = true
		}
	}
	for _, r := range readings {
		point, err := pointOf(c, room, band, r)
		if err != nil {
			continue // a value outside the unit's range has no place on this axis
		}
		point.Outlier = outlier[r.At.UnixMilli()]
		p.Points = append(p.Points, point)
	}
	if ok {
		p.Fit, err = curve(c, fit.Forecast(fit.From, minTime(fit.To, q.To), coursePoints, nil))
		if err == nil && q.Forecast > 0 {
			p.Forecast, err = curve(c, fit.Forecast(room.Now, room.Now.Add(q.Forecast), forecastPoints, standing(h, room, a, q.Forecast)))
		}
		if err != nil {
			return p, fit, false, err
		}
	}
	if v, judged := room.Verdict[k]; judged && v.Word != tanks.NoVerdict {
		p.Verdict, p.State = v.Words(), stateOf(v.Word)
	}
	return p, fit, ok, nil
}

// standing are the doses that a forecast counts on: those of the last week, if
// they were regular, going on.
func standing(h state.History, room *state.Room, a chem.Analyte, ahead time.Duration) []trend.Step {
	rec, _ := h.Record(a, nil, room.Methods)
	return trend.StandingSteps(trend.Standing(rec.Steps, room.Now), room.Now, room.Now.Add(ahead))
}

func minTime(a, b time.Time) time.Time {
	if b.Before(a) {
		return b
	}
	return a
}

// fitOf fits the record over the last 30 days; ok is false when there is not
// enough to tell.
func fitOf(h state.History, room *state.Room, a chem.Analyte, readings []tanks.Reading) (trend.Fit, bool, error) {
	if !state.Balanced(a) {
		return trend.Fit{}, false, nil
	}
	rec, _ := h.Record(a, readings, room.Methods)
	fit, err := trend.FitRecord(rec, trend.Options{Now: room.Now, Window: state.FitWindow})
	if errors.Is(err, trend.ErrNotEnough) {
		return fit, false, nil
	}
	if err != nil {
		return fit, false, words.Errorf("fitting %s: %w", a, err)
	}
	return fit, true, nil
}

func bandOf(c converter, b tanks.Band) (*chart.Band, error) {
	if !b.HasEdges() {
		return nil, nil
	}
	var out chart.Band
	var err error
	if out.Low, err = c.value(b.Low); err != nil {
		return nil, words.Errorf("showing the band: %w", err)
	}
	if out.Aim, err = c.value(b.Aim); err != nil {
		return nil, words.Errorf("showing the band: %w", err)
	}
	if out.High, err = c.value(b.High); err != nil {
		return nil, words.Errorf("showing the band: %w", err)
	}
	return &out, nil
}

func pointOf(c converter, room *state.Room, band tanks.Band, r tanks.Reading) (chart.Point, error) {
	v, err := c.value(r.Value)
	if err != nil {
		return chart.Point{}, err
	}
	method := room.Methods[r.Method]
	e := tanks.EstimateOf(r, method)
	return chart.Point{
		At: r.At, Value: v, U: c.spread(e.Value, e.Uncertainty), Limit: limitOf(r.Limit),
		Lab: method.Kind == tanks.Lab, State: stateOf(tanks.Judge(e, band, chem.Water{}, r.At).Word),
	}, nil
}

func limitOf(l tanks.Limit) chart.Limit {
	switch l {
	case tanks.Below:
		return chart.LimitBelow
	case tanks.Above:
		return chart.LimitAbove
	}
	return chart.LimitNone
}

func stateOf(w tanks.Word) chart.State {
	switch w {
	case tanks.BelowBand:
		return chart.StateBelow
	case tanks.WithinBand:
		return chart.StateWithin
	case tanks.AboveBand:
		return chart.StateAbove
	}
	return chart.StateNone
}

func curve(c converter, path []tanks.CoursePoint) ([]chart.PathPoint, error) {
	out := make([]chart.PathPoint, 0, len(path))
	for _, p := range path {
		v, err := c.value(p.Value)
		if err != nil {
			return nil, words.Errorf("showing the forecast: %w", err)
		}
		out = append(out, chart.PathPoint{At: p.At, Value: v, Half50: c.spread(p.Value, p.Half(0.5)), Half80: c.spread(p.Value, p.Half(0.8))})
	}
	return out, nil
}

// events are the marks of the event lane: additions by the change they make
// to the first of the shown analytes that they move, water changes, notes.
func events(h state.History, analytes []chem.Analyte) (doses []chart.Dose, changes []chart.Change, notes []chart.Note) {
	for _, a := range h.Additions {
		if a.Status == tanks.Live && moves(a, analytes) {
			doses = append(doses, chart.Dose{At: a.At, Amount: a.Amount})
		}
	}
	for _, w := range h.WaterChanges {
		if w.Status == tanks.Live {
			changes = append(changes, chart.Change{At: w.At, Percent: w.Share * 100})
		}
	}
	for _, o := range h.Observations {
		if o.Status == tanks.Live {
			notes = append(notes, chart.Note{At: o.At, Text: o.Text})
		}
	}
	return doses, changes, notes
}

// moves tells whether an addition changes one of the analytes.
func moves(a tanks.Addition, analytes []chem.Analyte) bool {
	for _, d := range a.Changes {
		for _, want := range analytes {
			if d.Analyte == want && d.Change != 0 {
				return true
			}
		}
	}
	return false
}
