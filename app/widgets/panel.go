package widgets

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/look"
)

// Panel is a ground in a colour of the theme.
type Panel struct {
	widget.BaseWidget
	name fyne.ThemeColorName
	rect *canvas.Rectangle
}

// NewPanel returns a ground in the colour of that name.
func NewPanel(name fyne.ThemeColorName) *Panel {
	p := &Panel{name: name, rect: canvas.NewRectangle(look.Color(name))}
	p.ExtendBaseWidget(p)
	return p
}

// NewRule returns a thin line as long as the place that it is given.
func NewRule() *Panel {
	p := NewPanel(look.Rule)
	p.rect.SetMinSize(fyne.NewSize(1, 1))
	return p
}

// Refresh takes the theme's colour of now.
func (p *Panel) Refresh() {
	p.rect.FillColor = look.Color(p.name)
	p.BaseWidget.Refresh()
}

// CreateRenderer implements fyne.Widget.
func (p *Panel) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(p.rect) }
