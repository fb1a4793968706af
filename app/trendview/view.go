// Package trendview is the chart of a system's analytes with its controls:
// which analytes, how far back, and saving the picture.
package trendview

import (
	"bytes"
	"context"
	"slices"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/chart"
	"weirkeeper/app/documents"
	"weirkeeper/app/figure"
	"weirkeeper/app/look"
	"weirkeeper/app/savefile"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// periods are the choices of how far back the chart looks, in days; 0: all.
var (
	periods     = []int{30, usualPeriod, 183, 548, 0}
	periodNames = map[int]words.Text{30: "30 days", usualPeriod: "90 days", 183: "6 months", 548: "18 months", 0: "Everything"}
)

const (
	usualPeriod  = 90 // days
	forecastTime = 14 * 24 * time.Hour
	mostPanels   = 3
)

// View is the chart with its controls.
type View struct {
	widget.BaseWidget
	session  *session.Session
	loader   session.Loader
	request  figure.Request
	offered  []chem.Analyte
	figure   chart.Figure
	analytes *widgets.List[chem.Analyte, chem.Analyte]
	periods  *widgets.Choice[int] // of days, zero: all
	chart    *widgets.ChartView
	said     *widgets.Line
	filling  bool
	content  fyne.CanvasObject
}

// New builds the view; it is empty until Ask.
func New(s *session.Session) *View {
	v := &View{session: s, said: widgets.NewLine("", "", false)}
	v.periods = widgets.NewChoice(widgets.OptionsOf(periods, func(days int) string { return say.L(periodNames[days]) }), usualPeriod)
	v.periods.OnChanged = func(int) { v.reload() }
	v.analytes = widgets.NewList(widgets.ListModel[chem.Analyte, chem.Analyte]{
		Name: "trend.analytes", Key: func(a chem.Analyte) chem.Analyte { return a }, Checks: true, Chose: v.chose,
		Columns: []widgets.ListColumn[chem.Analyte]{
			{ID: "analyte", Column: widgets.Column{Title: say.L("Analytes"), Weight: 1, Min: 110}, Cell: func(a chem.Analyte) widgets.Cell {
				return widgets.Cell{Text: say.Of(a)}
			}},
		},
	}, s.Memory)
	v.chart = widgets.NewChartView()
	v.chart.Run = func(work, done func()) {
		s.Runner.Run(context.Background(), func(context.Context) error { work(); return nil }, func(error) { done() })
	}
	bar := widgets.NewBar(v.periods,
		widgets.NewSecondary(say.L("Save as PNG"), func() { v.save("png") }).With(look.IconExport),
		widgets.NewSecondary(say.L("Save as SVG"), func() { v.save("svg") }).With(look.IconExport),
		widgets.NewSecondary(say.L("Save as PDF"), func() { v.save("pdf") }).With(look.IconExport),
		v.said)
	v.content = container.NewBorder(bar, nil, nil, nil, widgets.NewSides(v.analytes.Object(), v.chart, 0.22))
	v.ExtendBaseWidget(v)
	return v
}

// CreateRenderer implements fyne.Widget.
func (v *View) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(v.content) }

// Ask draws the wanted analytes of a system; offered are those that it has. Without
// any wanted those that are ticked stay, where the system has them; a system of
// which nothing is shown begins with the usual ones. The period stays as chosen.
func (v *View) Ask(system tanks.System, wanted, offered []chem.Analyte) {
	if len(wanted) == 0 {
		wanted = slices.DeleteFunc(slices.Clone(v.request.Analytes), func(a chem.Analyte) bool { return !slices.Contains(offered, a) })
	}
	if same := v.request.System.ID == system.ID && len(v.offered) > 0; len(wanted) == 0 && !same {
		wanted = usual(offered)
	}
	v.request, v.offered = figure.Request{System: system, Analytes: wanted}, offered
	v.show()
	v.reload()
}

