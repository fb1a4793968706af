// Package figure builds the trend charts of screens and handovers from a
// system's record: values with their uncertainty, band, additions, water
// changes, the fitted mass balance and the forecast.
package figure

import (
	"context"
	"time"

	"weirkeeper/app/chart"
	"weirkeeper/app/prefs"
	"weirkeeper/app/session"
	"weirkeeper/app/state"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
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

// Build reads the record and returns the figure; the board has estimates of the
// system.
func Build(
	ctx context.Context, store *storage.Store, room *board.Estimated, units Units, zone *time.Location, q Request,
) (chart.Figure, error) {
	f := chart.Figure{
		Title: words.T("%s  %s", q.System.Code, q.System.Name), Zone: zone, From: q.From, To: q.To.Add(q.Forecast), Now: room.Now,
		Subtitle: words.T("%s to %s", q.From.In(zone), q.To.In(zone)), Language: units.Language(),
	}
	if v := q.System.NetVolume(); v.Known() {
		f.Subtitle = words.T("%s, %s", f.Subtitle, units.VolumeUnit().Volume(v.Litres, 0))
	}
	history, err := state.ReadHistory(ctx, store, q.System.ID, q.From, q.To)
	if err != nil {
		return f, err
	}
	for _, a := range q.Analytes {
		p, err := panel(ctx, store, room, units, q, a)
		if err != nil {
			return f, err
		}
		f.Panels = append(f.Panels, p)
	}
	f.Doses, f.Changes, f.Notes = events(history, q.Analytes)
	return f, nil
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

func panel(ctx context.Context, store *storage.Store, room *board.Estimated, units Units, q Request, a chem.Analyte) (chart.Panel, error) {
	k := tanks.Cell{System: q.System.ID, Analyte: a}
	c := converter{a, units.Unit(a), room.Water(k.System)}
	p := chart.Panel{Name: a.Words(), Unit: string(c.unit), Decimals: chem.Decimals(a, c.unit)}
	readings, err := store.Series(ctx, q.System.ID, a, q.From, q.To)
	if err != nil {
		return p, words.Errorf("reading %s: %w", a, err)
	}
	band, _ := room.BandHere(k)
	if p.Band, err = bandOf(c, band); err != nil {
		return p, err
	}
	course, ok := room.Course(k)
	for _, r := range readings {
		point, err := pointOf(c, room, r)
		if err != nil {
			continue // a value outside the unit's range has no place on this axis
		}
		point.Outlier = ok && course.Off(r.At)
		p.Points = append(p.Points, point)
	}
	if ok {
		if p.Fit, err = curve(c, course.Past(q.To, coursePoints)); err != nil {
			return p, err
		}
	}
	if ok && q.Forecast > 0 {
		if p.Forecast, err = curve(c, course.Ahead(q.Forecast, forecastPoints)); err != nil {
			return p, err
		}
	}
	if v := room.Judge(k); v.Word != tanks.NoVerdict {
		p.Verdict, p.State = v.Words(), stateOf(v.Word)
	}
	return p, nil
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

func pointOf(c converter, room *board.Estimated, r tanks.Reading) (chart.Point, error) {
	v, err := c.value(r.Value)
	if err != nil {
		return chart.Point{}, err
	}
	e := room.Tells(r)
	return chart.Point{
		At: r.At, Value: v, U: c.spread(e.Value, e.Uncertainty), Limit: limitOf(r.Limit),
		Lab: room.Methods[r.Method].Kind == tanks.Lab, State: stateOf(room.JudgeReading(r).Word),
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
		out = append(out, chart.PathPoint{At: p.At, Value: v, Half50: c.spread(p.Value, p.Half(0.5)),
			Half80: c.spread(p.Value, p.Half(0.8))})
	}
	return out, nil
}

// events are the marks of the event lane: additions by the change they make
// to the first of the shown analytes that they move, water changes, notes.
func events(h state.History, analytes []chem.Analyte) (doses []chart.Dose, changes []chart.WaterChange, notes []chart.Note) {
	for _, a := range h.Additions {
		if a.Status == tanks.Live && moves(a, analytes) {
			doses = append(doses, chart.Dose{At: a.At, Amount: a.Amount})
		}
	}
	for _, w := range h.WaterChanges {
		if w.Status == tanks.Live {
			changes = append(changes, chart.WaterChange{At: w.At, Percent: w.Share * 100})
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
