package look

import (
	"bytes"
	"embed"
	"fmt"
	"strings"

	"fyne.io/fyne/v2"
)

//go:embed icons/*.svg
var iconFiles embed.FS

// drawnIn is the colour that the drawings are kept in.
const drawnIn = "#000000"

// lineIcon is a drawing in the theme's text colour of now. Fyne's own themed
// resource recolours fills only, and ours are strokes.
type lineIcon struct {
	name string
	data []byte
}

var _ fyne.Resource = (*lineIcon)(nil)

func (i *lineIcon) colour() string {
	r, g, b, _ := Color(Text).RGBA()
	return fmt.Sprintf("#%02x%02x%02x", r>>8, g>>8, b>>8)
}

// Name implements fyne.Resource. It differs by colour, for Fyne keeps pictures
// by name.
func (i *lineIcon) Name() string { return strings.TrimPrefix(i.colour(), "#") + "-" + i.name }

// Content implements fyne.Resource.
func (i *lineIcon) Content() []byte {
	return bytes.ReplaceAll(i.data, []byte(drawnIn), []byte(i.colour()))
}

// icon returns one of our drawings.
func icon(name string) fyne.Resource {
	file := name + ".svg"
	data, err := iconFiles.ReadFile("icons/" + file)
	if err != nil {
		panic("look: no drawing " + file)
	}
	return &lineIcon{file, data}
}

// IconRounds is a list of work with its first line ticked.
func IconRounds() fyne.Resource { return icon("rounds") }

// IconRoom is vessels on a stand.
func IconRoom() fyne.Resource { return icon("room") }

// IconTestSheet is a sheet with a line being written.
func IconTestSheet() fyne.Resource { return icon("testsheet") }

// IconDosing is a drop over water.
func IconDosing() fyne.Resource { return icon("dosing") }

// IconSamples is a flask.
func IconSamples() fyne.Resource { return icon("samples") }

// IconTrends is a line between axes.
func IconTrends() fyne.Resource { return icon("trends") }

// IconHandover is a sheet that is passed on.
func IconHandover() fyne.Resource { return icon("handover") }

// IconSetup is three sliders.
func IconSetup() fyne.Resource { return icon("setup") }

// IconCalendar is a month's sheet, for date fields.
func IconCalendar() fyne.Resource { return icon("calendar") }
