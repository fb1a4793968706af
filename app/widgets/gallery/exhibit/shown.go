package exhibit

import (
	"fmt"
	"math"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/chart"
	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/trendview"
	"weirkeeper/app/widgets"
)

func gauges() fyne.CanvasObject {
	box := container.NewGridWithColumns(3)
	for _, v := range []struct {
		mark  widgets.MarkKind
		value float64
		u     float64
	}{
		{widgets.MarkBelowFirm, 388, 3}, {widgets.MarkBelowLikely, 398, 6}, {widgets.MarkUnsure, 401, 12}, {widgets.MarkWithinLikely, 408, 6}, {widgets.MarkWithinFirm, 421, 3},
		{widgets.MarkAboveLikely, 443, 6}, {widgets.MarkAboveFirm, 470, 3}, {widgets.MarkStale, 421, 3}, {widgets.MarkNone, 421, 3},
	} {
		gauge := widgets.NewGauge(widgets.GaugeValue{Low: 400, Aim: 420, High: 440, Value: v.value, U: v.u})
		box.Add(container.NewHBox(widgets.NewMark(v.mark), widgets.NewLine(fmt.Sprintf("%.0f %s", v.value, v.mark.Word()), look.Text, false)))
		box.Add(container.NewGridWrap(fyne.NewSize(220, 16), gauge))
		box.Add(widgets.NewLine(fmt.Sprintf("± %.0f", 2*v.u), look.Secondary, false))
	}
	return page("Band gauge and verdict mark", "The rule, the band with its aim, the value with its whiskers", box, widgets.NewMarkLegend())
}

// wave is a course of n invented values around a level.
func wave(n int, level, slope float64) widgets.Course {
	c := widgets.Course{Low: 400, High: 440}
	for i := range n {
		x := float64(i) / float64(max(n-1, 1))
		c.X, c.Y = append(c.X, x), append(c.Y, level+slope*x+6*math.Sin(9*x))
	}
	return c
}

func sparklines() fyne.CanvasObject {
	box := container.NewGridWithColumns(2)
	for _, c := range []struct {
		name   string
		course widgets.Course
	}{{"falling", wave(20, 430, -40)}, {"within", wave(12, 420, 2)}, {"rising", wave(30, 420, 50)}, {"without a band", widgets.Course{X: []float64{0, 0.5, 1}, Y: []float64{1, 3, 2}}}, {"one value", wave(1, 420, 0)}} {
		box.Add(container.NewGridWrap(fyne.NewSize(160, 22), widgets.NewSparkline(c.course)))
		box.Add(widgets.NewLine(c.name, look.Text, false))
	}
	return page("Sparkline", "30 days beside a value; the ground is the band", box)
}

func picker() fyne.CanvasObject {
	names := []string{"F1  Frag rack, north", "F2  Frag rack, south", "Q1  Quarantine", "M1  Mixing vat"}
	free := widgets.NewChoice([]string{"AB", "CD"}, "")
	free.Free, free.Empty = true, "initials"
	off := widgets.NewChoice(names, names[3])
	off.Disable()
	return page("Picker", "Typing searches; Space, Enter or Down opens the list", widgets.NewForm(
		widgets.Field{Name: "system", Label: "System", Input: widgets.NewChoice(names, names[0])}, widgets.Field{Name: "none", Label: "None yet", Input: widgets.NewChoice(names, "")},
		widgets.Field{Name: "person", Label: "Or a new one", Input: free}, widgets.Field{Name: "off", Label: "Not now", Input: off}))
}

