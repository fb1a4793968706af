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
	"weirkeeper/app/figure"
	"weirkeeper/app/look"
	"weirkeeper/app/paper"
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
	analytes *widgets.Table
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
	v.analytes = widgets.NewTable([]widgets.Column{{Title: say.L("Analytes"), Weight: 1, Min: 110}})
	v.analytes.Checks = true
	v.analytes.OnChecked = v.chooseAnalytes
	v.chart = widgets.NewChartView()
	v.chart.Run = func(work, done func()) {
		s.Runner.Run(context.Background(), func(context.Context) error { work(); return nil }, func(error) { done() })
	}
	bar := widgets.NewBar(v.periods,
		widgets.NewSecondary(say.L("Save as PNG"), func() { v.save("png") }).With(look.IconExport),
		widgets.NewSecondary(say.L("Save as SVG"), func() { v.save("svg") }).With(look.IconExport),
		widgets.NewSecondary(say.L("Save as PDF"), func() { v.save("pdf") }).With(look.IconExport),
		v.said)
	v.content = container.NewBorder(bar, nil, nil, nil, widgets.NewSides(v.analytes, v.chart, 0.2))
	v.ExtendBaseWidget(v)
	return v
}

// CreateRenderer implements fyne.Widget.
func (v *View) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(v.content) }

// Ask draws the request's system and analytes; offered are the analytes to
// choose from. The period stays as chosen.
func (v *View) Ask(q figure.Request, offered []chem.Analyte) {
	v.request, v.offered = q, offered
	v.show()
	v.reload()
}

// Again draws anew what was asked for, after a change of the ledger: the ticks stay
// as the person has set them, of what is still offered.
func (v *View) Again(system tanks.System, offered []chem.Analyte) {
	v.request.System, v.offered = system, offered
	v.request.Analytes = slices.DeleteFunc(slices.Clone(v.request.Analytes), func(a chem.Analyte) bool { return !slices.Contains(offered, a) })
	v.show()
	v.reload()
}

// show lists the offered analytes with those ticked that are drawn.
func (v *View) show() {
	v.filling = true
	rows := make([]widgets.Row, len(v.offered))
	var ticked []int
	for n, a := range v.offered {
		rows[n] = widgets.Row{ID: n, Cells: []widgets.Cell{{Text: say.Of(a)}}}
		if slices.Contains(v.request.Analytes, a) {
			ticked = append(ticked, n)
		}
	}
	v.analytes.SetRows(rows)
	v.analytes.SetChecked(ticked...)
	v.filling = false
}

// chooseAnalytes takes over the ticked analytes, a few at the most: more panels
// than that are too low to read, so the ones ticked first go.
func (v *View) chooseAnalytes() {
	if v.filling {
		return
	}
	var ticked []chem.Analyte
	for _, n := range v.analytes.Checked() {
		ticked = append(ticked, v.offered[n])
	}
	kept := slices.DeleteFunc(slices.Clone(v.request.Analytes), func(a chem.Analyte) bool { return !slices.Contains(ticked, a) })
	for _, a := range ticked {
		if !slices.Contains(kept, a) {
			kept = append(kept, a)
		}
	}
	v.request.Analytes = kept[max(0, len(kept)-mostPanels):]
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
	session.Load(v.session, &v.loader, say.L("Drawing the trend"), func(ctx context.Context, store *storage.Store) (f chart.Figure, err error) {
		room, err := reads.Room(ctx, q.To)
		if err != nil {
			return f, err
		}
		f, err = figure.Build(ctx, store, room, units, zone, q)
		return f, err
	}, func(f chart.Figure) {
		v.figure = f
		v.said.SetText("")
		if len(f.Panels) == 0 {
			v.said.SetText(say.L("Tick an analyte on the left."))
		}
		v.showFigure()
	})
}

// save writes the stretch of time that is shown as a picture of fixed size, for
// paper.
func (v *View) save(kind string) {
	if len(v.figure.Panels) == 0 {
		v.session.Say(session.Notice{Title: say.L("Nothing to save"), Text: say.L("Choose an analyte first.")})
		return
	}
	var out bytes.Buffer
	var err error
	shown := v.figure
	shown.From, shown.To = v.chart.Stretch()
	switch kind {
	case "svg":
		err = chart.WriteSVG(&out, shown, chart.Print, 1200, 600)
	case "pdf":
		err = paper.WritePDF(&out, shown, v.session.Clock(), 1200, 600)
	default:
		err = chart.WritePNG(&out, shown, chart.Print, 2400, 1200, 2)
	}
	if err != nil {
		v.session.NotDone(say.L("Drawing the picture"), err)
		return
	}
	name := strings.ReplaceAll(v.request.System.Code+" trend "+v.session.Now().Format("2006-01-02")+"."+kind, " ", "-")
	savefile.Ask(v.session, name, out.Bytes())
}

// Usual picks of the offered analytes the two that keepers look at first.
func Usual(offered []chem.Analyte) []chem.Analyte {
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
