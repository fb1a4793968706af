package exhibit

import (
	"fmt"
	"math"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/chart"
	"weirkeeper/app/say"
	"weirkeeper/app/trendview"
	"weirkeeper/app/widgets"
)

func gauges() fyne.CanvasObject {
	table := widgets.NewTable([]widgets.Column{{Title: "Value and verdict", Width: 220}, {Title: "In the band", Width: 240}, {Title: "Doubt", Weight: 1}})
	var rows []widgets.Row
	for i, v := range []struct {
		mark  widgets.MarkKind
		value float64
		u     float64
	}{
		{widgets.MarkBelowFirm, 388, 3}, {widgets.MarkBelowLikely, 398, 6}, {widgets.MarkUnsure, 401, 12}, {widgets.MarkWithinLikely, 408, 6},
		{widgets.MarkWithinFirm, 421, 3}, {widgets.MarkAboveLikely, 443, 6}, {widgets.MarkAboveFirm, 470, 3}, {widgets.MarkStale, 421, 3},
		{widgets.MarkNone, 421, 3},
	} {
		rows = append(rows, widgets.Row{ID: i, Cells: []widgets.Cell{
			{Mark: v.mark, Text: fmt.Sprintf("%.0f %s", v.value, v.mark.Word())},
			{Gauge: &widgets.GaugeValue{Low: 400, Aim: 420, High: 440, Value: v.value, U: v.u}},
			{Text: fmt.Sprintf("± %.0f", 2*v.u), Quiet: true},
		}})
	}
	table.SetRows(rows)
	marks := container.NewVBox(widgets.NewMark(widgets.MarkAboveFirm), widgets.NewMarkLegend())
	return wide("Band gauge and verdict mark", "The rule, the band with its aim, the value with its whiskers",
		container.NewBorder(nil, marks, nil, nil, table))
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
	table := widgets.NewTable([]widgets.Column{{Title: "Course", Width: 180}, {Title: "30 days", Width: 180}})
	var rows []widgets.Row
	for i, c := range []struct {
		name   string
		course widgets.Course
	}{{"falling", wave(20, 430, -40)}, {"within", wave(12, 420, 2)}, {"rising", wave(30, 420, 50)},
		{"without a band", widgets.Course{X: []float64{0, 0.5, 1}, Y: []float64{1, 3, 2}}}, {"one value", wave(1, 420, 0)}} {
		rows = append(rows, widgets.Row{ID: i, Cells: []widgets.Cell{{Text: c.name}, {Course: &c.course}}})
	}
	table.SetRows(rows)
	return wide("Sparkline", "30 days beside a value; the ground is the band", table)
}

func picker() fyne.CanvasObject {
	systems := widgets.OptionsOf(
		[]string{"F1  Frag rack, north", "F2  Frag rack, south", "Q1  Quarantine", "M1  Mixing vat"},
		func(name string) string { return name },
	)
	products := []widgets.Option[int]{
		{Value: 1, Name: "Calcium chloride", Detail: "5 L, liquid"},
		{Value: 2, Name: "Calcium chloride", Detail: "1 kg, dry"},
	}
	person := widgets.NewTextChoice([]string{"AB", "CD"}, "")
	person.Empty = "initials"
	off := widgets.NewChoice(systems, systems[3].Value)
	off.Disable()
	return page("Picker", "Typing searches; Space, Enter or Down opens the list", widgets.NewForm(
		widgets.Field{
			Name:  "system",
			Label: "System",
			Input: widgets.NewChoice(systems, systems[0].Value),
		},
		widgets.Field{Name: "none", Label: "None yet", Input: widgets.NewChoice(systems, "")},
		widgets.Field{Name: "product", Label: "Two of one name", Input: widgets.NewChoice(products, 2)},
		widgets.Field{Name: "person", Label: "Or a new one", Input: person},
		widgets.Field{Name: "off", Label: "Not now", Input: off},
	))
}

// rack is a record of the list that is shown.
type rack struct {
	n     int
	value float64
}

