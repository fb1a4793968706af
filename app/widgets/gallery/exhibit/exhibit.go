// Package exhibit holds the pages of the gallery: each widget in the states that
// it has, with invented values.
package exhibit

import (
	"fmt"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/look"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
)

// Page is one widget's page. Show makes it anew in the theme of now.
type Page struct {
	Name  string // for files
	Title string
	Show  func() fyne.CanvasObject
}

// Pages returns every page.
func Pages() []Page {
	return []Page{
		{"type", "Colours and type", colours}, {"icons", "Icons", icons}, {"buttons", "Buttons and bars", buttons},
		{
			"grid",
			"Number grid",
			grid,
		}, {"quantity", "Quantity entry", quantities}, {"date", "Date and time", dates}, {"calendar", "Calendar", calendar},
		{
			"gauge",
			"Band gauge, marks",
			gauges,
		}, {"sparkline", "Sparkline", sparklines}, {"picker", "Picker", picker}, {"list", "List table", list},
		{
			"form",
			"Form",
			form,
		}, {"progress", "Progress", progress}, {"notice", "Notice", notices}, {"empty", "Empty state", empty}, {"chart", "Chart view", chartView},
		{
			"tabs",
			"Tabs",
			tabs,
		}, {"paragraphs", "Paragraphs", paragraphs}, {"grounds", "Grounds and rules", grounds}, {"sides", "Sides", sides}, {"pair", "Pair", pairs}, {"above", "Above", above},
		{"scrolled", "Scrolled", scrolled}, {"table", "Table", plainTable}, {"calculator", "Calculator", calculator},
	}
}

// Noon is the time on all pages: 10 March 2026, 12:00 UTC.
var noon = time.Date(2026, 3, 10, 12, 0, 0, 0, time.UTC)

func clock() time.Time { return noon }

func page(title, about string, content ...fyne.CanvasObject) fyne.CanvasObject {
	return container.NewPadded(container.NewBorder(widgets.NewHeading(title, about), nil, nil, nil, container.NewVBox(content...)))
}

func wide(title, about string, content fyne.CanvasObject) fyne.CanvasObject {
	return container.NewPadded(container.NewBorder(widgets.NewHeading(title, about), nil, nil, nil, content))
}

func colours() fyne.CanvasObject {
	box := container.NewGridWithColumns(4)
	for _, name := range []fyne.ThemeColorName{
		look.Text, look.Secondary, look.Below, look.Inside, look.Above, look.Accent, look.Problem, look.Forecast, look.Dose, look.Series1, look.Series2, look.Series3, look.Series4,
		look.Axis, look.BandEdge, look.Band,
	} {
		swatch := canvas.NewRectangle(look.Color(name))
		swatch.SetMinSize(fyne.NewSize(36, 18))
		box.Add(container.NewHBox(container.NewCenter(swatch), widgets.NewLine(string(name)[len("weirkeeper."):], look.Text, false)))
	}
	return page(
		"Colours and type",
		"Directions are blue down, vermilion up; a shape and a word say it too",
		box,
		widgets.NewLine(
			"A line of text, 0123456789 ± 0.25 mg/L",
			look.Text,
			false,
		),
		widgets.NewLine("The same in bold, 0123456789 ± 0.25 mg/L", look.Text, true),
		widgets.NewLine("Secondary text", look.Secondary, false),
	)
}

func icons() fyne.CanvasObject {
	box := container.NewGridWithColumns(6)
	for _, i := range look.Icons() {
		image := canvas.NewImageFromResource(i.Resource())
		image.SetMinSize(fyne.NewSquareSize(24))
		image.FillMode = canvas.ImageFillContain
		box.Add(container.NewHBox(image, widgets.NewLine(string(i), look.Secondary, false)))
	}
	return page("Icons", "Line drawings in the colour of text", box)
}

func buttons() fyne.CanvasObject {
	off := widgets.NewSecondary("Not now", nil).With(look.IconSkip)
	off.Disable()
	all := []fyne.CanvasObject{
		widgets.NewPrimary("Save 12 values", nil).With(look.IconSave),
		widgets.NewSecondary("Add a system", nil).With(look.IconAdd),
		widgets.NewSecondary("Without a drawing", nil),
		off,
	}
	for n := range 8 {
		all = append(all, widgets.NewSecondary(fmt.Sprintf("Another action %d", n+1), nil).With(look.IconChange))
	}
	return page("Buttons and bars", "A bar goes on in the next line", widgets.NewBar(all...), widgets.NewCheck("A box to tick", nil))
}

// table is a model of a grid with invented values.
type table struct{ texts map[[2]int]string }

