// Command shots draws every screen of the demo room, light and dark, small
// and large, to PNG files with Fyne's software driver, so that they can be
// looked at without a display.
package main

import (
	"context"
	"flag"
	"fmt"
	"image/png"
	"log"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/theme"

	"weirkeeper/app"
	"weirkeeper/app/apptest"
	"weirkeeper/app/look"
	"weirkeeper/app/session"
	"weirkeeper/storage"
	"weirkeeper/storage/demoroom"
	"weirkeeper/tanks"
)

// shotTime is when the pictures are taken, so that they are the same each run.
var shotTime = time.Date(2026, 3, 10, 8, 2, 0, 0, time.UTC)

const demoSeed = 20

var sizes = []fyne.Size{{Width: 1024, Height: 700}, {Width: 1440, Height: 900}, {Width: 1600, Height: 1000}}

var themes = map[string]fyne.ThemeVariant{"light": theme.VariantLight, "dark": theme.VariantDark}

func main() {
	out := flag.String("out", "shots", "folder for the pictures")
	only := flag.String("only", "", "draw only the screens whose name contains this")
	flag.Parse()
	if err := run(*out, *only); err != nil {
		log.Fatal(err)
	}
}

func run(out, only string) error {
	if err := os.MkdirAll(out, 0o755); err != nil {
		return fmt.Errorf("making the folder: %w", err)
	}
	scratch, err := os.MkdirTemp("", "weirkeeper-shots-")
	if err != nil {
		return fmt.Errorf("making a folder for the demo room: %w", err)
	}
	defer os.RemoveAll(scratch)
	ctx := context.Background()
	clock := func() time.Time { return shotTime }
	demo, err := demoroom.Create(ctx, filepath.Join(scratch, "demo.ledger"), clock, demoSeed)
	if err != nil {
		return fmt.Errorf("filling the demo room: %w", err)
	}
	empty, err := storage.Create(ctx, filepath.Join(scratch, "new.ledger"), tanks.Room{Name: "New room", Zone: "Europe/Paris"}, clock)
	if err != nil {
		return fmt.Errorf("making an empty ledger: %w", err)
	}
	shots, err := list(ctx, demo)
	if err != nil {
		return err
	}
	if err := drawAll(out, only, "demo", demo, clock, shots); err != nil {
		return err
	}
	return drawAll(out, only, "empty", empty, clock, shots)
}

// shot is one picture: a route and its name.
type shot struct {
	name  string
	route session.Route
}

// list names every screen and section, opened where there is most to see.
func list(ctx context.Context, demo *storage.Store) ([]shot, error) {
	systems, err := demo.Systems(ctx)
	if err != nil {
		return nil, err
	}
	first, fresh := firstOf(systems, tanks.Marine), firstOf(systems, tanks.Freshwater)
	return []shot{
		{"rounds", session.Route{Place: session.Rounds}},
		{"room", session.Route{Place: session.Room}},
		{"testsheet", session.Route{Place: session.TestSheet}},
		{"dosing-plan", session.Route{Place: session.Dosing, Section: "Plan"}},
		{"dosing-runsheet", session.Route{Place: session.Dosing, Section: "Run sheet"}},
		{"dosing-shelf", session.Route{Place: session.Dosing, Section: "Shelf"}},
		{"dosing-changes", session.Route{Place: session.Dosing, Section: "Water changes"}},
		{"samples", session.Route{Place: session.Samples}},
		{"trends", session.Route{Place: session.Trends, System: first.ID}},
		{"handover", session.Route{Place: session.Handover, System: first.ID}},
		{"setup-room", session.Route{Place: session.Setup, Section: "Room"}},
		{"setup-systems", session.Route{Place: session.Setup, Section: "Systems"}},
		{"setup-profiles", session.Route{Place: session.Setup, Section: "Profiles"}},
		{"setup-methods", session.Route{Place: session.Setup, Section: "Methods"}},
		{"setup-tasks", session.Route{Place: session.Setup, Section: "Tasks"}},
		{"setup-people", session.Route{Place: session.Setup, Section: "People"}},
		{"setup-import", session.Route{Place: session.Setup, Section: "Import"}},
		{"setup-backups", session.Route{Place: session.Setup, Section: "Backups"}},
		{"system-water", session.Route{Place: session.System, System: first.ID, Section: "Water"}},
		{"system-chemistry", session.Route{Place: session.System, System: first.ID, Section: "Chemistry"}},
		{"system-chemistry-fresh", session.Route{Place: session.System, System: fresh.ID, Section: "Chemistry"}},
		{"system-trend", session.Route{Place: session.System, System: first.ID, Section: "Trend"}},
		{"system-log", session.Route{Place: session.System, System: first.ID, Section: "Log"}},
	}, nil
}

func firstOf(systems []tanks.System, kind tanks.Kind) tanks.System {
	i := slices.IndexFunc(systems, func(s tanks.System) bool { return s.Kind == kind })
	if i < 0 {
		return tanks.System{}
	}
	return systems[i]
}

// drawAll draws every shot of one ledger in each theme and size.
func drawAll(out, only, ledger string, store *storage.Store, clock func() time.Time, shots []shot) error {
	a := test.NewApp()
	defer a.Quit()
	a.Settings().SetTheme(look.New(theme.VariantLight))
	w := app.NewWindow(a, clock, session.Inline{}, "")
	defer w.Close()
	welcome := only == "" || strings.Contains("welcome", only)
	for name, variant := range themes {
		a.Settings().SetTheme(look.New(variant))
		for _, size := range sizes {
			w.Fyne().Resize(size)
			if welcome && w.Session() == nil {
				if err := save(w, out, fmt.Sprintf("welcome-%s-%.0f", name, size.Width)); err != nil {
					return err
				}
			}
		}
	}
	if err := w.Open(context.Background(), store); err != nil {
		return err
	}
	for name, variant := range themes {
		a.Settings().SetTheme(look.New(variant))
		for _, size := range sizes {
			w.Fyne().Resize(size)
			for _, s := range shots {
				if !strings.Contains(ledger+"-"+s.name, only) || (ledger == "empty" && s.route.Place == session.System) {
					continue
				}
				w.Show(s.route)
				if err := save(w, out, fmt.Sprintf("%s-%s-%s-%.0f", ledger, s.name, name, size.Width)); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

func save(w *app.Window, out, name string) error {
	apptest.Settle(w.Fyne())
	file, err := os.Create(filepath.Join(out, name+".png"))
	if err != nil {
		return fmt.Errorf("making a picture: %w", err)
	}
	defer file.Close()
	if err := png.Encode(file, w.Fyne().Canvas().Capture()); err != nil {
		return fmt.Errorf("writing %s: %w", name, err)
	}
	return file.Close()
}
