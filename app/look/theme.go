// Package look is the program's face: the theme with its light and dark
// palette, its sizes, and the line icons of the places.
package look

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"
)

// Sizes in device-independent pixels.
const (
	TextSize    float32 = 13
	SmallText   float32 = 11
	HeadingSize float32 = 19
	Padding     float32 = 4
	Inset       float32 = 8  // from a cell's edge to its text
	RowHeight   float32 = 29 // of a list
	FieldHeight float32 = 30 // of an entry or a button
	Radius      float32 = 2
)

// Theme is the program's theme. The zero value follows the desktop.
type Theme struct {
	forced bool
	fixed  fyne.ThemeVariant
}

var _ fyne.Theme = (*Theme)(nil)

// New returns the theme, following the desktop's variant unless one is forced.
func New(forced ...fyne.ThemeVariant) *Theme {
	if len(forced) == 0 {
		return &Theme{}
	}
	return &Theme{forced: true, fixed: forced[0]}
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

// Size implements fyne.Theme: compact, for dense tables.
func (t *Theme) Size(name fyne.ThemeSizeName) float32 {
	switch name {
	case theme.SizeNameText:
		return TextSize
	case theme.SizeNameCaptionText:
		return SmallText
	case theme.SizeNameHeadingText:
		return HeadingSize
	case theme.SizeNameSubHeadingText:
		return 15
	case theme.SizeNamePadding:
		return Padding
	case theme.SizeNameInnerPadding:
		return 6
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

// Font implements fyne.Theme: the bundled text face, whose digits have equal
// width.
func (t *Theme) Font(style fyne.TextStyle) fyne.Resource { return theme.DefaultTheme().Font(style) }

// Icon implements fyne.Theme.
func (t *Theme) Icon(name fyne.ThemeIconName) fyne.Resource { return theme.DefaultTheme().Icon(name) }
