// Package trendview is the chart of a system's analytes with its controls:
// which analytes, how far back, and saving the picture.
package trendview

import (
	"bytes"
	"context"
	"image"
	"slices"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/chart"
	"weirkeeper/app/figure"
	"weirkeeper/app/look"
	"weirkeeper/app/savefile"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/state"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/words"
)

// periods are the choices of how far back the chart looks, in days; 0: all.
var periods = []struct {
	name words.Text
	days int
}{{"30 days", 30}, {"90 days", 90}, {"6 months", 183}, {"18 months", 548}, {"Everything", 0}}

const (
	usualPeriod  = 1 // of periods
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
	period   int
	figure   chart.Figure
	analytes *widget.CheckGroup
	periods  *widget.Select
	chart    *widgets.ChartView
	said     *widgets.Line
	filling  bool
	content  fyne.CanvasObject
}

// New builds the view; it is empty until Ask.
func New(s *session.Session) *View {
	v := &View{session: s, period: usualPeriod, said: widgets.NewLine("", "", false)}
	names := make([]string, len(periods))
	for n, p := range periods {
		names[n] = say.L(p.name)
	}
	v.periods = widget.NewSelect(names, func(name string) { v.choosePeriod(name) })
	v.periods.SetSelectedIndex(usualPeriod)
	v.analytes = widget.NewCheckGroup(nil, v.chooseAnalytes)
	v.chart = widgets.NewChartView(v.draw)
	v.chart.OnHover = v.hover
	side := container.NewVScroll(v.analytes)
	side.SetMinSize(fyne.NewSize(150, 0))
	bar := container.NewHBox(v.periods,
		widgets.NewSecondary(say.L("Save as PNG"), func() { v.save("png") }),
		widgets.NewSecondary(say.L("Save as SVG"), func() { v.save("svg") }),
		v.said)
	v.content = container.NewBorder(bar, nil, side, nil, v.chart)
	v.ExtendBaseWidget(v)
	return v
}

// CreateRenderer implements fyne.Widget.
func (v *View) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(v.content) }

// Ask draws the request's system and analytes; offered are the analytes to
// choose from. The period stays as chosen.
func (v *View) Ask(q figure.Request, offered []chem.Analyte) {
	v.request, v.offered = q, offered
	v.filling = true
	var names, chosen []string
	for _, a := range offered {
		names = append(names, say.Of(a))
	}
	for _, a := range q.Analytes {
		chosen = append(chosen, say.Of(a))
	}
	v.analytes.Options = names
	v.analytes.SetSelected(chosen)
	v.filling = false
	v.reload()
}

func (v *View) choosePeriod(name string) {
	for n, p := range periods {
		if say.L(p.name) == name {
			v.period = n
		}
	}
	if v.chart != nil {
		v.reload()
	}
}

// chooseAnalytes takes over the checked analytes, a few at the most: more
// panels than that are too low to read.
func (v *View) chooseAnalytes(names []string) {
	if v.filling {
		return
	}
	v.request.Analytes = nil
	for _, name := range names[max(0, len(names)-mostPanels):] {
		if a, err := chem.ParseAnalyte(name); err == nil {
			v.request.Analytes = append(v.request.Analytes, a)
		}
	}
	if len(names) > mostPanels {
		v.filling = true
		v.analytes.SetSelected(names[len(names)-mostPanels:])
		v.filling = false
	}
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
	if days := periods[v.period].days; days > 0 {
		q.From = q.To.AddDate(0, 0, -days)
	} else if q.From.IsZero() {
		q.From = q.To.AddDate(-10, 0, 0)
	}
	q.Forecast = forecastTime
	zone := v.session.Zone
	session.Load(v.session, &v.loader, func(ctx context.Context) (f chart.Figure, err error) {
		room, err := state.Read(ctx, v.session.Store, q.To)
		if err != nil {
			return f, err
		}
		f, _, err = figure.Build(ctx, v.session.Store, room, v.session, zone, q)
		return f, err
	}, func(f chart.Figure, err error) {
		if err != nil {
			v.session.Fail(say.L("Drawing the trend"), err)
			return
		}
		v.figure = f
		v.said.SetText("")
		if len(f.Panels) == 0 {
			v.said.SetText(say.L("Choose an analyte on the left."))
		}
		v.chart.Redraw()
	})
}

// style is the chart's style for the theme of now.
func style() chart.Style {
	if look.Dark() {
		return chart.Dark
	}
	return chart.Light
}

// draw is called for every new size, scale and theme.
func (v *View) draw(w, h int, scale float64) image.Image {
	if len(v.figure.Panels) == 0 || w < 2 || h < 2 {
		return nil
	}
	img, err := chart.Draw(v.figure, style(), w, h, scale)
	if err != nil {
		v.said.SetText(say.Of(err))
		return nil
	}
	return img
}

// hover names the point nearest to the pointer.
func (v *View) hover(x, y float32, w, h int, scale float64) []string {
	if len(v.figure.Panels) == 0 {
		return nil
	}
	panel, point, ok := chart.LayoutOf(v.figure, w, h, scale).Nearest(float64(x), float64(y))
	if !ok {
		return nil
	}
	p := v.figure.Panels[panel]
	at := p.Points[point]
	sign := map[chart.Limit]string{chart.LimitBelow: "<", chart.LimitAbove: ">"}[at.Limit]
	lines := []string{
		say.F("%s %s%.*f %s", p.Name, sign, p.Decimals, at.Value, p.Unit),
		v.session.Minute(at.At),
	}
	if at.Outlier {
		lines = append(lines, say.L("off the fit: not counted in the uptake"))
	}
	return lines
}

// save writes the chart as a picture of fixed size, for paper.
func (v *View) save(kind string) {
	if len(v.figure.Panels) == 0 {
		v.session.Say(session.Notice{Title: say.L("Nothing to save"), Text: say.L("Choose an analyte first.")})
		return
	}
	var out bytes.Buffer
	var err error
	if kind == "svg" {
		err = chart.WriteSVG(&out, v.figure, chart.Print, 1200, 600)
	} else {
		err = chart.WritePNG(&out, v.figure, chart.Print, 2400, 1200, 2)
	}
	if err != nil {
		v.session.Fail(say.L("Drawing the picture"), err)
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
