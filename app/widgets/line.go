package widgets

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/look"
)

// Line is one line of text in a colour of the theme.
type Line struct {
	widget.BaseWidget
	name fyne.ThemeColorName
	text *canvas.Text
}

// NewLine returns a line in the colour of that name; an empty name is the
// usual text colour.
func NewLine(text string, name fyne.ThemeColorName, bold bool) *Line {
	if name == "" {
		name = look.Text
	}
	l := &Line{name: name, text: canvas.NewText(text, look.Color(name))}
	l.text.TextSize = look.TextSize()
	l.text.TextStyle.Bold = bold
	l.ExtendBaseWidget(l)
	return l
}

// Text returns what the line says.
func (l *Line) Text() string { return l.text.Text }

// SetText changes what the line says.
func (l *Line) SetText(text string) {
	if l.text.Text == text {
		return
	}
	l.text.Text = text
	l.Refresh()
}

// SetColor changes the colour by its name.
func (l *Line) SetColor(name fyne.ThemeColorName) {
	l.name = name
	l.Refresh()
}

// Refresh takes the theme's colour of now.
func (l *Line) Refresh() {
	l.text.Color = look.Color(l.name)
	l.BaseWidget.Refresh()
}

// CreateRenderer implements fyne.Widget.
func (l *Line) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(l.text) }

// Paragraph is text that wraps at words to the width it is given, level at its
// left with what stands over and under it.
type Paragraph struct {
	widget.BaseWidget
	segment *widget.TextSegment
	text    *widget.RichText
	content fyne.CanvasObject
}

// NewWrapped returns a paragraph.
func NewWrapped(text string) *Paragraph {
	return newText(text, widget.RichTextStyle{ColorName: look.Text, SizeName: theme.SizeNameText})
}

// NewSmall returns a paragraph of small, grey text.
func NewSmall(text string) *Paragraph {
	return newText(text, widget.RichTextStyle{ColorName: look.Secondary, SizeName: theme.SizeNameCaptionText})
}

func newText(text string, style widget.RichTextStyle) *Paragraph {
	p := &Paragraph{segment: &widget.TextSegment{Text: text, Style: style}}
	p.text = newParagraph(p.segment)
	inset := -theme.InnerPadding()
	p.content = container.New(layout.NewCustomPaddedLayout(inset+2, inset+2, inset, inset), p.text)
	p.ExtendBaseWidget(p)
	return p
}

// Text returns what the paragraph says.
func (p *Paragraph) Text() string { return p.segment.Text }

// SetText changes what the paragraph says.
func (p *Paragraph) SetText(text string) {
	p.segment.Text = text
	p.text.Refresh()
	p.Refresh()
}

// SetColor changes the colour of the text.
func (p *Paragraph) SetColor(name fyne.ThemeColorName) {
	p.segment.Style.ColorName = name
	p.text.Refresh()
}

// SetBold makes the text bold.
func (p *Paragraph) SetBold(bold bool) {
	p.segment.Style.TextStyle.Bold = bold
	p.text.Refresh()
}

// CreateRenderer implements fyne.Widget.
func (p *Paragraph) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(p.content) }

// newQuiet returns wrapped text in the secondary colour.
func newQuiet(text string) *widget.RichText {
	return newParagraph(&widget.TextSegment{Text: text, Style: quietStyle})
}

var quietStyle = widget.RichTextStyle{ColorName: look.Secondary, SizeName: theme.SizeNameText}

func newParagraph(segments ...widget.RichTextSegment) *widget.RichText {
	text := widget.NewRichText(segments...)
	text.Wrapping = fyne.TextWrapWord
	return text
}

// Heading is a screen's title with a grey line under it that says what is
// shown; the line wraps when the screen is narrow.
type Heading struct {
	widget.BaseWidget
	title    *canvas.Text
	subtitle *widget.RichText
	said     *widget.TextSegment
	content  fyne.CanvasObject
}

// NewHeading returns a title with a subtitle, which may be empty.
func NewHeading(title, subtitle string) *Heading {
	h := &Heading{title: canvas.NewText(title, look.Color(look.Text)), said: &widget.TextSegment{Text: subtitle, Style: quietStyle}}
	h.title.TextSize, h.title.TextStyle.Bold = look.HeadingSize(), true
	h.subtitle = newParagraph(h.said)
	h.subtitle.Hidden = subtitle == ""
	// A paragraph brings its own inset, which the title line takes back.
	inset := -theme.InnerPadding()
	h.content = container.New(layout.NewCustomPaddedVBoxLayout(0), h.title,
		container.New(layout.NewCustomPaddedLayout(inset+2, inset+4, inset, inset), h.subtitle))
	h.ExtendBaseWidget(h)
	return h
}

// SetTitle changes the title.
func (h *Heading) SetTitle(text string) {
	h.title.Text = text
	h.Refresh()
}

// SetSubtitle changes the line under the title.
func (h *Heading) SetSubtitle(text string) {
	if h.said.Text == text {
		return
	}
	h.said.Text = text
	h.subtitle.Hidden = text == ""
	h.subtitle.Refresh()
	h.Refresh()
}

// Subtitle returns the line under the title.
func (h *Heading) Subtitle() string { return h.said.Text }

// Refresh takes the theme's colours of now.
func (h *Heading) Refresh() {
	h.title.Color = look.Color(look.Text)
	h.BaseWidget.Refresh()
}

// CreateRenderer implements fyne.Widget.
func (h *Heading) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(h.content) }
