package widgets

import (
	"image"
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/look"
)

// ChartView shows a picture that is drawn at the window's own pixels, with a
// readout that follows the pointer.
type ChartView struct {
	widget.BaseWidget
	// OnHover returns what to say about a place, x and y from the upper left
	// corner in units of length, for the picture of w by h pixels at scale; no
	// lines for nothing.
	OnHover func(x, y float32, w, h int, scale float64) []string

	draw    func(w, h int, scale float64) image.Image
	w, h    int // of the picture drawn last
	scale   float64
	least   fyne.Size
	raster  *canvas.Raster
	overlay *fyne.Container
	line    *canvas.Rectangle
	box     *canvas.Rectangle
	texts   []*canvas.Text
}

var _ desktop.Hoverable = (*ChartView)(nil)

// NewChartView returns a view of what draw draws: a picture of w by h pixels,
// scale pixels to a unit of length, nil for nothing. It is asked again for
// every new size, scale and theme.
func NewChartView(draw func(w, h int, scale float64) image.Image) *ChartView {
	v := &ChartView{draw: draw, least: fyne.NewSize(240, 120), line: canvas.NewRectangle(color.Transparent), box: canvas.NewRectangle(color.Transparent)}
	v.overlay, _ = newHandPlaced()
	v.raster = canvas.NewRaster(v.generate)
	v.raster.ScaleMode = canvas.ImageScalePixels
	v.box.CornerRadius, v.box.StrokeWidth = look.Radius, 1
	v.ExtendBaseWidget(v)
	return v
}

// SetMinSize says how small the view may get.
func (v *ChartView) SetMinSize(size fyne.Size) {
	v.least = size
	v.Refresh()
}

func (v *ChartView) generate(w, h int) image.Image {
	if v.draw == nil || v.Size().Width <= 0 || w == 0 || h == 0 {
		return image.NewUniform(color.Transparent)
	}
	v.w, v.h, v.scale = w, h, float64(w)/float64(v.Size().Width)
	if img := v.draw(w, h, v.scale); img != nil {
		return img
	}
	return image.NewUniform(color.Transparent)
}

// Redraw draws the picture anew, for data that changed.
func (v *ChartView) Redraw() { v.Refresh() }

// Refresh draws the picture anew and takes the readout away.
func (v *ChartView) Refresh() {
	v.say(fyne.Position{}, nil)
	v.BaseWidget.Refresh()
}

// CreateRenderer implements fyne.Widget.
func (v *ChartView) CreateRenderer() fyne.WidgetRenderer { return &chartRenderer{v} }

type chartRenderer struct{ v *ChartView }

func (r *chartRenderer) Layout(size fyne.Size) {
	r.v.raster.Resize(size)
	r.v.overlay.Resize(size)
}

func (r *chartRenderer) MinSize() fyne.Size { return r.v.least }

func (r *chartRenderer) Refresh() { canvas.Refresh(r.v.raster) }

func (r *chartRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.v.raster, r.v.overlay}
}

func (r *chartRenderer) Destroy() {}

// MouseIn shows the readout.
func (v *ChartView) MouseIn(e *desktop.MouseEvent) { v.MouseMoved(e) }

// MouseMoved lets the readout follow; the chart itself is not drawn again.
func (v *ChartView) MouseMoved(e *desktop.MouseEvent) {
	var lines []string
	if v.OnHover != nil && v.w > 0 {
		lines = v.OnHover(e.Position.X, e.Position.Y, v.w, v.h, v.scale)
	}
	v.say(e.Position, lines)
}

// MouseOut takes the readout away.
func (v *ChartView) MouseOut() { v.say(fyne.Position{}, nil) }

// say places the readout's box beside the pointer, inside the view.
func (v *ChartView) say(at fyne.Position, lines []string) {
	v.overlay.Objects = v.overlay.Objects[:0]
	defer canvas.Refresh(v.overlay)
	if len(lines) == 0 {
		return
	}
	const pad, size = 6, 12
	line, width := lineHeight(size), float32(0)
	for i, text := range lines {
		if i == len(v.texts) {
			v.texts = append(v.texts, canvas.NewText("", color.Transparent))
			v.texts[i].TextSize = size
		}
		v.texts[i].TextStyle.Bold = i == 0
		width = max(width, fyne.MeasureText(text, size, v.texts[i].TextStyle).Width)
	}
	v.line.FillColor, v.box.FillColor, v.box.StrokeColor = look.Color(look.Axis), look.Color(look.Background), look.Color(look.Axis)
	v.line.Move(fyne.NewPos(at.X, 0))
	v.line.Resize(fyne.NewSize(1, v.Size().Height))
	height := float32(len(lines))*line + 2*pad
	x, y := at.X+12, at.Y-height-8
	if x+width+2*pad > v.Size().Width {
		x = at.X - 12 - width - 2*pad
	}
	x, y = max(x, 0), min(max(y, 0), max(v.Size().Height-height, 0))
	v.box.Move(fyne.NewPos(x, y))
	v.box.Resize(fyne.NewSize(width+2*pad, height))
	v.overlay.Objects = append(v.overlay.Objects, v.line, v.box)
	for i, text := range lines {
		v.texts[i].Color = look.Color(look.Text)
		placeText(v.texts[i], text, fyne.TextAlignLeading, x+pad, y+pad+float32(i)*line, width+1)
		v.overlay.Objects = append(v.overlay.Objects, v.texts[i])
	}
}
