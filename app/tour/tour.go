// Package tour lists every screen, and the ways in which screens are looked at:
// for the pictures of make shots and for the tests of the layout.
package tour

import (
	"context"
	"fmt"
	"slices"

	"fyne.io/fyne/v2"

	"weirkeeper/app/look"
	"weirkeeper/app/session"
	"weirkeeper/assets/words"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// Stop is one screen, and the buttons to press on it, by their labels.
type Stop struct {
	Name  string
	Route session.Route
	Press []words.Text
}

// Stops returns every screen and section, opened where there is most to see, and
// some dialogs.
func Stops(ctx context.Context, room *storage.Store) ([]Stop, error) {
	systems, err := room.Systems(ctx)
	if err != nil {
		return nil, err
	}
	first, fresh := firstOf(systems, tanks.Marine), firstOf(systems, tanks.Freshwater)
	stops := []Stop{
		{Name: "rounds", Route: session.Route{Place: session.Rounds}},
		{Name: "room", Route: session.Route{Place: session.Room}},
		{Name: "testsheet", Route: session.Route{Place: session.TestSheet}},
		{Name: "dosing-plan", Route: session.Route{Place: session.Dosing, Section: session.DosingPlan}},
		{Name: "dosing-runsheet", Route: session.Route{Place: session.Dosing, Section: session.DosingRunSheet}},
		{Name: "dosing-shelf", Route: session.Route{Place: session.Dosing, Section: session.DosingShelf}},
		{Name: "dosing-changes", Route: session.Route{Place: session.Dosing, Section: session.DosingChanges}},
		{Name: "dosing-making", Route: session.Route{Place: session.Dosing, Section: session.DosingMaking, System: fresh.ID}},
		{Name: "samples", Route: session.Route{Place: session.Samples}},
		{Name: "trends", Route: session.Route{Place: session.Trends, System: first.ID}},
		{Name: "handover", Route: session.Route{Place: session.Handover, System: first.ID}},
		{Name: "setup-room", Route: session.Route{Place: session.Setup, Section: session.SetupRoom}},
		{Name: "setup-systems", Route: session.Route{Place: session.Setup, Section: session.SetupSystems}},
		{Name: "setup-profiles", Route: session.Route{Place: session.Setup, Section: session.SetupProfiles}},
		{Name: "setup-methods", Route: session.Route{Place: session.Setup, Section: session.SetupMethods}},
		{Name: "setup-tasks", Route: session.Route{Place: session.Setup, Section: session.SetupTasks}},
		{Name: "setup-people", Route: session.Route{Place: session.Setup, Section: session.SetupPeople}},
		{Name: "setup-import", Route: session.Route{Place: session.Setup, Section: session.SetupImport}},
		{Name: "setup-backups", Route: session.Route{Place: session.Setup, Section: session.SetupBackups}},
		{Name: "setup-preferences", Route: session.Route{Place: session.Setup, Section: session.SetupPreferences}},
	}
	if first.ID == 0 {
		return stops, nil
	}
	return append(
		stops,
		Stop{Name: "system-water", Route: session.Route{Place: session.System, System: first.ID, Section: session.SystemWater}},
		Stop{Name: "system-chemistry", Route: session.Route{Place: session.System, System: first.ID, Section: session.SystemChemistry}},
		Stop{
			Name:  "system-chemistry-fresh",
			Route: session.Route{Place: session.System, System: fresh.ID, Section: session.SystemChemistry},
		},
		Stop{Name: "system-trend", Route: session.Route{Place: session.System, System: first.ID, Section: session.SystemTrend}},
		Stop{Name: "system-log", Route: session.Route{Place: session.System, System: first.ID, Section: session.SystemLog}},
		Stop{Name: "jump", Route: session.Route{Place: session.Rounds}, Press: []words.Text{"Go to ..."}},
		Stop{
			Name:  "add-system",
			Route: session.Route{Place: session.Setup, Section: session.SetupSystems},
			Press: []words.Text{"Add a system"},
		},
		Stop{
			Name:  "add-method",
			Route: session.Route{Place: session.Setup, Section: session.SetupMethods},
			Press: []words.Text{"Add a method"},
		},
		Stop{
			Name:  "salt-water",
			Route: session.Route{Place: session.Dosing, Section: session.DosingChanges},
			Press: []words.Text{"Mix salt water"},
		},
		Stop{
			Name:  "changes-course",
			Route: session.Route{Place: session.Dosing, Section: session.DosingChanges, System: fresh.ID},
			Press: []words.Text{"Plan a course"},
		},
		Stop{Name: "sums", Route: session.Route{Place: session.Dosing, Section: session.DosingChanges}, Press: []words.Text{"Sums"}},
		Stop{Name: "columns", Route: session.Route{Place: session.Setup, Section: session.SetupSystems}, Press: []words.Text{"Columns"}},
		Stop{Name: "target", Route: chemistry(first), Press: []words.Text{"Dose for a target"}},
		Stop{Name: "carbon-dioxide", Route: chemistry(fresh), Press: []words.Text{"Carbon dioxide and pH"}},
		Stop{Name: "weekly-dose", Route: chemistry(fresh), Press: []words.Text{"Weekly dose"}},
		Stop{Name: "ways", Route: chemistry(fresh), Press: []words.Text{"Ways to raise hardness"}},
		Stop{
			Name:  "record-addition",
			Route: session.Route{Place: session.System, System: first.ID, Section: session.SystemWater},
			Press: []words.Text{"Record an addition"},
		},
	), nil
}

func chemistry(s tanks.System) session.Route {
	return session.Route{Place: session.System, System: s.ID, Section: session.SystemChemistry}
}

func firstOf(systems []tanks.System, kind tanks.Kind) tanks.System {
	i := slices.IndexFunc(systems, func(s tanks.System) bool { return s.Kind == kind })
	if i < 0 {
		return tanks.System{}
	}
	return systems[i]
}

// Variant is one way of looking at the screens.
type Variant struct {
	Pseudo  bool // in the pseudo-language
	Density look.Density
	Size    fyne.Size
	Theme   look.Variant
	Scale   float32 // device pixels to a unit of length
}

// Name is the variant's name, for a folder.
func (v Variant) Name() string {
	language, density, theme := "english", "compact", "light"
	if v.Pseudo {
		language = "pseudo"
	}
	if v.Density == look.Comfortable {
		density = "comfortable"
	}
	if v.Theme == look.AlwaysDark {
		theme = "dark"
	}
	return fmt.Sprintf("%s-%s-%.0f-%s-%.0fx", language, density, v.Size.Width, theme, v.Scale)
}

// Small and Large are the sizes of the window.
var (
	Small = fyne.NewSize(1024, 700)
	Large = fyne.NewSize(1600, 1000)
)

// Variants returns every way of laying a screen out: each language, density and
// size with each other. The theme and the scale, which change no place, are
// spread over them so that each two of the five come together somewhere (the
// orthogonal array L8).
func Variants() []Variant {
	var all []Variant
	for n := range 8 {
		a, b, c := n>>2&1, n>>1&1, n&1
		v := Variant{Pseudo: a == 1, Density: look.Compact, Size: Small, Theme: look.AlwaysLight, Scale: 1}
		if b == 1 {
			v.Density = look.Comfortable
		}
		if c == 1 {
			v.Size = Large
		}
		if a^b^c == 1 {
			v.Theme = look.AlwaysDark
		}
		if a^b == 1 {
			v.Scale = 2
		}
		all = append(all, v)
	}
	return all
}
