package widgets

import (
	"image"
	"image/color"
	"os"
	"path/filepath"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"

	"weirkeeper/app/apptest"
	"weirkeeper/app/look"
)

// gallery is every widget in one window, with invented data.
func gallery(focus *fyne.Focusable) fyne.CanvasObject {
	g := NewGrid(sampleSheet())
	g.OnEdit = func(int, int, string) {}
	*focus = g
	left := container.NewBorder(container.NewVBox(
		NewHeading("Test sheet", "White cells are due; the small grey number is the last value. Nothing is lost if the program stops."),
		NewMarkLegend(),
		NewTabs([]Tab[int]{{1, "Water"}, {2, "Trend"}, {3, "Log"}}, nil),
	), container.NewVBox(
		NewNotice(
			"F3 phosphate 1.2 mg/L is a surprise.",
			"Expected 0.11 ± 0.03 from the last six values. A slip of the decimal point would give 0.12.",
			true,
			Action{"Use 0.12", nil},
			Action{"Test again", nil},
			Action{"Keep 1.2", nil},
		),
		NewNotice("Saved 13 values.", "They are in the ledger.", false, Action{"Take them back", nil}),
		container.NewHBox(
			NewPrimary("Save 13 values", nil),
			NewSecondary("Add a system", nil),
			disabled(NewSecondary("Off", nil)),
			NewLine("12 typed, 1 asked", look.Secondary, false),
		),
	), nil, nil, g)
	right := container.NewBorder(nil, container.NewVBox(sampleForm(), icons()), nil, nil, sampleTable())
	split := container.NewGridWithColumns(2, left, right)
	return container.NewStack(canvas.NewRectangle(look.Color(look.Background)), container.NewPadded(split))
}

func disabled(b *Button) *Button {
	b.Disable()
	return b
}

func icons() fyne.CanvasObject {
	box := container.NewHBox()
	for _, r := range []fyne.Resource{look.IconRounds.Resource(), look.IconRoom.Resource(), look.IconTestSheet.Resource(),
		look.IconDosing.Resource(), look.IconSamples.Resource(), look.IconTrends.Resource(), look.IconHandover.Resource(), look.IconSetup.Resource(), look.IconCalendar.Resource()} {
		img := canvas.NewImageFromResource(r)
		img.SetMinSize(fyne.NewSize(20, 20))
		box.Add(img)
	}
	for k := MarkBelowFirm; k <= markFalling; k++ {
		box.Add(NewMark(k))
	}
	gauge := NewTable([]Column{{Title: "Value", Width: 40}, {Title: "In the band", Weight: 1}})
	gauge.SetRows([]Row{{Cells: []Cell{{Bold: "9.3"}, {Gauge: &GaugeValue{Low: 7.5, Aim: 8, High: 9, Value: 9.3, U: 0.1}}}}})
	box.Add(gauge)
	return box
}

func sampleForm() *Form {
	f := NewForm(
		Field{Name: "code", Label: "Code", Input: NewTextEntry("F2"), Help: "Short and unique, as on the tank."},
		Field{Name: "volume", Label: "Net volume, L", Input: NewNumberEntry("-34,5")},
		Field{Name: "kind", Label: "Water", Input: NewChoice(named("Marine", "Brackish", "Freshwater"), "Marine")},
		Field{Name: "day", Label: "In service since", Input: NewDateEntry(apptest.Noon, time.UTC, apptest.Clock)},
		Field{Name: "at", Label: "Water taken", Input: NewDateTimeEntry(time.Time{}, time.UTC, apptest.Clock)},
		Field{Name: "on", Label: "", Input: NewCheck("Watch the trend", nil)},
	)
	f.ShowFaults([]Fault{{"volume", "The volume is negative", "give the litres that the system holds"}})
	return f
}

func sampleTable() *Table {
	t := NewTable([]Column{
		{Title: "System", Width: 150}, {Title: "Alkalinity", Subtitle: "dKH", Weight: 1}, {Title: "Calcium", Subtitle: "mg/L", Weight: 1},
		{Title: "Correction", Width: 90, Align: fyne.TextAlignTrailing}, {Title: "Product", Width: 110},
	})
	t.RowHeight = 44
	t.Checks = true
	t.sorted = 3
	t.SetRows([]Row{
		GroupRow("Frag racks  3"),
		{ID: 1, Cells: []Cell{{Bold: "F1", Text: "Frag rack, north"},
			{Text: "8.0", Side: "6 d", Mark: MarkWithinFirm, Gauge: &GaugeValue{7.5, 8.3, 9, 8, 0.1}},
			{
				Text:  "447",
				Side:  "1 d",
				Trend: 1,
				Mark:  MarkAboveLikely,
				Gauge: &GaugeValue{400, 420, 440, 447, 6},
			}, {Bold: "149 mL"}, {Text: "Calcium stock, a long name"}}},
		{ID: 2, Cells: []Cell{{Bold: "F2", Text: "Frag rack with a name that is too long"},
			{Text: "7.6", Side: "today", Mark: MarkUnsure, Gauge: &GaugeValue{7.5, 8.3, 9, 7.6, 0.15}},
			{
				Text:  "388",
				Side:  "1 d",
				Trend: -1,
				Mark:  MarkBelowFirm,
				Gauge: &GaugeValue{400, 420, 440, 388, 3},
			}, {Text: "hold", Mark: MarkBelowFirm}, {Text: "Bicarbonate", Quiet: true}}},
		{
			ID: 3,
			Cells: []Cell{
				{Bold: "F3", Text: "Frag rack"},
				{Text: "not tested", Quiet: true},
				{Text: "421", Side: "9 d", Mark: MarkStale, Gauge: &GaugeValue{400, 420, 440, 421, 3}},
				{Text: "12.0"},
				{},
			},
		},
	})
	t.SetChecked(2)
	t.focused = true
	t.Refresh()
	return t
}

// TestGallery draws every widget in both themes and sizes; set WIDGET_SHOTS to
// a folder to keep the pictures and look at them.
func TestGallery(t *testing.T) {
	folder := os.Getenv("WIDGET_SHOTS")
	if folder == "" {
		folder = t.TempDir()
	}
	for name, variant := range map[string]fyne.ThemeVariant{"light": theme.VariantLight, "dark": theme.VariantDark} {
		t.Run(name, func(t *testing.T) {
			var focus fyne.Focusable
			w := apptest.WindowIn(t, variant, canvas.NewRectangle(color.White), 1440, 820)
			w.SetContent(gallery(&focus))
			w.Resize(fyne.NewSize(1440, 820))
			w.Canvas().Focus(focus)
			apptest.Capture(t, w, filepath.Join(folder, "gallery-"+name+".png"))
			if n := colours(w.Canvas().Capture()); n < 50 {
				t.Errorf("the picture has only %d colours", n)
			}
		})
	}
}

func colours(img image.Image) int {
	seen := map[color.Color]bool{}
	b := img.Bounds()
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			seen[img.At(x, y)] = true
		}
	}
	return len(seen)
}
