// Package samples follows water that is sent to a laboratory: drawn, sent,
// received, its results, and how they compare with the bench's of the same
// day.
package samples

import (
	"context"
	"math"
	"slices"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/state"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

// Page is the list of samples beside the results of the chosen one.
type Page struct {
	widget.BaseWidget
	session *session.Session
	loader  session.Loader
	want    session.Route
	loaded  *loaded
	list    *widgets.Table
	listing *widgets.List // what list shows
	results *widgets.Table
	heading *widgets.Heading
	missing *widgets.Paragraph
	body    *fyne.Container
	filled  fyne.CanvasObject
	content fyne.CanvasObject
}

// loaded is what the page shows.
type loaded struct {
	room    *board.Board
	samples []tanks.Sample
	results map[tanks.SampleID][]tanks.Reading
	bench   map[tanks.SampleID]map[chem.Analyte]board.Pair
}

// New builds the page; it is empty until Visit.
func New(s *session.Session) *Page {
	p := &Page{session: s, heading: widgets.NewHeading(say.L("Results"), ""), missing: widgets.NewWrapped(""), body: container.NewStack()}
	p.listing = widgets.NewList([]widgets.Column{{Title: say.L("Of"), Width: 48}, {Title: say.L("Code"), Weight: 2, Min: 120}, {Title: say.L("Drawn"), Width: 100, Spare: true}, {Title: say.L("State"), Weight: 3}}, s.Memory, "samples")
	p.list = p.listing.Table
	p.list.OnCurrent = func(int) { p.showResults() }
	p.list.OnOpen = func(int) { p.edit() }
	p.results = widgets.NewTable([]widgets.Column{
		{Title: say.L("Analyte"), Weight: 2, Min: 92}, {Title: say.L("Lab"), Width: 80, Align: fyne.TextAlignTrailing}, {Title: say.L("Unit"), Width: 60, Spare: true},
		{Title: say.L("Verdict"), Weight: 2, Min: 110}, {Title: say.L("Bench"), Width: 64, Align: fyne.TextAlignTrailing}, {Title: say.L("Do they agree?"), Weight: 3, Min: 190},
	})
	buttons := widgets.NewBar(
		widgets.NewPrimary(say.L("Draw a sample"), func() { p.ask(tanks.Sample{}) }).With(look.IconAdd), widgets.NewSecondary(say.L("Change"), p.edit).With(look.IconChange),
		widgets.NewSecondary(say.L("Sent today"), p.sent).With(look.IconSend), widgets.NewSecondary(say.L("Type the results"), p.typeResults).With(look.IconTestSheet)).And(p.listing.Tools()...)
	right := container.NewBorder(p.heading, p.missing, nil, nil, p.results)
	split := widgets.NewSides(p.list, right, 0.38)
	p.filled = split
	p.content = container.NewBorder(container.NewVBox(widgets.NewHeading(say.L("Lab samples"), say.L("What is out, what is back, and whether bench and lab agree")), buttons), nil, nil, nil, p.body)
	p.ExtendBaseWidget(p)
	return p
}

// CreateRenderer implements fyne.Widget.
func (p *Page) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(p.content) }

// FirstFocus puts the keyboard on the list.
func (p *Page) FirstFocus() fyne.Focusable { return widgets.IfShown(p.body, p.filled, p.list) }

// Visit opens the newest sample of the route's system.
func (p *Page) Visit(r session.Route) {
	p.want = r
	p.Reload()
}

// Reload reads the samples anew.
func (p *Page) Reload() {
	now := p.session.Clock()
	session.Load(p.session, &p.loader, func(ctx context.Context) (*loaded, error) {
		return fetch(ctx, p.session, now)
	}, func(l *loaded, err error) {
		if err != nil {
			p.session.Fail(say.L("Reading the lab samples"), err)
			return
		}
		p.loaded = l
		p.lay()
	})
}

func fetch(ctx context.Context, s *session.Session, now time.Time) (*loaded, error) {
	room, err := state.Read(ctx, s.Store, now)
	if err != nil {
		return nil, err
	}
	l := &loaded{room: room, results: map[tanks.SampleID][]tanks.Reading{}, bench: map[tanks.SampleID]map[chem.Analyte]board.Pair{}}
	if l.samples, err = s.Store.Samples(ctx); err != nil {
		return nil, words.Errorf("reading the samples: %w", err)
	}
	for _, sample := range l.samples {
		readings, err := s.Store.ReadingsOfSample(ctx, sample.ID)
		if err != nil {
			return nil, err
		}
		l.results[sample.ID] = readings
		pairs, err := state.PairsOf(ctx, s.Store, room, sample, readings)
		if err != nil {
			return nil, err
		}
		l.bench[sample.ID] = pairs
	}
	return l, nil
}

