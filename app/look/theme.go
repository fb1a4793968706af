// Package look is the program's face: the theme with its light and dark
// palette, its sizes, and the line icons of the places.
package look

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"
)

// Variant is which of the two themes is shown.
type Variant int

// The variants.
const (
	FollowDesktop Variant = iota
	AlwaysLight
	AlwaysDark
)

// Density is how close things stand.
type Density int

// The densities: compact for dense tables, comfortable for a touch screen or
// tired eyes.
const (
	Compact Density = iota
	Comfortable
)

// Padding and Radius are sizes that no density changes, in device-independent
// pixels like all sizes here.
const (
	Padding float32 = 4
	Radius  float32 = 2
)

// sizes are the sizes of a density.
type sizes struct{ text, small, head, title, heading, inset, inner, row, field float32 }

var sizesOf = [...]sizes{
	Compact:     {text: 13, small: 11, head: 12, title: 15, heading: 19, inset: 8, inner: 6, row: 29, field: 30},
	Comfortable: {text: 15, small: 13, head: 14, title: 18, heading: 23, inset: 10, inner: 9, row: 38, field: 38},
}

func now() sizes {
	if t, ours := theme.Current().(*Theme); ours {
		return sizesOf[t.density]
	}
	return sizesOf[Compact]
}

// TextSize is the size of text, in the theme of now like all sizes below.
func TextSize() float32 { return now().text }

// SmallText is the size of remarks beside a text.
func SmallText() float32 { return now().small }

// HeadText is the size of column titles.
func HeadText() float32 { return now().head }

// TitleSize is the size of a dialog's title.
func TitleSize() float32 { return now().title }

// HeadingSize is the size of a screen's title.
func HeadingSize() float32 { return now().heading }

// Inset is the room from a cell's edge to its text.
func Inset() float32 { return now().inset }

// RowHeight is the height of a list's row.
func RowHeight() float32 { return now().row }

// Scaled is a width that was chosen for compact text, for the text of now.
func Scaled(width float32) float32 { return width * now().text / sizesOf[Compact].text }

// FieldHeight is the height of an entry or a button.
func FieldHeight() float32 { return now().field }

// Theme is the program's theme. The zero value follows the desktop.
type Theme struct {
	forced  bool
	fixed   fyne.ThemeVariant
	density Density
}

var _ fyne.Theme = (*Theme)(nil)

// New returns the theme, following the desktop's variant unless one is forced.
func New(forced ...fyne.ThemeVariant) *Theme {
	if len(forced) == 0 {
		return &Theme{}
	}
	return &Theme{forced: true, fixed: forced[0]}
}

// Of returns the theme of a variant and a density.
func Of(v Variant, d Density) *Theme {
	t := &Theme{density: min(max(d, Compact), Comfortable)}
	switch v {
	case AlwaysLight:
		t.forced, t.fixed = true, theme.VariantLight
	case AlwaysDark:
		t.forced, t.fixed = true, theme.VariantDark
	}
	return t
}

func (t *Theme) variant(asked fyne.ThemeVariant) fyne.ThemeVariant {
	if t.forced {
		return t.fixed
	}
	return asked
}

// roles maps Fyne's colour names to ours.
var roles = map[fyne.ThemeColorName]fyne.ThemeColorName{
	theme.ColorNameBackground:          Background,
	theme.ColorNameButton:              Panel,
	theme.ColorNameDisabled:            Axis,
	theme.ColorNameDisabledButton:      Panel,
	theme.ColorNameError:               Problem,
	theme.ColorNameForeground:          Text,
	theme.ColorNameForegroundOnError:   Background,
	theme.ColorNameForegroundOnPrimary: OnAccent,
	theme.ColorNameForegroundOnSuccess: OnAccent,
	theme.ColorNameForegroundOnWarning: Background,
	theme.ColorNameHeaderBackground:    Panel,
	theme.ColorNameHover:               AccentSoft,
	theme.ColorNameHyperlink:           Below,
	theme.ColorNameInputBackground:     Background,
	theme.ColorNameInputBorder:         Axis,
	theme.ColorNameMenuBackground:      Background,
	theme.ColorNameOverlayBackground:   Background,
	theme.ColorNamePlaceHolder:         Secondary,
	theme.ColorNamePressed:             AccentSoft,
	theme.ColorNamePrimary:             Accent,
	theme.ColorNameScrollBar:           Axis,
	theme.ColorNameScrollBarBackground: Panel,
	theme.ColorNameSelection:           AccentSoft,
	theme.ColorNameSeparator:           Rule,
	theme.ColorNameSuccess:             Accent,
	theme.ColorNameWarning:             Above,
	theme.ColorNameInnerWindowBorder:   Axis,
	"innerWindowBorderInactive":        Axis,
}

// Color implements fyne.Theme.
func (t *Theme) Color(name fyne.ThemeColorName, asked fyne.ThemeVariant) color.Color {
	v := t.variant(asked)
	p := paletteOf(v)
	if c, ok := p[name]; ok {
		return c
	}
	if role, ok := roles[name]; ok {
		return p[role]
	}
	if name == theme.ColorNameFocus {
		// Fyne lays the focus colour over the object, so it lets through.
		c := p[Accent]
		c.A = 0x55
		return c
	}
	return theme.DefaultTheme().Color(name, v)
}

// Size implements fyne.Theme.
func (t *Theme) Size(name fyne.ThemeSizeName) float32 {
	switch name {
	case theme.SizeNameText:
		return sizesOf[t.density].text
	case theme.SizeNameCaptionText:
		return sizesOf[t.density].small
	case theme.SizeNameHeadingText:
		return sizesOf[t.density].heading
	case theme.SizeNameSubHeadingText:
		return sizesOf[t.density].title
	case theme.SizeNamePadding:
		return Padding
	case theme.SizeNameInnerPadding:
		return sizesOf[t.density].inner
	case theme.SizeNameLineSpacing:
		return 2
	case theme.SizeNameInlineIcon:
		return 16
	case theme.SizeNameScrollBar:
		return 10
	case theme.SizeNameScrollBarSmall:
		return 4
	case theme.SizeNameInputRadius, theme.SizeNameButtonRadius, theme.SizeNameSelectionRadius,
		theme.SizeNamePopupRadius, theme.SizeNameMenuRadius, theme.SizeNameCardRadius:
		return Radius
	case theme.SizeNameDialogRadius:
		return 4
	case theme.SizeNameModalBlurRadius:
		return 0
	}
	return theme.DefaultTheme().Size(name)
}

// Icon implements fyne.Theme.
func (t *Theme) Icon(name fyne.ThemeIconName) fyne.Resource { return theme.DefaultTheme().Icon(name) }
