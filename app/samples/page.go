// Package samples follows water that is sent to a laboratory: drawn, sent,
// received, its results, and how they compare with the bench's of the same
// day.
package samples

import (
	"context"
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
	"weirkeeper/storage"
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
	list    *widgets.List[tanks.SampleID, tanks.Sample]
	results *resultsView
	body    *fyne.Container
	filled  fyne.CanvasObject
	content fyne.CanvasObject
}

// loaded is what the page shows beside the results of one sample.
type loaded struct {
	room    *board.Board
	samples []tanks.Sample // the newest first
}

// New builds the page; it is empty until Visit.
func New(s *session.Session) *Page {
	p := &Page{session: s, results: newResultsView(s), body: container.NewStack()}
	p.list = widgets.NewList(widgets.ListModel[tanks.SampleID, tanks.Sample]{
		Name: "samples", Key: func(s tanks.Sample) tanks.SampleID { return s.ID }, Columns: p.columns(),
		Open: func(chosen []tanks.Sample) { p.ask(chosen[0]) }, Chose: p.showResults, Empty: p.empty,
	}, s.Memory)
	buttons := widgets.NewBar(
		widgets.NewPrimary(say.L("Draw a sample"), p.draw).With(look.IconAdd),
		widgets.NewSecondary(say.L("Change"), p.edit).With(look.IconChange),
		widgets.NewSecondary(say.L("Sent today"), p.sent).With(look.IconSend),
		widgets.NewSecondary(say.L("Type the results"), p.typeResults).With(look.IconTestSheet),
	).And(p.list.Tools()...)
	p.filled = widgets.NewSides(p.list.Object(), p.results.content, 0.38)
	heading := widgets.NewHeading(say.L("Lab samples"), say.L("What is out, what is back, and whether bench and lab agree"))
	p.content = container.NewBorder(container.NewVBox(heading, buttons), nil, nil, nil, p.body)
	p.ExtendBaseWidget(p)
	return p
}

// CreateRenderer implements fyne.Widget.
func (p *Page) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(p.content) }

// FirstFocus puts the keyboard on the list.
func (p *Page) FirstFocus() fyne.Focusable {
	if p.loaded == nil {
		return nil
	}
	return p.list.Focus()
}

// Visit opens the newest sample of the route's system.
func (p *Page) Visit(r session.Route) {
	p.want = r
	p.Reload()
}

// Reload reads the samples anew.
func (p *Page) Reload() {
	now := p.session.Clock()
	reads := p.session.Reads
	session.Load(p.session, &p.loader, say.L("Reading the lab samples"), func(ctx context.Context, store *storage.Store) (*loaded, error) {
		return fetch(ctx, store, reads, now)
	}, p.lay)
}

func fetch(ctx context.Context, store *storage.Store, reads *state.Reads, now time.Time) (*loaded, error) {
	room, err := reads.Room(ctx, now)
	if err != nil {
		return nil, err
	}
	l := &loaded{room: room.Board}
	if l.samples, err = store.Samples(ctx); err != nil {
		return nil, words.Errorf("reading the samples: %w", err)
	}
	return l, nil
}

// lay shows what was read, with the cursor where it was, else on the newest
// sample that is back.
func (p *Page) lay(l *loaded) {
	p.loaded = l
	_, had := p.list.Current()
	had = had && p.list.Len() > 0
	p.list.SetRecords(l.samples)
	if s, ok := l.newestBack(func(s tanks.Sample) bool { return s.System == p.want.System }); ok {
		p.list.SetCurrent(s.ID)
	} else if s, ok := l.newestBack(func(tanks.Sample) bool { return true }); ok && !had {
		p.list.SetCurrent(s.ID)
	}
	p.want = session.Route{}
	p.body.Objects = []fyne.CanvasObject{p.filled}
	if len(l.samples) == 0 {
		p.body.Objects = []fyne.CanvasObject{p.list.Object()}
	}
	p.body.Refresh()
	p.showResults()
}

// newestBack is the newest sample that is back, among those that are asked for.
func (l *loaded) newestBack(among func(tanks.Sample) bool) (tanks.Sample, bool) {
	for _, s := range l.samples {
		if among(s) && !s.Received.IsZero() {
			return s, true
		}
	}
	return tanks.Sample{}, false
}

func (p *Page) empty() fyne.CanvasObject {
	return widgets.NewEmpty(say.L("No lab sample yet"),
		say.L("Write a sample down when you draw it; when the results are back they stand beside the bench's values of that day."),
		widgets.Action{Text: say.L("Draw a sample"), Do: p.draw})
}

func (p *Page) columns() []widgets.ListColumn[tanks.Sample] {
	return []widgets.ListColumn[tanks.Sample]{
		{ID: "system", Column: widgets.Column{Title: say.L("Of"), Width: 48}, Cell: func(s tanks.Sample) widgets.Cell {
			system, _ := p.loaded.room.System(s.System)
			return widgets.Cell{Bold: system.Code}
		}},
		{ID: "code", Column: widgets.Column{Title: say.L("Code"), Weight: 2, Min: 120}, Cell: func(s tanks.Sample) widgets.Cell {
			return widgets.Cell{Text: s.Code}
		}},
		{ID: "drawn", Column: widgets.Column{Title: say.L("Drawn"), Width: 100, Spare: true}, Cell: func(s tanks.Sample) widgets.Cell {
			return widgets.Cell{Text: p.session.Day(s.Drawn), By: s.Drawn}
		}},
		{ID: "state", Column: widgets.Column{Title: say.L("State"), Weight: 3}, Cell: func(s tanks.Sample) widgets.Cell {
			return widgets.Cell{Text: stateOf(p.session, s)}
		}},
	}
}

// stateOf says where a sample is.
func stateOf(in *session.Session, s tanks.Sample) string {
	switch {
	case !s.Received.IsZero():
		return say.F("back %s", in.Day(s.Received))
	case s.Sent.IsZero():
		return say.L("drawn, not sent")
	case !s.Expected.IsZero() && s.Expected.Before(in.Clock()):
		return say.F("sent, expected since %s", in.Day(s.Expected))
	case !s.Expected.IsZero():
		return say.F("sent, expected %s", in.Day(s.Expected))
	}
	return say.F("sent %s", in.Day(s.Sent))
}

// current is the sample under the cursor.
func (p *Page) current() (tanks.Sample, bool) {
	if p.loaded == nil {
		return tanks.Sample{}, false
	}
	return p.list.Current()
}

func (p *Page) showResults() {
	if s, ok := p.current(); ok {
		p.results.show(p.loaded.room, s)
	}
}

func (p *Page) draw() { p.ask(tanks.Sample{}) }

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
	p.session.Act(say.L("Marking as sent"), saving(s), nil)
}
