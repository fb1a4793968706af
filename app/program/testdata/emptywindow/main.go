// Command emptywindow opens an empty Fyne window: what the start of Weirkeeper is
// measured beside.
package main

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/app"
)

func main() {
	app.SetMetadata(fyne.AppMetadata{ID: "org.weirkeeper.emptywindow", Migrations: map[string]bool{"fyneDo": true}})
	w := app.New().NewWindow("Empty")
	w.Resize(fyne.NewSize(1280, 800))
	w.ShowAndRun()
}
