package look

import (
	"image/color"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/theme"

	"weirkeeper/app/apptest/wcag"
)

var variants = map[string]fyne.ThemeVariant{"light": theme.VariantLight, "dark": theme.VariantDark}

func TestContrast(t *testing.T) {
	type pair struct{ ink, ground fyne.ThemeColorName }
	grounds := []fyne.ThemeColorName{Background, Panel, AccentSoft, Band}
	texts := []pair{
		{OnAccent, Accent}, {Text, BelowSoft}, {Text, AboveSoft}, {Secondary, AboveSoft}, {Below, BelowSoft},
		{Problem, Background}, {Problem, AboveSoft}, {Forecast, Background}, {Dose, Background}, {Accent, Background}, {Accent, Panel},
		{
			Below,
			Background,
		}, {Above, Background}, {Inside, Background}, {Below, AccentSoft}, {Above, AccentSoft}, {Below, Panel}, {Above, Panel},
	}
	for _, g := range grounds {
		texts = append(texts, pair{Text, g}, pair{Secondary, g})
	}
	marks := []pair{
		{Axis, Background}, {BandEdge, Background}, {BandEdge, Band}, {Below, Band}, {Above, Band}, {Inside, Band}, {Above, AboveSoft},
		{
			Series1,
			Background,
		}, {Series2, Background}, {Series3, Background}, {Series4, Background}, {Accent, AccentSoft}, {Accent, AboveSoft},
	}
	for name, variant := range variants {
		p := paletteOf(variant)
		for _, c := range texts {
			if got := wcag.Contrast(p[c.ink], p[c.ground]); got < 4.5 {
				t.Errorf("%s: text %s on %s has %.2f, wants 4.5", name, c.ink, c.ground, got)
			}
		}
		for _, c := range marks {
			if got := wcag.Contrast(p[c.ink], p[c.ground]); got < 3 {
				t.Errorf("%s: mark %s on %s has %.2f, wants 3", name, c.ink, c.ground, got)
			}
		}
	}
}

func TestThemeAnswersEveryName(t *testing.T) {
	if len(light) != len(dark) {
		t.Errorf("%d colours in light, %d in dark", len(light), len(dark))
	}
	for name := range light {
		if _, ok := dark[name]; !ok {
			t.Errorf("%s is missing in dark", name)
		}
	}
	for fyneName, role := range roles {
		if _, ok := light[role]; !ok {
			t.Errorf("%s stands for %s, which has no colour", fyneName, role)
		}
	}
}

func TestForcedVariant(t *testing.T) {
	following, forced := New(), New(theme.VariantDark)
	if following.Color(Background, theme.VariantLight) != light[Background] ||
		following.Color(Background, theme.VariantDark) != dark[Background] {
		t.Error("the theme does not follow the desktop")
	}
	if forced.Color(theme.ColorNameBackground, theme.VariantLight) != dark[Background] {
		t.Error("a forced variant follows the desktop")
	}
}

func TestColorFollowsTheTheme(t *testing.T) {
	a := test.NewTempApp(t)
	for name, variant := range variants {
		a.Settings().SetTheme(New(variant))
		if got := Color(Below); got != color.Color(paletteOf(variant)[Below]) {
			t.Errorf("%s: %v", name, got)
		}
		if Dark() != (variant == theme.VariantDark) {
			t.Errorf("%s: dark is %v", name, Dark())
		}
	}
	a.Settings().SetTheme(theme.DefaultTheme())
	if _, _, _, alpha := Color(Below).RGBA(); alpha == 0 {
		t.Error("another theme makes our colours invisible")
	}
}

// Every icon draws lines in both themes, not a filled shape: some ink, and not
// much.
func TestIconsAreLines(t *testing.T) {
	for theme, variant := range variants {
		test.NewTempApp(t).Settings().SetTheme(New(variant))
		for _, icon := range Icons() {
			if inked := ink(t, icon.Resource()); inked < 30 || inked > 640 {
				t.Errorf("%s, %s has ink on %d of 1600 pixels", theme, icon, inked)
			}
		}
	}
}

// ink counts the pixels of a picture that stand out from the window.
func ink(t *testing.T, r fyne.Resource) (n int) {
	t.Helper()
	w := test.NewTempWindow(t, canvas.NewImageFromResource(r))
	w.SetPadded(false)
	w.Resize(fyne.NewSize(40, 40))
	picture := w.Canvas().Capture()
	for y := range 40 {
		for x := range 40 {
			if wcag.Contrast(picture.At(x, y), picture.At(0, 0)) > 2 {
				n++
			}
		}
	}
	return n
}

func TestThemeSizes(t *testing.T) {
	for name, want := range map[fyne.ThemeSizeName]float32{
		theme.SizeNameText: TextSize(), theme.SizeNameCaptionText: SmallText(), theme.SizeNameHeadingText: HeadingSize(), theme.SizeNamePadding: Padding,
		theme.SizeNameInputRadius: Radius, theme.SizeNameModalBlurRadius: 0,
	} {
		if got := New().Size(name); got != want {
			t.Errorf("%s is %v, want %v", name, got, want)
		}
	}
	for _, name := range []fyne.ThemeSizeName{theme.SizeNameSeparatorThickness, theme.SizeNameInlineIcon, theme.SizeNameScrollBar,
		theme.SizeNameInputBorder} {
		if New().Size(name) <= 0 {
			t.Errorf("%s has no size", name)
		}
	}
}
