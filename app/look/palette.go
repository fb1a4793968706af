package look

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"
)

// The colours of the program, by role. Below and Above are directions, not
// grades: they always go with a shape and a word.
const (
	Text       fyne.ThemeColorName = "weirkeeper.text"
	Secondary  fyne.ThemeColorName = "weirkeeper.secondary"
	Background fyne.ThemeColorName = "weirkeeper.background"
	Panel      fyne.ThemeColorName = "weirkeeper.panel" // rail, group rows, cells that are not due
	Rule       fyne.ThemeColorName = "weirkeeper.rule"  // thin lines between rows
	Axis       fyne.ThemeColorName = "weirkeeper.axis"  // stronger lines: heads, field borders, gauge rule
	Band       fyne.ThemeColorName = "weirkeeper.band"
	BandEdge   fyne.ThemeColorName = "weirkeeper.bandEdge"
	Below      fyne.ThemeColorName = "weirkeeper.below"
	Inside     fyne.ThemeColorName = "weirkeeper.inside"
	Above      fyne.ThemeColorName = "weirkeeper.above"
	BelowSoft  fyne.ThemeColorName = "weirkeeper.belowSoft"
	AboveSoft  fyne.ThemeColorName = "weirkeeper.aboveSoft"
	Accent     fyne.ThemeColorName = "weirkeeper.accent"
	OnAccent   fyne.ThemeColorName = "weirkeeper.onAccent"   // text on Accent
	AccentSoft fyne.ThemeColorName = "weirkeeper.accentSoft" // chosen rows, hovered buttons
	Problem    fyne.ThemeColorName = "weirkeeper.problem"    // text and rule of an error
	Forecast   fyne.ThemeColorName = "weirkeeper.forecast"
	Forecast50 fyne.ThemeColorName = "weirkeeper.forecast50"
	Forecast80 fyne.ThemeColorName = "weirkeeper.forecast80"
	Dose       fyne.ThemeColorName = "weirkeeper.dose"
	Series1    fyne.ThemeColorName = "weirkeeper.series1"
	Series2    fyne.ThemeColorName = "weirkeeper.series2"
	Series3    fyne.ThemeColorName = "weirkeeper.series3"
	Series4    fyne.ThemeColorName = "weirkeeper.series4"
)

func rgb(hex uint32) color.NRGBA {
	return color.NRGBA{R: uint8(hex >> 16), G: uint8(hex >> 8), B: uint8(hex), A: 0xff}
}

var light = map[fyne.ThemeColorName]color.NRGBA{
	Text:       rgb(0x1C2530),
	Secondary:  rgb(0x566270),
	Background: rgb(0xFFFFFF),
	Panel:      rgb(0xF5F6F8),
	Rule:       rgb(0xE4E8EC),
	Axis:       rgb(0x848F9B),
	Band:       rgb(0xEBEEF1),
	BandEdge:   rgb(0x7C8794),
	Below:      rgb(0x0F62B0),
	Inside:     rgb(0x4A5563),
	Above:      rgb(0xC2410C),
	BelowSoft:  rgb(0xDCEAF8),
	AboveSoft:  rgb(0xFBE3D8),
	Accent:     rgb(0x0F4C5C),
	OnAccent:   rgb(0xFFFFFF),
	AccentSoft: rgb(0xE8F2F3),
	Problem:    rgb(0xA93307),
	Forecast:   rgb(0x6D5BA6),
	Forecast50: rgb(0xCFC7E6),
	Forecast80: rgb(0xE6E1F3),
	Dose:       rgb(0x6B4E9B),
	Series1:    rgb(0x863A9F),
	Series2:    rgb(0x51929A),
	Series3:    rgb(0x9F8720),
	Series4:    rgb(0x6B0350),
}

var dark = map[fyne.ThemeColorName]color.NRGBA{
	Text:       rgb(0xE9EDF2),
	Secondary:  rgb(0xA3AFBC),
	Background: rgb(0x14181E),
	Panel:      rgb(0x1C222A),
	Rule:       rgb(0x29313B),
	Axis:       rgb(0x6C7886),
	Band:       rgb(0x252C35),
	BandEdge:   rgb(0x7D8A98),
	Below:      rgb(0x6CB4F5),
	Inside:     rgb(0xB9C3CE),
	Above:      rgb(0xFF9A66),
	BelowSoft:  rgb(0x1B344D),
	AboveSoft:  rgb(0x4A2A1B),
	Accent:     rgb(0x6FC3CF),
	OnAccent:   rgb(0x10242A),
	AccentSoft: rgb(0x1D3940),
	Problem:    rgb(0xFFAB80),
	Forecast:   rgb(0xA99ADD),
	Forecast50: rgb(0x463C6B),
	Forecast80: rgb(0x2F2A48),
	Dose:       rgb(0xB79CE6),
	Series1:    rgb(0xB882D3),
	Series2:    rgb(0x40EAE7),
	Series3:    rgb(0xF2D97D),
	Series4:    rgb(0xB7557B),
}

// paletteOf returns the colours of a variant.
func paletteOf(v fyne.ThemeVariant) map[fyne.ThemeColorName]color.NRGBA {
	if v == theme.VariantDark {
		return dark
	}
	return light
}

// Color resolves one of the names above, or one of Fyne's, in the theme of
// now. Objects that hold colours must ask again in Refresh.
func Color(name fyne.ThemeColorName) color.Color {
	t := theme.Current()
	v := fyne.CurrentApp().Settings().ThemeVariant()
	if _, ours := t.(*Theme); ours {
		return t.Color(name, v)
	}
	if c, ok := paletteOf(v)[name]; ok {
		return c
	}
	return t.Color(name, v)
}

// Dark tells whether the window is dark now.
func Dark() bool {
	v := fyne.CurrentApp().Settings().ThemeVariant()
	if t, ours := theme.Current().(*Theme); ours {
		v = t.variant(v)
	}
	return v == theme.VariantDark
}
