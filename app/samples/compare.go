package samples

import (
	"context"
	"math"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/state"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

// resultsView shows lab against bench for one sample, and what the lab did not
// measure.
type resultsView struct {
	session *session.Session
	loader  session.Loader
	heading *widgets.Heading
	table   *widgets.Table
	missing *widgets.Paragraph
	content fyne.CanvasObject
}

func newResultsView(s *session.Session) *resultsView {
	v := &resultsView{session: s, heading: widgets.NewHeading(say.L("Results"), ""), missing: widgets.NewWrapped("")}
	v.table = widgets.NewTable([]widgets.Column{
		{Title: say.L("Analyte"), Weight: 2, Min: 92},
		{Title: say.L("Lab"), Width: 80, Align: fyne.TextAlignTrailing},
		{Title: say.L("Unit"), Width: 60, Spare: true},
		{Title: say.L("Verdict"), Weight: 2, Min: 110},
		{Title: say.L("Bench"), Width: 64, Align: fyne.TextAlignTrailing},
		{Title: say.L("Do they agree?"), Weight: 3, Min: 190},
	})
	v.content = container.NewBorder(v.heading, v.missing, nil, nil, v.table)
	return v
}

// results are those of one sample, and the bench readings beside them.
type results struct {
	lab   []tanks.Reading
	bench map[chem.Analyte]board.Pair
}

// show reads the results of a sample and shows them.
func (v *resultsView) show(room *board.Board, s tanks.Sample) {
	system, _ := room.System(s.System)
	v.heading.SetTitle(say.F("Results of %s", s.Code))
	about := say.F("%s, drawn %s, %s", system.Label(), v.session.Minute(s.Drawn), stateOf(v.session, s))
	if s.Lab != "" {
		about = say.F("%s, by %s", about, s.Lab)
	}
	v.heading.SetSubtitle(about)
	fetch := func(ctx context.Context, store *storage.Store) (r results, err error) {
		if r.lab, err = store.ReadingsOfSample(ctx, s.ID); err != nil {
			return r, err
		}
		r.bench, err = state.PairsOf(ctx, store, room, s, r.lab)
		return r, err
	}
	session.Load(v.session, &v.loader, say.F("Reading the results of %s", s.Code), fetch, func(r results) {
		measured := map[chem.Analyte]bool{}
		rows := make([]widgets.Row, len(r.lab))
		for n, reading := range r.lab {
			measured[reading.Analyte] = true
			rows[n] = widgets.Row{ID: n, Cells: v.cells(room, s, reading, r.bench)}
		}
		v.table.SetRows(rows)
		v.missing.SetText(v.notMeasured(room, s, measured))
	})
}

func (v *resultsView) cells(room *board.Board, s tanks.Sample, r tanks.Reading, bench map[chem.Analyte]board.Pair) []widgets.Cell {
	a := r.Analyte
	sign := map[tanks.Limit]string{tanks.Below: "<", tanks.Above: ">"}[r.Limit]
	value, unit := sign+v.session.Value(a, r.Value), string(v.session.Unit(a))
	cells := []widgets.Cell{{Text: say.Of(a)}, {Text: value}, {Text: unit, Quiet: true}, {}, {}, {}}
	if band, ok := room.Band(tanks.Cell{System: s.System, Analyte: a}); ok && band.HasEdges() {
		v := room.JudgeReading(r)
		cells[3] = widgets.Cell{Text: say.Of(v), Mark: widgets.MarkOf(int(v.Word), int(v.Sure), false)}
	}
	pair, ok := bench[a]
	if !ok {
		cells[5] = widgets.Cell{Text: say.L("no bench reading of that day"), Quiet: true}
		return cells
	}
	cells[4] = widgets.Cell{Text: v.session.Value(a, pair.Bench.Value)}
	cells[5] = widgets.Cell{Quiet: pair.Agreement.Agree, Text: v.agreement(a, pair, room.Water(s.System))}
	return cells
}

// agreement says in a few words whether lab and bench agree: how far they are
// apart and how far both claim they may be.
func (v *resultsView) agreement(a chem.Analyte, pair board.Pair, water chem.Water) string {
	info, _ := chem.Lookup(a)
	unit := v.session.Unit(a)
	show := func(difference float64) string {
		d, err := chem.ConvertDelta(a, pair.Lab.Value, math.Abs(difference), info.Unit, unit, water)
		if err != nil {
			return "?"
		}
		return say.Number(math.Abs(d), chem.Decimals(a, unit))
	}
	word := say.L("agree")
	if !pair.Agreement.Agree {
		word = say.L("disagree")
	}
	return say.F("%s: %s apart, %s claimed", word, show(pair.Agreement.Difference), show(pair.Agreement.Expanded))
}

// notMeasured lists the analytes with a band that the lab did not measure and
// what covers them.
func (v *resultsView) notMeasured(room *board.Board, s tanks.Sample, measured map[chem.Analyte]bool) string {
	if len(measured) == 0 {
		return say.L("No result is written down yet. Type the results when they are back.")
	}
	var parts []string
	for _, b := range room.Bands[s.System] {
		if !b.HasEdges() || measured[b.Analyte] {
			continue
		}
		last, ok := room.Latest[tanks.Cell{System: s.System, Analyte: b.Analyte}]
		if !ok {
			parts = append(parts, say.F("%s (nothing else does)", b.Analyte.InSentence()))
			continue
		}
		parts = append(parts, say.F("%s (%s, %s)", b.Analyte.InSentence(), nameOf(room.Methods[last.Method]), v.session.Age(last.At)))
	}
	if len(parts) == 0 {
		return say.L("The lab measured everything that this system has a band for.")
	}
	return say.F("Not measured by the lab, and what covers it: %s.", strings.Join(parts, ", "))
}

func nameOf(m tanks.Method) string {
	if m.Name == "" {
		return say.L("no method named")
	}
	return m.Name
}
