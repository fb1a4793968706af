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

// lineIcon is a drawing in a colour of the theme of now. Fyne's own themed
// resource recolours fills only, and ours are strokes.
type lineIcon struct {
	name string
	data []byte
	ink  fyne.ThemeColorName
}

var _ fyne.Resource = (*lineIcon)(nil)

func (i *lineIcon) colour() string {
	r, g, b, _ := Color(i.ink).RGBA()
	return fmt.Sprintf("#%02x%02x%02x", r>>8, g>>8, b>>8)
}

// Name implements fyne.Resource. It differs by colour, for Fyne keeps pictures
// by name.
func (i *lineIcon) Name() string { return strings.TrimPrefix(i.colour(), "#") + "-" + i.name }

// Content implements fyne.Resource.
func (i *lineIcon) Content() []byte {
	return bytes.ReplaceAll(i.data, []byte(drawnIn), []byte(i.colour()))
}

// Icon is one of our drawings: of a place or of an action.
type Icon string

// The icons of the places.
const (
	IconRounds    Icon = "rounds"    // a list of work with its first line ticked
	IconRoom      Icon = "room"      // vessels on a stand
	IconTestSheet Icon = "testsheet" // a sheet with a line being written
	IconDosing    Icon = "dosing"    // a drop over water
	IconSamples   Icon = "samples"   // a flask
	IconTrends    Icon = "trends"    // a line between axes
	IconHandover  Icon = "handover"  // a sheet that is passed on
	IconSetup     Icon = "setup"     // three sliders
	IconSystem    Icon = "system"    // one vessel with water
)

// The icons of actions.
const (
	IconAdd      Icon = "add"
	IconBack     Icon = "back"
	IconCalendar Icon = "calendar" // a month's sheet, for date fields
	IconChange   Icon = "change"   // a pencil
	IconClear    Icon = "clear"
	IconColumns  Icon = "columns"
	IconDone     Icon = "done"
	IconExport   Icon = "export"
	IconFilter   Icon = "filter"
	IconImport   Icon = "import"
	IconKeys     Icon = "keys"
	IconLater    Icon = "later" // a clock
	IconMeasure  Icon = "measure"
	IconNote     Icon = "note"
	IconOpen     Icon = "open"
	IconPerson   Icon = "person"
	IconPrint    Icon = "print"
	IconRedo     Icon = "redo"
	IconRemove   Icon = "remove"
	IconRestore  Icon = "restore"
	IconSave     Icon = "save"
	IconSearch   Icon = "search"
	IconSend     Icon = "send"
	IconSkip     Icon = "skip"
	IconStart    Icon = "start"
	IconStop     Icon = "stop"
	IconUndo     Icon = "undo"
	IconVerify   Icon = "verify"
	IconWave     Icon = "wave"
)

// Icons lists every drawing.
func Icons() []Icon {
	return []Icon{
		IconRounds, IconRoom, IconTestSheet, IconDosing, IconSamples, IconTrends, IconHandover, IconSetup, IconSystem,
		IconAdd, IconBack, IconCalendar, IconChange, IconClear, IconColumns, IconDone, IconExport, IconFilter, IconImport, IconKeys, IconLater,
		IconMeasure, IconNote, IconOpen, IconPerson, IconPrint, IconRedo, IconRemove, IconRestore, IconSave, IconSearch, IconSend, IconSkip,
		IconStart, IconStop, IconUndo, IconVerify, IconWave,
	}
}

// Resource returns the drawing in the colour of text.
func (i Icon) Resource() fyne.Resource { return i.In(Text) }

// In returns the drawing in a colour of the theme. It panics for a name that is
// none of the icons.
func (i Icon) In(ink fyne.ThemeColorName) fyne.Resource {
	file := string(i) + ".svg"
	data, err := iconFiles.ReadFile("icons/" + file)
	if err != nil {
		panic("look: no drawing " + file)
	}
	return &lineIcon{file, data, ink}
}