func (p *Page) lay() {
	if len(p.loaded.samples) == 0 {
		p.body.Objects = []fyne.CanvasObject{widgets.NewEmpty(say.L("No lab sample yet"), say.L("Write a sample down when you draw it; when the results are back they stand beside the bench's values of that day."),
			widgets.Action{Text: say.L("Draw a sample"), Do: func() { p.ask(tanks.Sample{}) }})}
		p.body.Refresh()
		return
	}
	rows := make([]widgets.Row, len(p.loaded.samples))
	at := -1
	for n, s := range p.loaded.samples {
		system, _ := p.loaded.room.System(s.System)
		rows[n] = widgets.Row{ID: n, Cells: []widgets.Cell{{Bold: system.Code}, {Text: s.Code}, {Text: p.session.Day(s.Drawn), By: s.Drawn}, {Text: p.stateOf(s)}}}
		if at < 0 && s.System == p.want.System && len(p.loaded.results[s.ID]) > 0 {
			at = n
		}
	}
	current, ok := p.list.Current()
	p.listing.SetRows(rows)
	switch {
	case at >= 0:
		p.list.SetCurrent(at)
	case !ok || current >= len(rows):
		p.list.SetCurrent(p.firstWithResults())
	}
	p.want = session.Route{}
	p.body.Objects = []fyne.CanvasObject{p.filled}
	p.body.Refresh()
	p.showResults()
}

func (p *Page) firstWithResults() int {
	for n, s := range p.loaded.samples {
		if len(p.loaded.results[s.ID]) > 0 {
			return n
		}
	}
	return 0
}

// stateOf says where a sample is.
func (p *Page) stateOf(s tanks.Sample) string {
	switch {
	case !s.Received.IsZero():
		return say.F("back since %s", p.session.Day(s.Received))
	case s.Sent.IsZero():
		return say.L("drawn, not sent")
	case !s.Expected.IsZero() && s.Expected.Before(p.session.Clock()):
		return say.F("sent, expected since %s", p.session.Day(s.Expected))
	case !s.Expected.IsZero():
		return say.F("sent, expected %s", p.session.Day(s.Expected))
	}
	return say.F("sent %s", p.session.Day(s.Sent))
}

// current is the sample under the cursor.
func (p *Page) current() (tanks.Sample, bool) {
	n, ok := p.list.Current()
	if !ok || p.loaded == nil || n >= len(p.loaded.samples) {
		return tanks.Sample{}, false
	}
	return p.loaded.samples[n], true
}

// showResults shows lab against bench, and what the lab did not measure.
func (p *Page) showResults() {
	s, ok := p.current()
	if !ok {
		return
	}
	system, _ := p.loaded.room.System(s.System)
	readings := p.loaded.results[s.ID]
	p.heading.SetTitle(say.F("Results of %s", s.Code))
	p.heading.SetSubtitle(say.F("%s, drawn %s, %s", system.Label(), p.session.Minute(s.Drawn), p.stateOf(s)))
	rows := make([]widgets.Row, len(readings))
	measured := map[chem.Analyte]bool{}
	for n, r := range readings {
		measured[r.Analyte] = true
		rows[n] = widgets.Row{ID: n, Cells: p.resultCells(s, r)}
	}
	p.results.SetRows(rows)
	p.missing.SetText(p.notMeasured(s, measured))
}

func (p *Page) resultCells(s tanks.Sample, r tanks.Reading) []widgets.Cell {
	a := r.Analyte
	sign := map[tanks.Limit]string{tanks.Below: "<", tanks.Above: ">"}[r.Limit]
	cells := []widgets.Cell{{Text: say.Of(a)}, {Text: sign + p.session.Value(a, r.Value)}, {Text: string(p.session.Unit(a)), Quiet: true}, {}, {}, {}}
	if band, ok := p.loaded.room.Band(tanks.Cell{System: s.System, Analyte: a}); ok && band.HasEdges() {
		v := p.loaded.room.JudgeReading(r)
		cells[3] = widgets.Cell{Text: say.Of(v), Mark: widgets.MarkOf(int(v.Word), int(v.Sure), false)}
	}
	pair, ok := p.loaded.bench[s.ID][a]
	if !ok {
		cells[5] = widgets.Cell{Text: say.L("no bench reading of that day"), Quiet: true}
		return cells
	}
	cells[4] = widgets.Cell{Text: p.session.Value(a, pair.Bench.Value)}
	cells[5] = widgets.Cell{Quiet: pair.Agreement.Agree, Text: p.agreement(a, pair)}
	return cells
}

