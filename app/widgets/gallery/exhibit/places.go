package exhibit

import (
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/look"
	"weirkeeper/app/widgets"
)

func grounds() fyne.CanvasObject {
	box := container.NewVBox()
	for _, name := range []fyne.ThemeColorName{look.Panel, look.AccentSoft, look.BelowSoft, look.AboveSoft} {
		box.Add(
			container.NewStack(
				widgets.NewPanel(name),
				container.NewPadded(widgets.NewLine("Words on the ground "+string(name)[len("weirkeeper."):], look.Text, false)),
			),
		)
		box.Add(widgets.NewRule())
	}
	return page("Grounds and rules", "A ground in a colour of the theme, and a thin line", box)
}

func paragraphs() fyne.CanvasObject {
	long := "Words of more than one line go on in the next one, level at their left with what stands over and under them. "
	return page(
		"Paragraphs",
		"They wrap at words",
		widgets.NewLine("One line, which does not wrap", look.Text, true),
		widgets.NewWrapped(long+long+long),
		widgets.NewSmall(long+long+long),
	)
}

func sides() fyne.CanvasObject {
	left := widgets.NewWrapped("The left side has a share of the width, here a third.")
	right := widgets.NewWrapped("The right side has what is left. Neither is narrower than it must be while there is room for both.")
	return wide("Sides", "Two things with a thin rule between them", widgets.NewSides(left, right, 0.33))
}

func above() fyne.CanvasObject {
	text := widgets.NewWrapped("A text is as high as it needs, at most a share of the height, and scrolls beyond that. What stands below " +
		"it fills the rest.")
	table := widgets.NewTable([]widgets.Column{{Title: "Change", Weight: 1}, {Title: "Level", Width: 90}})
	table.SetRows([]widgets.Row{{ID: 0, Cells: []widgets.Cell{{Text: "first"}, {Bold: "97.8"}}}})
	return wide("Above", "A text over what fills the rest", widgets.NewAbove(text, table, 0.4))
}

func pairs() fyne.CanvasObject {
	water := widgets.NewChoice([]widgets.Option[int]{{Value: 1, Name: "T1  Tap"}, {Value: 2, Name: "S1  RO/DI store"}}, 1)
	return page("Pair", "Two things of one field", widgets.NewForm(
		widgets.Field{Name: "water", Label: "Water 1", Input: widgets.NewPair(water, widgets.NewNumberEntryOf(36), 0.6),
			Help: "and its litres"}))
}

func scrolled() fyne.CanvasObject {
	var fields []widgets.Field
	for n := range 30 {
		fields = append(
			fields,
			widgets.Field{Name: fmt.Sprint(n), Label: fmt.Sprintf("Field %d", n+1), Input: widgets.NewNumberEntryOf(float64(n) / 4)},
		)
	}
	return wide(
		"Scrolled",
		"It moves by itself to what has the keyboard; the bar lies beside the content",
		widgets.NewScrolled(widgets.NewForm(fields...)),
	)
}

func plainTable() fyne.CanvasObject {
	t := widgets.NewTable([]widgets.Column{
		{
			Title:  "Analyte",
			Weight: 1,
		}, {Title: "Value", Width: 120, Align: fyne.TextAlignTrailing}, {Title: "Unit", Width: 70}, {Title: "What it means", Weight: 1, Max: 420}, {Title: "Left out in a narrow window", Weight: 1, Spare: true},
	})
	t.SetRows([]widgets.Row{
		widgets.GroupRow("Measured"),
		{
			ID: 1,
			Cells: []widgets.Cell{
				{Text: "Alkalinity"},
				{Bold: "8.2"},
				{Text: "dKH", Quiet: true},
				{Text: "within, firm", Mark: widgets.MarkWithinFirm},
				{Text: "invented"},
			},
		},
		{
			ID: 2,
			Cells: []widgets.Cell{
				{Text: "Calcium"},
				{Bold: "388", Trend: -1},
				{Text: "mg/L", Quiet: true},
				{Text: "below, likely", Mark: widgets.MarkBelowLikely},
				{Text: "invented"},
			},
		},
		widgets.GroupRow("Computed"),
		{
			ID: 3,
			Cells: []widgets.Cell{
				{Text: "Carbon dioxide pressure"},
				{Bold: "600 ± 200"},
				{Text: "µatm", Quiet: true},
				{Text: "above outdoor air: aeration lowers it and raises pH"},
				{Text: "invented"},
			},
		},
	})
	return wide("Table", "The longest cells are cut first, and only where there is no room left", t)
}

func calculator() fyne.CanvasObject {
	litres := widgets.NewNumberEntry("340")
	c := widgets.NewCalculator(widgets.Field{Name: "litres", Label: "Litres", Input: litres})
	v := c.Number("litres", litres)
	c.Say(fmt.Sprintf("A tenth of the water is %.0f L.", v/10), "An example of the gallery.")
	return wide("Calculator", "The answer follows what is typed", c.Content())
}
