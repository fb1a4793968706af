package widgets

import (
	"image"
	"image/color"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/look"
)

// Frame is how a chart is to be drawn: a stretch of time on W by H device
// pixels, Scale of them to a unit of length.
type Frame struct {
	From, To time.Time
	W, H     int
	Scale    float64
	Dark     bool
}

// Spot is a place on a chart, in units of length from its upper left corner,
// with what is to be said of it.
type Spot struct {
	X, Y  float32
	Lines []string
}

// Picture is what a ChartView shows.
type Picture interface {
	// Draw draws a frame; nil: there is nothing. It runs off the UI goroutine.
	Draw(Frame) image.Image
	// Span is the whole stretch of time that there is.
	Span() (from, to time.Time)
	// Near returns the point nearest to a place; ok is false without one.
	Near(f Frame, x, y float32) (s Spot, ok bool)
	// Next returns the point that comes by places after the one at a place, or
	// before it; ok is false when there is none.
	Next(f Frame, x, y float32, by int) (s Spot, ok bool)
}

// ChartView shows a chart at the window's own pixels, with a readout that
// follows the pointer or the keys. Left and Right go from point to point, Home
// and End to the ends; + and - zoom, 0 shows everything; Page Up and Down, or
// Shift with Left and Right, move the stretch of time. The wheel zooms, dragging
// moves.
type ChartView struct {
	widget.BaseWidget
	// Run does work off the UI goroutine and then done on it; nil: at once.
	Run func(work func(), done func())
	// Modifiers tells which modifier keys are down.
	Modifiers func() fyne.KeyModifier

	picture  Picture
	from, to time.Time // shown; zero: the whole span
	asked    chartKey  // being drawn, or drawn
	drawn    image.Image
	frame    Frame // of the last drawing
	drawing  bool
	version  int // of the picture
	focused  bool
	spot     Spot
	least    fyne.Size
	raster   *canvas.Raster
	overlay  *fyne.Container
	line     *canvas.Rectangle
	box      *canvas.Rectangle
	ring     *canvas.Rectangle
	texts    []*canvas.Text
}

// chartKey tells drawings apart.
type chartKey struct {
	Frame
	version int
}

var (
	_ desktop.Hoverable = (*ChartView)(nil)
	_ fyne.Focusable    = (*ChartView)(nil)
	_ fyne.Tappable     = (*ChartView)(nil)
	_ fyne.Scrollable   = (*ChartView)(nil)
	_ fyne.Draggable    = (*ChartView)(nil)
)

// NewChartView returns a view that shows nothing yet.
func NewChartView() *ChartView {
	v := &ChartView{least: fyne.NewSize(240, 120), Modifiers: driverModifiers,
		line: canvas.NewRectangle(
			color.Transparent,
		), box: canvas.NewRectangle(color.Transparent), ring: canvas.NewRectangle(color.Transparent)}
	v.overlay, _ = newHandPlaced()
	v.raster = canvas.NewRaster(v.generate)
	v.raster.ScaleMode = canvas.ImageScalePixels
	v.box.CornerRadius, v.box.StrokeWidth, v.ring.StrokeWidth, v.ring.CornerRadius = look.Radius, 1, 2, look.Radius
	v.ExtendBaseWidget(v)
	return v
}

// SetMinSize says how small the view may get.
func (v *ChartView) SetMinSize(size fyne.Size) {
	v.least = size
	v.Refresh()
}

// SetPicture shows a picture from its first day to its last; nil shows nothing.
func (v *ChartView) SetPicture(p Picture) {
	v.picture, v.from, v.to = p, time.Time{}, time.Time{}
	v.version++
	v.Refresh()
}

// Stretch returns which stretch of time is shown, nothing without a picture.
func (v *ChartView) Stretch() (from, to time.Time) {
	if v.picture == nil {
		return from, to
	}
	from, to = v.picture.Span()
	if v.from.IsZero() {
		return from, to
	}
	return v.from, v.to
}