func list() fyne.CanvasObject {
	l := widgets.NewList(widgets.ListModel[int, rack]{
		Name: "gallery", Key: func(r rack) int { return r.n }, Checks: true,
		Columns: []widgets.ListColumn[rack]{
			{ID: "system", Column: widgets.Column{Title: "System", Weight: 2}, Cell: func(r rack) widgets.Cell {
				return widgets.Cell{Bold: fmt.Sprintf("F%d", r.n+1), Text: "Frag rack"}
			}},
			{ID: "value", Column: widgets.Column{Title: "Value", Width: 90, Align: fyne.TextAlignTrailing}, Cell: rack.cell},
			{ID: "band", Column: widgets.Column{Title: "In the band", Weight: 2}, Cell: func(r rack) widgets.Cell {
				return widgets.Cell{Gauge: &widgets.GaugeValue{Low: 400, Aim: 420, High: 440, Value: r.value, U: 4}}
			}},
			{ID: "course", Column: widgets.Column{Title: "30 days", Width: 110}, Cell: func(r rack) widgets.Cell {
				course := wave(14, r.value, float64(r.n%5-2)*8)
				return widgets.Cell{Course: &course}
			}},
			{
				ID:     "remark",
				Column: widgets.Column{Title: "Remark", Weight: 2},
				Cell:   func(rack) widgets.Cell { return widgets.Cell{Text: "invented", Quiet: true} },
			},
		},
	}, nil)
	groups := []widgets.Group[rack]{{Title: "Back room"}, {Title: "Shop"}}
	for n := range 24 {
		groups[n/12].Records = append(groups[n/12].Records, rack{n, 385 + float64(n*17%70)})
	}
	l.SetGroups(groups)
	l.Tick(1, 2, 5)
	return wide(
		"List table",
		"Letters filter, titles sort, Space ticks, Shift with arrows ticks several",
		container.NewBorder(widgets.NewBar(l.Tools()...), nil, nil, nil, l.Object()),
	)
}

func (r rack) cell() widgets.Cell {
	mark := widgets.MarkWithinFirm
	if r.value < 400 {
		mark = widgets.MarkBelowLikely
	} else if r.value > 440 {
		mark = widgets.MarkAboveFirm
	}
	return widgets.Cell{Text: fmt.Sprintf("%.0f", r.value), Mark: mark, By: r.value}
}

func form() fyne.CanvasObject {
	f := widgets.NewForm(
		widgets.Field{
			Name:  "code",
			Label: "Code",
			Input: widgets.NewTextEntry("F 3"),
			Help:  "short, such as F3; it labels the rack and the lists",
		},
		widgets.Field{Name: "name", Label: "Name", Input: widgets.NewTextEntry("Frag rack, north")},
		widgets.Field{Name: "order", Label: "Walking order", Input: widgets.NewNumberEntry("3")},
		widgets.Field{Name: "note", Label: "Note", Input: widgets.NewNoteEntry("Two rows of shelves.", 3)},
	)
	f.ShowFaults(
		[]widgets.Fault{{Field: "code", Problem: `The code "F 3" is too long or has a space`, Remedy: "use up to 8 letters and digits"}},
	)
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
	return page(
		"Notice",
		"What happened, what was kept, what to do",
		widgets.NewNotice(
			"Saved 12 values",
			"They are in the ledger.",
			false,
			widgets.Action{Text: "Take them back"},
			widgets.Action{Text: "Close"},
		),
		widgets.NewNotice(
			"Saving the sheet: not done",
			"The disk is full; make room and save again.\nNothing was saved by this; what you typed is still here.",
			true,
			widgets.Action{Text: "Close"},
		),
	)
}

func empty() fyne.CanvasObject {
	return page(
		"Empty state",
		"Every list says what to do",
		widgets.NewEmpty(
			"No system yet",
			"A room begins with its systems: their volume, and a profile that says what to test and how often.",
			widgets.Action{Text: "Add a system"},
			widgets.Action{Text: "Look at the demo room"},
		),
	)
}

func chartView() fyne.CanvasObject {
	from := noon.AddDate(0, 0, -60)
	p := chart.Panel{
		Name:    "Calcium",
		Unit:    "mg/L",
		Band:    &chart.Band{Low: 400, Aim: 420, High: 440},
		Verdict: "below, firm",
		State:   chart.StateBelow,
	}
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
	view.SetPicture(
		trendview.Picture{
			Minute: say.Moment,
			Figure: chart.Figure{
				Title:    "F1  Frag rack",
				Subtitle: "invented values",
				From:     from,
				To:       noon,
				Now:      noon,
				Panels:   []chart.Panel{p},
			},
		},
	)
	return wide("Chart view", "Left and Right go from point to point, + and - zoom, 0 shows all", view)
}