func (t table) Rows() int    { return 40 }
func (t table) Columns() int { return 12 }
func (t table) ColumnHead(col int) (string, string) {
	return []string{"Calcium", "Alkalinity", "Magnesium", "Nitrate"}[col%4], []string{"kit, mg/L", "kit, dKH", "kit, mg/L",
		"meter, mg/L"}[col%4]
}
func (t table) RowHead(row int) (string, string) { return fmt.Sprintf("F%d", row+1), "Frag rack" }
func (t table) Cell(row, col int) widgets.GridCell {
	c := widgets.GridCell{Text: t.texts[[2]int{row, col}], Hint: fmt.Sprint(400 + 7*row%31 + col), Due: (row+col)%3 != 0}
	switch {
	case row == 1 && col == 1:
		c.Text, c.Bad, c.Message = "83", true, "Alkalinity of 83 dKH cannot be: check the decimal point."
	case row == 2 && col == 0:
		c.Text, c.Mark = "388", widgets.MarkBelowFirm
	case row == 3 && col == 2:
		c.Text, c.Mark = "1450", widgets.MarkAboveLikely
	case row == 4 && col == 3:
		c.Text, c.Mark = "<0.02", widgets.MarkWithinFirm
	}
	return c
}

func grid() fyne.CanvasObject {
	m := table{map[[2]int]string{}}
	g := widgets.NewGrid(m)
	g.OnEdit = func(row, col int, text string) { m.texts[[2]int{row, col}] = text }
	g.Reload()
	g.MoveTo(1, 1)
	return wide("Number grid", "Typing goes in, Enter moves down, Tab right; unshaded cells are due", g)
}

func quantities() fyne.CanvasObject {
	volume := func(u chem.VolumeUnit) widgets.QuantityUnit {
		return widgets.QuantityUnit{
			Name:     u.Words(),
			Decimals: 1,
			Of:       func(l float64) (float64, error) { return u.Of(l), nil },
			Kept:     func(v float64) (float64, error) { return v * u.Litres(), nil },
		}
	}
	alkalinity := func(u chem.Unit) widgets.QuantityUnit {
		return widgets.QuantityUnit{Name: words.Text(u), Decimals: chem.Decimals(chem.Alkalinity, u),
			Of:   func(v float64) (float64, error) { return chem.Convert(chem.Alkalinity, v, chem.MeqL, u, chem.Water{}) },
			Kept: func(v float64) (float64, error) { return chem.Convert(chem.Alkalinity, v, u, chem.MeqL, chem.Water{}) }}
	}
	entry := func(text string, units ...widgets.QuantityUnit) *widgets.QuantityEntry {
		e := widgets.NewQuantityEntry(units...)
		e.Limits = true
		e.SetText(text)
		return e
	}
	alk := []widgets.QuantityUnit{alkalinity(chem.DKH), alkalinity(chem.MeqL)}
	return page("Quantity entry", "A number with its unit; another unit may be typed behind it", widgets.NewForm(
		widgets.Field{Name: "a", Label: "Volume", Input: entry("340", volume(chem.Litre), volume(chem.USGallon))},
		widgets.Field{Name: "b", Label: "Typed in another unit", Input: entry("90 US gal", volume(chem.Litre), volume(chem.USGallon))},
		widgets.Field{Name: "c", Label: "With a comma", Input: entry("8,3", alk...)},
		widgets.Field{Name: "d", Label: "A bound", Input: entry("<0.5", alk...)},
		widgets.Field{Name: "e", Label: "Not understood", Input: entry("8.3.1", alk...)},
		widgets.Field{Name: "f", Label: "Empty", Input: entry("", alk...), Help: "in the unit that you prefer"},
	))
}

func dates() fyne.CanvasObject {
	return page("Date and time", "14:30, yesterday, -2d, -2h; Up and Down step by a day, F4 opens the calendar", widgets.NewForm(
		widgets.Field{Name: "day", Label: "Day", Input: widgets.NewDateEntry(noon, time.UTC, clock)},
		widgets.Field{Name: "moment", Label: "Day and time", Input: widgets.NewDateTimeEntry(noon, time.UTC, clock)},
		widgets.Field{Name: "empty", Label: "Empty", Input: widgets.NewDateTimeEntry(time.Time{}, time.UTC, clock), Help: "empty: now"},
	))
}

func calendar() fyne.CanvasObject {
	return page(
		"Calendar",
		"Arrows move by days and weeks, Page Up and Down by months",
		container.NewHBox(widgets.NewCalendar(noon.AddDate(0, 0, 3), noon, nil)),
	)
}

func tabs() fyne.CanvasObject {
	return page(
		"Tabs",
		"Left and Right choose another section",
		widgets.NewTabs(
			[]widgets.Tab[int]{{ID: 1, Name: "Water"}, {ID: 2, Name: "Chemistry"}, {ID: 3, Name: "Trend"}, {ID: 4, Name: "Log"}},
			nil,
		),
	)
}