func list() fyne.CanvasObject {
	l := widgets.NewList([]widgets.Column{
		{Title: "System", Weight: 2}, {Title: "Value", Width: 90, Align: fyne.TextAlignTrailing}, {Title: "In the band", Weight: 2}, {Title: "30 days", Width: 110}, {Title: "Remark", Weight: 2},
	}, nil, "gallery")
	l.Table.Checks = true
	rows := []widgets.Row{widgets.GroupRow("Back room")}
	for n := range 24 {
		if n == 12 {
			rows = append(rows, widgets.GroupRow("Shop"))
		}
		value := 385 + float64(n*17%70)
		course := wave(14, value, float64(n%5-2)*8)
		mark := widgets.MarkWithinFirm
		if value < 400 {
			mark = widgets.MarkBelowLikely
		} else if value > 440 {
			mark = widgets.MarkAboveFirm
		}
		rows = append(rows, widgets.Row{ID: n, Cells: []widgets.Cell{
			{Bold: fmt.Sprintf("F%d", n+1), Text: "Frag rack"}, {Text: fmt.Sprintf("%.0f", value), Mark: mark, By: value},
			{Gauge: &widgets.GaugeValue{Low: 400, Aim: 420, High: 440, Value: value, U: 4}}, {Course: &course}, {Text: "invented", Quiet: true},
		}})
	}
	l.SetRows(rows)
	l.Table.SetChecked(1, 2, 5)
	return wide("List table", "Letters filter, titles sort, Space ticks, Shift with arrows ticks several", container.NewBorder(widgets.NewBar(l.Tools()...), nil, nil, nil, l.Table))
}

func form() fyne.CanvasObject {
	f := widgets.NewForm(
		widgets.Field{Name: "code", Label: "Code", Input: widgets.NewTextEntry("F 3"), Help: "short, such as F3; it labels the rack and the lists"},
		widgets.Field{Name: "name", Label: "Name", Input: widgets.NewTextEntry("Frag rack, north")},
		widgets.Field{Name: "order", Label: "Walking order", Input: widgets.NewNumberEntry("3")},
		widgets.Field{Name: "note", Label: "Note", Input: widgets.NewNoteEntry("Two rows of shelves.", 3)},
	)
	f.ShowFaults([]widgets.Fault{{Field: "code", Problem: `The code "F 3" is too long or has a space`, Remedy: "use up to 8 letters and digits"}})
	return page("Form", "Help in grey, what is wrong under its field", f)
}

func progress() fyne.CanvasObject {
	half, unknown := widgets.NewProgress(), widgets.NewProgress()
	half.Begin("Importing readings.csv", func() {})
	half.Set(0.42)
	unknown.Begin("Backing up", nil)
	return page("Progress", "Long work, with a way to stop it", container.NewHBox(half), container.NewHBox(unknown))
}

func notices() fyne.CanvasObject {
	return page("Notice", "What happened, what was kept, what to do",
		widgets.NewNotice("Saved 12 values", "They are in the ledger.", false, widgets.Action{Text: "Take them back"}, widgets.Action{Text: "Close"}),
		widgets.NewNotice("Saving the sheet: not done", "The disk is full; make room and save again.\nNothing was saved by this; what you typed is still here.", true, widgets.Action{Text: "Close"}))
}

func empty() fyne.CanvasObject {
	return page("Empty state", "Every list says what to do", widgets.NewEmpty("No system yet", "A room begins with its systems: their volume, and a profile that says what to test and how often.", widgets.Action{Text: "Add a system"}, widgets.Action{Text: "Look at the demo room"}))
}

func chartView() fyne.CanvasObject {
	from := noon.AddDate(0, 0, -60)
	p := chart.Panel{Name: "Calcium", Unit: "mg/L", Band: &chart.Band{Low: 400, Aim: 420, High: 440}, Verdict: "below, firm", State: chart.StateBelow}
	for n := range 40 {
		at := from.Add(time.Duration(n) * 36 * time.Hour)
		v := 430 - float64(n) + 6*math.Sin(float64(n))
		state := chart.StateWithin
		if v < 400 {
			state = chart.StateBelow
		}
		p.Points = append(p.Points, chart.Point{At: at, Value: v, U: 4, State: state})
	}
	view := widgets.NewChartView()
	view.SetPicture(trendview.Picture{Minute: say.Moment, Figure: chart.Figure{Title: "F1  Frag rack", Subtitle: "invented values", From: from, To: noon, Now: noon, Panels: []chart.Panel{p}}})
	return wide("Chart view", "Left and Right go from point to point, + and - zoom, 0 shows all", view)
}
