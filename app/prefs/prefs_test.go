package prefs

import (
	"testing"
	"time"

	"pgregory.net/rapid"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/chem"
	"weirkeeper/chem/seawater"
	"weirkeeper/tanks"
)

type kept map[string]string

func (k kept) String(key string) string    { return k[key] }
func (k kept) SetString(key, value string) { k[key] = value }

// What is kept comes back, whatever was chosen.
func TestKeepingIsLossless(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Preferences{
			Theme: look.Variant(
				rapid.IntRange(0, 2).Draw(t, "theme"),
			), Density: look.Density(rapid.IntRange(0, 1).Draw(t, "density")), Volume: chem.VolumeUnit(rapid.IntRange(0, 2).Draw(t,
				"volume")),
			Temperature: rapid.SampledFrom(
				Temperatures,
			).Draw(
				t,
				"temperature",
			), Alkalinity: rapid.SampledFrom(Alkalinities).Draw(t, "alkalinity"), Salinity: rapid.SampledFrom(Salinities).Draw(t, "salinity"),
			Nutrients: Nutrients(
				rapid.IntRange(0, 1).Draw(t, "nutrients"),
			), Decimal: Choice(rapid.IntRange(0, 2).Draw(t, "decimal")), Dates: Choice(rapid.IntRange(0, 3).Draw(t, "dates")),
			Week: Choice(rapid.IntRange(0, 3).Draw(t, "week")), Locale: "de-CH",
		}
		k := kept{}
		p.Save(k)
		if got := Load(k, "de-CH"); got != p {
			t.Fatalf("kept %v, got back %+v, want %+v", k, got, p)
		}
	})
}

// A file that was lost or written by another program gives the usual.
func TestStrangeSettingsAreTheUsual(t *testing.T) {
	k := kept{}
	for _, s := range settings {
		k[s.key] = "strange"
	}
	if got := Load(k, ""); got != (Preferences{}) {
		t.Errorf("%+v", got)
	}
}

func TestUnits(t *testing.T) {
	usual := Preferences{}
	us := Preferences{Temperature: chem.Fahrenheit, Alkalinity: chem.MeqL, Salinity: chem.SG60F, Nutrients: AsElement}
	for _, c := range []struct {
		analyte     chem.Analyte
		usual, mine chem.Unit
	}{
		{chem.Temperature, chem.Celsius, chem.Fahrenheit}, {chem.Alkalinity, chem.DKH, chem.MeqL}, {chem.Salinity, chem.PSU,
			chem.SG60F}, {chem.Nitrate, chem.MgL, chem.NO3N},
		{chem.Phosphate, chem.MgL, chem.PO4P}, {chem.Silicate, chem.MgL, chem.Si}, {chem.Calcium, chem.MgL, chem.MgL}, {chem.Analyte(9999),
			"", ""},
	} {
		if got := usual.Unit(c.analyte); got != c.usual {
			t.Errorf("%s is usually in %q, want %q", c.analyte, got, c.usual)
		}
		if got := us.Unit(c.analyte); got != c.mine {
			t.Errorf("%s is in %q, want %q", c.analyte, got, c.mine)
		}
	}
	if got := (Preferences{Alkalinity: chem.Celsius}).Unit(chem.Alkalinity); got != chem.DKH {
		t.Errorf("alkalinity in %q", got)
	}
}

// What settings hold of every room goes into one that says no height of its own: each
// set by its word, the height in m.
func TestForRoom(t *testing.T) {
	shed := tanks.Room{Name: "Shed"}
	for _, c := range []struct {
		name, height, constants string
		room, want              tanks.Room
	}{
		{"nothing", "", "", shed, shed},
		{"height", "1200", "", shed, tanks.Room{Name: "Shed", Height: tanks.HeightOf(1200)}},
		{"at the sea", "0", "", shed, shed},
		{"strange", "high up", "best", shed, shed},
		{"too high", "5000", "", shed, shed},
		{"constants", "", "guide-2007", shed, tanks.Room{Name: "Shed", Constants: seawater.SetGuide2007}},
		{"both", "300", "millero-lee", shed, tanks.Room{Name: "Shed", Height: tanks.HeightOf(300), Constants: seawater.SetEstuaryLee}},
		{"a room with constants", "300", "lueker-lee", tanks.Room{Constants: seawater.SetEstuary},
			tanks.Room{Height: tanks.HeightOf(300), Constants: seawater.SetEstuary}},
		{"a room that says its height", "300", "lueker-lee", tanks.Room{Height: tanks.HeightOf(0)}, tanks.Room{Height: tanks.HeightOf(0)}},
	} {
		got, changed := ForRoom(kept{"place.height": c.height, "water.constants": c.constants}, c.room)
		if got != c.want || changed != (c.room != c.want) {
			t.Errorf("%s: %+v, changed %v", c.name, got, changed)
		}
	}
}

// Decimal signs, orders of dates and first days of the week as the Unicode CLDR
// has them for these locales (version 45, from memory but for the decimal sign).
func TestLocales(t *testing.T) {
	for locale, want := range map[Locale]struct {
		comma bool
		dates say.Dates
		week  time.Weekday
	}{
		"": {false, say.DayFirst, time.Monday}, "en-US": {false, say.MonthFirst, time.Sunday}, "en-GB": {false, say.DayFirst,
			time.Monday}, "de-DE": {true, say.DayFirst, time.Monday},
		"de-CH": {false, say.DayFirst, time.Monday}, "fr_FR": {true, say.DayFirst, time.Monday}, "sv-SE": {true, say.YearFirst,
			time.Monday}, "ja-JP": {false, say.YearFirst, time.Sunday},
		"pt-BR": {true, say.DayFirst, time.Sunday}, "nonsense??": {false, say.DayFirst, time.Monday}, "ar-EG": {false, say.DayFirst,
			time.Saturday},
	} {
		p := Preferences{Locale: locale}
		if locale != "ar-EG" && p.Style() != (say.Style{Comma: want.comma, Dates: want.dates}) {
			t.Errorf("%q: %+v", locale, p.Style())
		}
		if got := p.FirstDay(); got != want.week {
			t.Errorf("%q: weeks begin on %s", locale, got)
		}
	}
	chosen := Preferences{Locale: "de-DE", Decimal: 1, Dates: 3, Week: 2}
	if chosen.Style() != (say.Style{Dates: say.YearFirst}) || chosen.FirstDay() != time.Sunday {
		t.Errorf("chosen: %+v, %s", chosen.Style(), chosen.FirstDay())
	}
}

func TestDesktop(t *testing.T) {
	for _, name := range []string{"C", "POSIX", "C.UTF-8", "de_CH.UTF-8"} {
		t.Setenv("LC_ALL", name)
		t.Setenv("LANG", name)
		t.Setenv("LANGUAGE", "")
		if got := Desktop(); (name == "de_CH.UTF-8") != (got != "") {
			t.Errorf("LANG=%s: the locale is %q", name, got)
		}
	}
}
