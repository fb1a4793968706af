package widgets

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
)

// Progress shows one piece of long work: what is done, how far it is, and a
// button that stops it. It is hidden while nothing goes on.
type Progress struct {
	widget.BaseWidget
	label   *Line
	percent *Line
	share   float64 // below zero: not known
	track   *canvas.Rectangle
	bar     *canvas.Rectangle
	cancel  *Button
	stop    func()
	content fyne.CanvasObject
}

// progressWidth is the length of the whole bar.
const progressWidth = 120

// NewProgress returns a hidden progress.
func NewProgress() *Progress {
	p := &Progress{
		label:   NewLine("", look.Text, false),
		percent: NewLine("", look.Secondary, false),
		track:   canvas.NewRectangle(color.Transparent),
		bar:     canvas.NewRectangle(color.Transparent),
	}
	p.track.StrokeWidth = 1
	p.cancel = NewSecondary(say.L("Stop"), func() {
		if p.stop != nil {
			p.stop()
		}
	}).With(look.IconStop)
	tracks, size := newHandPlaced()
	size.size = fyne.NewSize(progressWidth, 10)
	tracks.Objects = []fyne.CanvasObject{p.track, p.bar}
	p.content = container.New(layout.NewCustomPaddedHBoxLayout(8), p.label, container.NewCenter(tracks), p.percent, p.cancel)
	p.ExtendBaseWidget(p)
	p.Hide()
	return p
}

// Begin shows work that begins; stop ends it early, nil: it cannot be stopped.
func (p *Progress) Begin(doing string, stop func()) {
	p.stop = stop
	p.cancel.Hidden = stop == nil
	p.label.SetText(doing)
	p.Set(-1)
	p.Show()
}

// Set says how far the work is, 0 to 1; below zero when that is not known.
func (p *Progress) Set(share float64) {
	p.share = min(share, 1)
	text := ""
	if share >= 0 {
		text = say.F("%.0f %%", 100*p.share)
	}
	p.percent.SetText(text)
	p.Refresh()
}

// Share returns how far the work is, below zero when that is not known.
func (p *Progress) Share() float64 { return p.share }

// Doing returns what goes on, empty while nothing does.
func (p *Progress) Doing() string {
	if p.Hidden {
		return ""
	}
	return p.label.Text()
}

// CanStop tells whether something goes on that can be stopped.
func (p *Progress) CanStop() bool { return !p.Hidden && p.stop != nil }

// Stop does what the button does.
func (p *Progress) Stop() {
	if p.stop != nil {
		p.stop()
	}
}

// End hides the progress.
func (p *Progress) End() {
	p.stop = nil
	p.Hide()
}

// Refresh draws the bar as far as the work is.
func (p *Progress) Refresh() {
	p.track.FillColor, p.track.StrokeColor, p.bar.FillColor = look.Color(look.Background), look.Color(look.Axis), look.Color(look.Accent)
	p.track.Resize(fyne.NewSize(progressWidth, 10))
	from, width := float32(0), float32(p.share)*progressWidth
	if p.share < 0 {
		from, width = progressWidth/3, progressWidth/3 // somewhere
	}
	p.bar.Move(fyne.NewPos(from, 0))
	p.bar.Resize(fyne.NewSize(width, 10))
	p.BaseWidget.Refresh()
}

// CreateRenderer implements fyne.Widget.
func (p *Progress) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(p.content) }
