package widgets

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/look"
)

// Notice is a box in the page or over it with a rule at its left: what happened, what was
// kept, what to do, and the buttons for it.
type Notice struct {
	widget.BaseWidget
	bad       bool
	back      *canvas.Rectangle
	rule      *canvas.Rectangle
	title     string
	text      string
	paragraph *widget.RichText
	buttons   *Bar
}

// NewNotice returns a notice; a bad one has the colour of an error.
func NewNotice(title, text string, bad bool, actions ...Action) *Notice {
	n := &Notice{
		bad:   bad,
		title: title,
		text:  text,
		back:  canvas.NewRectangle(color.Transparent),
		rule:  canvas.NewRectangle(color.Transparent),
	}
	n.back.StrokeWidth = 1
	n.rule.SetMinSize(fyne.NewSize(4, 0))
	n.paragraph = newParagraph(
		&widget.TextSegment{
			Text: title + "  ",
			Style: widget.RichTextStyle{
				Inline:    true,
				ColorName: look.Text,
				SizeName:  theme.SizeNameText,
				TextStyle: fyne.TextStyle{Bold: true},
			},
		},
		&widget.TextSegment{Text: text, Style: widget.RichTextStyle{ColorName: look.Text, SizeName: theme.SizeNameText}},
	)
	var buttons []fyne.CanvasObject
	for _, a := range actions {
		buttons = append(buttons, NewSecondary(a.Text, a.Do))
	}
	n.buttons = NewBar(buttons...)
	n.ExtendBaseWidget(n)
	n.restyle()
	return n
}

// And adds objects behind the buttons.
func (n *Notice) And(objects ...fyne.CanvasObject) { n.buttons.And(objects...) }

// Holds tells whether an object is one of the notice's buttons.
func (n *Notice) Holds(o fyne.CanvasObject) bool { return holds(n.buttons, o) }

// Tapped implements fyne.Tappable: a notice that lies over something keeps clicks from
// it.
func (n *Notice) Tapped(*fyne.PointEvent) {}

// MouseIn implements desktop.Hoverable, as Tapped does.
func (n *Notice) MouseIn(*desktop.MouseEvent) {}

// MouseMoved implements desktop.Hoverable.
func (n *Notice) MouseMoved(*desktop.MouseEvent) {}

// MouseOut implements desktop.Hoverable.
func (n *Notice) MouseOut() {}

// Said returns the notice's title and text.
func (n *Notice) Said() (title, text string) { return n.title, n.text }

func (n *Notice) restyle() {
	name := look.Accent
	if n.bad {
		name = look.Problem
	}
	n.back.FillColor, n.back.StrokeColor, n.rule.FillColor = look.Color(look.Background), look.Color(name), look.Color(name)
}

// Refresh takes the theme's colours of now.
func (n *Notice) Refresh() {
	n.restyle()
	n.BaseWidget.Refresh()
}

// CreateRenderer implements fyne.Widget.
func (n *Notice) CreateRenderer() fyne.WidgetRenderer {
	below := container.New(layout.NewCustomPaddedLayout(0, 4, 4, 4), n.buttons)
	if len(n.buttons.content.Objects) == 0 {
		below.Hide()
	}
	inside := container.NewBorder(nil, nil, n.rule, nil, container.New(layout.NewCustomPaddedVBoxLayout(0), n.paragraph, below))
	return newLaidOut(n, widget.NewSimpleRenderer(container.NewStack(n.back, inside)))
}

// NewEmpty says why there is nothing to show and what to do about it.
func NewEmpty(title, text string, actions ...Action) fyne.CanvasObject {
	var buttons []fyne.CanvasObject
	for i, a := range actions {
		if i == 0 {
			buttons = append(buttons, NewPrimary(a.Text, a.Do))
			continue
		}
		buttons = append(buttons, NewSecondary(a.Text, a.Do))
	}
	width := canvas.NewRectangle(color.Transparent)
	width.SetMinSize(fyne.NewSize(420, 0))
	box := container.NewVBox(
		width,
		container.NewHBox(newTitle(title)),
		container.New(layout.NewCustomPaddedLayout(0, 4, -theme.InnerPadding(), 0), newQuiet(text)),
		NewBar(buttons...),
	)
	return container.NewBorder(container.New(layout.NewCustomPaddedLayout(40, 0, 0, 0), container.NewCenter(box)), nil, nil, nil)
}
