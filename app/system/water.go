package system

import (
	"math"
	"time"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

// waterRow is one analyte of the system as its water table shows it.
type waterRow struct {
	analyte chem.Analyte
	newest  string
	unit    string
	verdict tanks.Verdict
	tested  bool
	gauge   *widgets.GaugeValue
	course  *widgets.Course
	uptake  string
	age     string
	method  string
}

// waterRows lists the analytes that have a band or a value.
func waterRows(s *session.Session, room *board.Estimated, system tanks.System, readings []tanks.Reading) []waterRow {
	var rows []waterRow
	for _, info := range room.Analytes() {
		k := tanks.Cell{System: system.ID, Analyte: info.Analyte}
		band, banded := room.BandHere(k)
		reading, tested := room.Latest[k]
		if !banded && !tested {
			continue
		}
		r := waterRow{analyte: info.Analyte, unit: string(s.Unit(info.Analyte)), tested: tested}
		if tested {
			sign := map[tanks.Limit]string{tanks.Below: "<", tanks.Above: ">"}[reading.Limit]
			r.newest = sign + s.Value(info.Analyte, reading.Value)
			r.age, r.verdict, r.method = s.Age(reading.At), room.Judge(k), room.Methods[reading.Method].Name
			r.uptake = uptake(s, room, k)
			r.course = courseOf(readings, info.Analyte, band, room.Now)
			if banded && band.HasEdges() {
				e, _ := room.Estimate(k)
				r.gauge = &widgets.GaugeValue{Low: band.Low, Aim: band.Aim, High: band.High, Value: e.Value, U: e.Uncertainty}
			}
		}
		rows = append(rows, r)
	}
	return rows
}

// courseSpan is how far back the small line of an analyte goes.
const courseSpan = 30 * 24 * time.Hour

// courseOf is the course of an analyte's values over the last 30 days, nil with
// fewer than two.
func courseOf(readings []tanks.Reading, a chem.Analyte, band tanks.Band, now time.Time) *widgets.Course {
	c := widgets.Course{}
	if band.HasEdges() {
		c.Low, c.High = band.Low, band.High
	}
	for _, r := range readings {
		if r.Analyte == a && r.Status == tanks.Live && r.Limit == tanks.Exact && now.Sub(r.At) <= courseSpan {
			c.X, c.Y = append(c.X, 1-float64(now.Sub(r.At))/float64(courseSpan)), append(c.Y, r.Value)
		}
	}
	if len(c.X) < 2 {
		return nil
	}
	return &c
}

// uptake says what the system uses a day with its 95 % interval, or that the
// readings do not tell.
func uptake(s *session.Session, room *board.Estimated, k tanks.Cell) string {
	used, ok := room.Uptake(k)
	switch {
	case !board.Balanced(k.Analyte):
		return ""
	case !ok:
		return say.L("not enough to tell")
	}
	info, _ := chem.Lookup(k.Analyte)
	unit := s.Unit(k.Analyte)
	e, _ := room.Estimate(k)
	daily, err := chem.ConvertDelta(k.Analyte, e.Value, used.PerDay, info.Unit, unit, room.Water(k.System))
	half, err2 := chem.ConvertDelta(k.Analyte, e.Value, used.Half(0.95), info.Unit, unit, room.Water(k.System))
	if err != nil || err2 != nil {
		return "?"
	}
	decimals := deserved(half, chem.Decimals(k.Analyte, unit)+2)
	return say.Number(daily, decimals) + " ± " + say.Number(half, decimals)
}

// deserved is how many decimals a number known to ± half deserves: those of the
// first digit of half, of the second where the first is 1 or 2, never more than
// most (GUM, JCGM 100:2008, 7.2.6: one or two digits of an uncertainty).
func deserved(half float64, most int) int {
	if half = math.Abs(half); !(half > 0) {
		return most
	}
	decimals := -int(math.Floor(math.Log10(half)))
	if half*math.Pow10(decimals) < 3 {
		decimals++
	}
	return min(max(decimals, 0), most)
}

func (r waterRow) cells() []widgets.Cell {
	if !r.tested {
		said := []widgets.Cell{{Text: say.Of(r.analyte)}, {Text: say.L("not tested"), Quiet: true}, {Text: r.unit, Quiet: true}}
		return append(said, make([]widgets.Cell, 6)...)
	}
	verdict := widgets.Cell{}
	if r.verdict.Word != tanks.NoVerdict {
		verdict = widgets.Cell{Text: say.Of(r.verdict), Mark: widgets.MarkOf(int(r.verdict.Word), int(r.verdict.Sure), r.verdict.Stale)}
	}
	return []widgets.Cell{
		{Text: say.Of(r.analyte)}, {Text: r.newest}, {Text: r.unit, Quiet: true}, verdict, {Gauge: r.gauge}, {Course: r.course},
		{Text: r.uptake, Quiet: true}, {Text: r.age, Quiet: true}, {Text: r.method, Quiet: true},
	}
}
