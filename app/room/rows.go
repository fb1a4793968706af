package room

import (
	"slices"
	"strings"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

// filter says which systems and cells the board shows.
type filter struct {
	kind        tanks.Kind // allWaters: every kind
	outsideOnly bool       // only systems with a value outside its band or unsure, shown or not
}

func (f filter) holds(s tanks.System) bool { return f.kind == allWaters || f.kind == s.Kind }

// layout is the table of systems against analytes.
type layout struct {
	columns []chem.Analyte
	groups  []widgets.Group[boardRow] // the systems of each place, in walking order
	shown   int                       // systems in the groups
	total   int                       // systems in the room
}

type boardRow struct {
	system tanks.System
	cells  map[chem.Analyte]boardCell // of each column
	worst  board.Worst                // of all its analytes, shown or not
	looked bool                       // something of it is judged
}

// boardCell is one analyte of one system as the board shows it.
type boardCell struct {
	tested   bool
	value    string // with "<" or ">" in front of a bound
	age      string
	verdict  tanks.Verdict
	gauge    gauge
	hasBand  bool
	wanted   bool // the profile asks for this analyte
	tendency board.Direction
}

// gauge is a value against its band, all in the canonical unit.
type gauge struct{ low, aim, high, value, uncertainty float64 }

// layOut lays out the room.
func layOut(s *session.Session, r *board.Estimated, f filter, columns []chem.Analyte) layout {
	b := layout{columns: columns, total: len(r.Systems)}
	if len(columns) == 0 {
		b.columns = usualColumns(r.Board, f)
	}
	at := map[string]int{}
	for _, system := range r.Systems {
		if !f.holds(system) || (f.outsideOnly && !r.WantsLook(system.ID)) {
			continue
		}
		row := boardRow{system: system, cells: map[chem.Analyte]boardCell{}}
		row.worst, row.looked = r.Worst(system.ID)
		for _, a := range b.columns {
			row.cells[a] = makeCell(s, r, tanks.Cell{System: system.ID, Analyte: a})
		}
		n, ok := at[system.Place]
		if !ok {
			n = len(b.groups)
			at[system.Place] = n
			b.groups = append(b.groups, widgets.Group[boardRow]{Title: placeName(system.Place)})
		}
		b.groups[n].Records = append(b.groups[n].Records, row)
		b.shown++
	}
	return b
}

func placeName(place string) string {
	if strings.TrimSpace(place) == "" {
		return say.L("No place given")
	}
	return place
}

const (
	// leastColumns is how many analytes the board shows in the smallest window, unless
	// columns are chosen; more are shown where they have room.
	leastColumns = 4
	// commonColumns is how many analytes, those of most systems, stand first in
	// catalogue order.
	commonColumns = 8
)

// usualColumns returns the analytes that the shown systems are asked to be tested
// for: those of most systems in catalogue order, then the others, the rarest last.
func usualColumns(r *board.Board, f filter) []chem.Analyte {
	count := map[chem.Analyte]int{}
	for _, system := range r.Systems {
		if !f.holds(system) {
			continue
		}
		for _, b := range r.Bands[system.ID] {
			count[b.Analyte]++
		}
	}
	var out, others []chem.Analyte
	for _, info := range r.Analytes() {
		if count[info.Analyte] > 0 {
			out = append(out, info.Analyte)
		}
	}
	for len(out) > commonColumns {
		least := 0
		for i := range out {
			if count[out[i]] <= count[out[least]] {
				least = i
			}
		}
		others = append(others, out[least])
		out = slices.Delete(out, least, least+1)
	}
	slices.Reverse(others)
	return append(out, others...)
}

func makeCell(s *session.Session, r *board.Estimated, k tanks.Cell) boardCell {
	band, wanted := r.Band(k)
	c := boardCell{wanted: wanted, hasBand: wanted && band.HasEdges()}
	reading, ok := r.Latest[k]
	if !ok {
		return c
	}
	e, _ := r.Estimate(k)
	c.tested, c.value, c.age, c.verdict, c.tendency = true, shown(s, k.Analyte, reading, e), s.Age(reading.At), r.Judge(k), r.Direction(k)
	here, _ := r.BandHere(k)
	c.gauge = gauge{here.Low, here.Aim, here.High, e.Value, e.Uncertainty}
	return c
}

// shown is the newest result as read; a bound keeps its sign.
func shown(s *session.Session, a chem.Analyte, r tanks.Reading, e tanks.Estimate) string {
	switch r.Limit {
	case tanks.Below:
		return "<" + s.Value(a, r.Value)
	case tanks.Above:
		return ">" + s.Value(a, r.Value)
	}
	return s.Value(a, e.Value)
}

// summary says in words what the board shows.
func (b layout) summary() string {
	if b.shown == b.total {
		return say.N(b.total, "%d systems. The rule under a value is its band, the tick the value, its whiskers the uncertainty.")
	}
	return say.F("%d of %d systems. The rule under a value is its band, the tick the value, its whiskers the uncertainty.",
		b.shown, b.total)
}