// agreement says in a few words whether lab and bench agree: how far they are
// apart and how far both claim they may be.
func (p *Page) agreement(a chem.Analyte, pair board.Pair) string {
	info, _ := chem.Lookup(a)
	unit := p.session.Unit(a)
	show := func(v float64) string {
		d, err := chem.ConvertDelta(a, pair.Lab.Value, math.Abs(v), info.Unit, unit, chem.Water{})
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
func (p *Page) notMeasured(s tanks.Sample, measured map[chem.Analyte]bool) string {
	if len(measured) == 0 {
		return say.L("No result is written down yet. Type the results when they are back.")
	}
	var parts []string
	for _, b := range p.loaded.room.Bands[s.System] {
		if !b.HasEdges() || measured[b.Analyte] {
			continue
		}
		last, ok := p.loaded.room.Latest[tanks.Cell{System: s.System, Analyte: b.Analyte}]
		if !ok {
			parts = append(parts, say.F("%s (nothing else does)", b.Analyte.InSentence()))
			continue
		}
		parts = append(parts, say.F("%s (%s, %s)", b.Analyte.InSentence(), nameOf(p.loaded.room.Methods[last.Method]), p.session.Age(last.At)))
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

func (p *Page) edit() {
	if s, ok := p.current(); ok {
		p.ask(s)
	}
}

// sent marks the sample as sent now.
func (p *Page) sent() {
	s, ok := p.current()
	if !ok {
		return
	}
	if !s.Sent.IsZero() {
		p.session.Say(session.Notice{Title: say.L("It is sent already"), Text: say.L("Change the sample to correct the day.")})
		return
	}
	s.Sent = p.session.Clock()
	p.save(say.L("Marking as sent"), s)
}

func (p *Page) save(doing string, s tanks.Sample) {
	p.session.Act(doing, func(ctx context.Context) error { return p.session.Store.SaveSample(ctx, &s) }, nil)
}

// ask asks for a sample's particulars; one without ID is new.
func (p *Page) ask(s tanks.Sample) {
	if p.loaded == nil {
		return
	}
	var names []string
	byName := map[string]tanks.SystemID{}
	chosen := ""
	for _, system := range p.loaded.room.Systems {
		names = append(names, system.Label())
		byName[system.Label()] = system.ID
		if system.ID == s.System {
			chosen = system.Label()
		}
	}
	if s.ID == 0 {
		s.Drawn = p.session.Clock()
	}
	system, code, lab, note := widgets.NewChoice(names, chosen), widgets.NewTextEntry(s.Code), widgets.NewTextEntry(s.Lab), widgets.NewTextEntry(s.Note)
	moments := map[string]*widgets.DateTimeEntry{}
	field := func(name string, at time.Time) *widgets.DateTimeEntry {
		moments[name] = widgets.NewDateTimeEntry(at, p.session.Zone, p.session.Clock)
		return moments[name]
	}
	form := widgets.NewForm(
		widgets.Field{Name: "system", Label: say.L("System"), Input: system},
		widgets.Field{Name: "code", Label: say.L("Code"), Input: code, Help: say.L("from the sample's tube")},
		widgets.Field{Name: "lab", Label: say.L("Laboratory"), Input: lab},
		widgets.Field{Name: "drawn", Label: say.L("Drawn"), Input: field("drawn", s.Drawn)},
		widgets.Field{Name: "sent", Label: say.L("Sent"), Input: field("sent", s.Sent), Help: say.L("empty: not yet")},
		widgets.Field{Name: "expected", Label: say.L("Expected back"), Input: field("expected", s.Expected)},
		widgets.Field{Name: "received", Label: say.L("Back"), Input: field("received", s.Received), Help: say.L("empty: not yet")},
		widgets.Field{Name: "note", Label: say.L("Note"), Input: note},
	)
	title := say.L("Change the sample")
	if s.ID == 0 {
		title = say.L("Draw a sample")
	}
	widgets.ShowForm(p.session.Window, title, say.L("Save"), form, func() bool {
		next := s
		next.System, next.Code, next.Lab, next.Note = byName[system.Selected()], strings.TrimSpace(code.Text), strings.TrimSpace(lab.Text), note.Text
		var faults []widgets.Fault
		for name, to := range map[string]*time.Time{"drawn": &next.Drawn, "sent": &next.Sent, "expected": &next.Expected, "received": &next.Received} {
			at, err := moments[name].Time()
			if err != nil {
				faults = append(faults, widgets.Fault{Field: name, Problem: say.Of(err)})
			}
			*to = at
		}
		if len(faults) == 0 {
			faults = session.FormFaults(next.Validate(p.session.Clock()))
		}
		form.ShowFaults(faults)
		if len(faults) > 0 {
			return false
		}
		p.save(say.L("Saving the sample"), next)
		return true
	})
}

// labMethods lists the methods of laboratories, by analyte, the newest first.
func (p *Page) labMethods() []tanks.Method {
	var out []tanks.Method
	for _, info := range chem.Catalogue() {
		for _, m := range p.loaded.room.Methods {
			if m.Kind == tanks.Lab && m.Analyte == info.Analyte && !m.Retired {
				out = append(out, m)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b tanks.Method) int {
		if a.Analyte == b.Analyte {
			return int(a.ID - b.ID)
		}
		return 0
	})
	return out
}