// show lists the offered analytes with those ticked that are drawn.
func (v *View) show() {
	v.filling = true
	v.analytes.SetRecords(v.offered)
	v.analytes.Tick(v.request.Analytes...)
	v.filling = false
}

// chose takes over the ticked analytes, a few at the most: more panels than that
// are too low to read, so the ones ticked first go.
func (v *View) chose() {
	if v.filling {
		return
	}
	ticked := v.analytes.Ticked()
	kept := slices.DeleteFunc(slices.Clone(v.request.Analytes), func(a chem.Analyte) bool { return !slices.Contains(ticked, a) })
	for _, a := range ticked {
		if !slices.Contains(kept, a) {
			kept = append(kept, a)
		}
	}
	kept = kept[max(0, len(kept)-mostPanels):]
	if slices.Equal(kept, v.request.Analytes) {
		return // only the cursor moved
	}
	v.request.Analytes = kept
	v.show()
	v.reload()
}

// reload reads the figure anew and draws it.
func (v *View) reload() {
	if v.request.System.ID == 0 {
		return
	}
	q := v.request
	q.To = v.session.Clock()
	q.From = q.System.Opened
	if days := v.periods.Value(); days > 0 {
		q.From = q.To.AddDate(0, 0, -days)
	} else if q.From.IsZero() {
		q.From = q.To.AddDate(-10, 0, 0)
	}
	q.Forecast = forecastTime
	units, zone := figure.UnitsOf(v.session), v.session.Zone
	reads := v.session.Reads
	session.Load(
		v.session,
		&v.loader,
		say.L("Drawing the trend"),
		func(ctx context.Context, store *storage.Store) (f chart.Figure, err error) {
			room, err := reads.Room(ctx, q.To)
			if err != nil {
				return f, err
			}
			f, err = figure.Build(ctx, store, room, units, zone, q)
			return f, err
		},
		func(f chart.Figure) {
			v.figure = f
			v.said.SetText("")
			if len(f.Panels) == 0 {
				v.said.SetText(say.L("Tick an analyte on the left."))
			}
			v.showFigure()
		},
	)
}

// save writes the stretch of time that is shown as a picture of fixed size, for
// paper.
func (v *View) save(kind string) {
	if len(v.figure.Panels) == 0 {
		v.session.Say(session.Notice{Title: say.L("Nothing to save"), Text: say.L("Choose an analyte first.")})
		return
	}
	shown, now := v.figure, v.session.Now()
	shown.From, shown.To = v.chart.Stretch()
	name := strings.ReplaceAll(v.request.System.Code+" trend "+now.Format("2006-01-02")+"."+kind, " ", "-")
	var out bytes.Buffer
	v.session.Act(
		say.L("Drawing the picture"),
		func(context.Context, *storage.Store) error { return write(&out, kind, shown, now) },
		func() {
			savefile.Ask(v.session, name, out.Bytes())
		},
	)
}

// write draws a figure as a file of a kind: svg, pdf or png.
func write(out *bytes.Buffer, kind string, f chart.Figure, now time.Time) error {
	switch kind {
	case "svg":
		return chart.WriteSVG(out, f, chart.Print, 1200, 600)
	case "pdf":
		return documents.WriteFigure(out, f, now, 1200, 600)
	}
	return chart.WritePNG(out, f, chart.Print, 2400, 1200, 2)
}

// usual picks of the offered analytes the two that keepers look at first.
func usual(offered []chem.Analyte) []chem.Analyte {
	var out []chem.Analyte
	for _, want := range []chem.Analyte{chem.Alkalinity, chem.Calcium, chem.Nitrate, chem.PH, chem.Temperature, chem.Conductivity} {
		if slices.Contains(offered, want) && len(out) < 2 {
			out = append(out, want)
		}
	}
	if len(out) == 0 && len(offered) > 0 {
		out = offered[:1]
	}
	return out
}
