// Command gallery shows every widget on a page of its own, to look at and to
// try by hand: light, dark, compact, comfortable.
package main

import (
	"flag"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/app"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/look"
	"weirkeeper/app/widgets"
	"weirkeeper/app/widgets/gallery/exhibit"
)

func main() {
	dark := flag.Bool("dark", false, "the dark theme")
	comfortable := flag.Bool("comfortable", false, "more room")
	flag.Parse()
	variant, density := look.AlwaysLight, look.Compact
	if *dark {
		variant = look.AlwaysDark
	}
	if *comfortable {
		density = look.Comfortable
	}
	a := app.NewWithID("org.weirkeeper.gallery")
	a.Settings().SetTheme(look.Of(variant, density))
	w := a.NewWindow("Gallery of widgets")
	w.SetContent(gallery())
	w.Resize(fyne.NewSize(1180, 760))
	w.ShowAndRun()
}

// gallery is the list of pages beside the chosen one.
func gallery() fyne.CanvasObject {
	pages := exhibit.Pages()
	body := container.NewStack()
	list := widgets.NewTable([]widgets.Column{{Title: "Widgets", Weight: 1}})
	rows := make([]widgets.Row, len(pages))
	for n, p := range pages {
		rows[n] = widgets.Row{ID: n, Cells: []widgets.Cell{{Text: p.Title}}}
	}
	list.OnCurrent = func(n int) {
		body.Objects = []fyne.CanvasObject{pages[n].Show()}
		body.Refresh()
	}
	list.SetRows(rows)
	body.Objects = []fyne.CanvasObject{pages[0].Show()}
	return widgets.NewSides(list, body, 0.2)
}