// generate is asked for the picture at each painting. While a new one is drawn
// it gives the last one.
func (v *ChartView) generate(w, h int) image.Image {
	if v.picture == nil || v.Size().Width <= 0 || w < 2 || h < 2 {
		return image.NewUniform(color.Transparent)
	}
	from, to := v.Stretch()
	f := Frame{From: from, To: to, W: w, H: h, Scale: float64(w) / float64(v.Size().Width), Dark: look.Dark()}
	v.frame = f
	if key := (chartKey{f, v.version}); key != v.asked && !v.drawing {
		v.asked = key
		v.begin(f)
	}
	if v.drawn == nil {
		return image.NewUniform(color.Transparent)
	}
	return v.drawn
}

// begin draws a frame, off the UI goroutine where there is a way to.
func (v *ChartView) begin(f Frame) {
	if v.Run == nil {
		v.drawn = v.picture.Draw(f)
		return
	}
	v.drawing = true
	picture := v.picture
	var img image.Image
	v.Run(func() { img = picture.Draw(f) }, func() {
		v.drawing, v.drawn = false, img
		canvas.Refresh(v.raster) // asks again if something has changed meanwhile
	})
}

// Refresh draws the view as it is now and takes the readout away.
func (v *ChartView) Refresh() {
	v.say(Spot{})
	v.BaseWidget.Refresh()
}

// CreateRenderer implements fyne.Widget.
func (v *ChartView) CreateRenderer() fyne.WidgetRenderer { return &chartRenderer{v} }

type chartRenderer struct{ v *ChartView }

func (r *chartRenderer) Layout(size fyne.Size) {
	r.v.raster.Resize(size)
	r.v.overlay.Resize(size)
	r.v.ring.Resize(size)
}

func (r *chartRenderer) MinSize() fyne.Size { return r.v.least }

func (r *chartRenderer) Refresh() {
	r.v.ring.StrokeColor = color.Transparent
	if r.v.focused {
		r.v.ring.StrokeColor = look.Color(look.Accent)
	}
	r.v.ring.Refresh()
	canvas.Refresh(r.v.raster)
}

func (r *chartRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.v.raster, r.v.ring, r.v.overlay}
}

func (r *chartRenderer) Destroy() {}

// Said returns what the readout says, nothing while there is none.
func (v *ChartView) Said() []string { return v.spot.Lines }

// say places the readout's box beside a spot, inside the view.
func (v *ChartView) say(s Spot) {
	v.spot = s
	v.overlay.Objects = v.overlay.Objects[:0]
	defer canvas.Refresh(v.overlay)
	if len(s.Lines) == 0 {
		return
	}
	const pad = 6
	size := look.HeadText()
	line, width := lineHeight(size), float32(0)
	for i, text := range s.Lines {
		if i == len(v.texts) {
			v.texts = append(v.texts, canvas.NewText("", color.Transparent))
		}
		v.texts[i].TextSize, v.texts[i].TextStyle.Bold = size, i == 0
		width = max(width, fyne.MeasureText(text, size, v.texts[i].TextStyle).Width)
	}
	v.line.FillColor, v.box.FillColor, v.box.StrokeColor = look.Color(look.Axis), look.Color(look.Background), look.Color(look.Axis)
	v.line.Move(fyne.NewPos(s.X, 0))
	v.line.Resize(fyne.NewSize(1, v.Size().Height))
	height := float32(len(s.Lines))*line + 2*pad
	x, y := s.X+12, s.Y-height-8
	if x+width+2*pad > v.Size().Width {
		x = s.X - 12 - width - 2*pad
	}
	x, y = max(x, 0), min(max(y, 0), max(v.Size().Height-height, 0))
	v.box.Move(fyne.NewPos(x, y))
	v.box.Resize(fyne.NewSize(width+2*pad, height))
	v.overlay.Objects = append(v.overlay.Objects, v.line, v.box)
	for i, text := range s.Lines {
		v.texts[i].Color = look.Color(look.Text)
		placeText(v.texts[i], text, fyne.TextAlignLeading, x+pad, y+pad+float32(i)*line, width+1)
		v.overlay.Objects = append(v.overlay.Objects, v.texts[i])
	}
}
