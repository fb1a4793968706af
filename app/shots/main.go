// Command shots draws every screen of the demo room and of an empty ledger, and
// every widget of the gallery, to PNG files with Fyne's software driver, so that
// they can be looked at without a display: light and dark, compact and
// comfortable, small and large, at one and two pixels to a unit, in English and
// in the pseudo-language.
package main

import (
	"context"
	"flag"
	"fmt"
	"image/png"
	"log"
	"os"
	"path/filepath"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/software"
	"fyne.io/fyne/v2/test"

	"weirkeeper/app/apptest"
	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/shell"
	"weirkeeper/app/tour"
	"weirkeeper/app/widgets/gallery/exhibit"
	"weirkeeper/assets/translations"
	"weirkeeper/storage"
	"weirkeeper/storage/demoroom"
	"weirkeeper/tanks"
)

// shotTime is when the pictures are taken, so that they are the same each run.
var shotTime = time.Date(2026, 3, 10, 8, 2, 0, 0, time.UTC)

const demoSeed = 20

func main() {
	out := flag.String("out", "shots", "folder for the pictures")
	only := flag.String("only", "", "draw only the screens whose name contains this")
	size := flag.String("size", "", "draw in a window of this size, such as 1440x900, light and dark, in place of the eight ways")
	flag.Parse()
	if err := run(*out, *only, *size); err != nil {
		log.Fatal(err)
	}
}

// drawer draws the screens of one ledger after the other.
type drawer struct {
	ctx       context.Context
	out, only string
	clock     func() time.Time
}

// variants are the eight ways of the tour, or the two themes in a window of a size.
func variants(size string) ([]tour.Variant, error) {
	if size == "" {
		return tour.Variants(), nil
	}
	var w, h float32
	if _, err := fmt.Sscanf(size, "%fx%f", &w, &h); err != nil || w < tour.Small.Width/2 || h < tour.Small.Height/2 {
		return nil, fmt.Errorf("%q is no size of a window: give width and height such as 1440x900", size)
	}
	light := tour.Variant{Density: look.Compact, Size: fyne.NewSize(w, h), Theme: look.AlwaysLight, Scale: 1}
	dark := light
	dark.Theme = look.AlwaysDark
	return []tour.Variant{light, dark}, nil
}

func run(out, only, size string) error {
	ways, err := variants(size)
	if err != nil {
		return err
	}
	d := drawer{context.Background(), out, only, func() time.Time { return shotTime }}
	scratch, err := os.MkdirTemp("", "weirkeeper-shots-")
	if err != nil {
		return fmt.Errorf("making a folder for the demo room: %w", err)
	}
	defer os.RemoveAll(scratch)
	for _, v := range ways {
		demo, err := demoroom.Create(d.ctx, filepath.Join(scratch, v.Name()+"-demo.ledger"), d.clock, demoSeed)
		if err != nil {
			return fmt.Errorf("filling the demo room: %w", err)
		}
		if err := d.screens(v, "demo", demo); err != nil {
			return err
		}
		empty, err := storage.Create(
			d.ctx,
			filepath.Join(scratch, v.Name()+"-new.ledger"),
			tanks.Room{Name: "New room", Zone: "Europe/Paris"},
			d.clock,
		)
		if err != nil {
			return fmt.Errorf("making an empty ledger: %w", err)
		}
		if err := d.screens(v, "empty", empty); err != nil {
			return err
		}
		if err := d.gallery(v); err != nil {
			return err
		}
	}
	return nil
}

// begin starts a program that shows things in the way of a variant.
func begin(v tour.Variant) (fyne.App, error) {
	a := test.NewApp()
	a.Settings().SetTheme(look.Of(v.Theme, v.Density))
	if v.Pseudo {
		return a, say.Load(say.Pseudo(translations.English))
	}
	return a, say.Load(nil)
}

// screens draws the welcome page and every stop of the tour.
func (d drawer) screens(v tour.Variant, ledger string, store *storage.Store) error {
	stops, err := tour.Stops(d.ctx, store)
	if err != nil {
		return err
	}
	a, err := begin(v)
	if err != nil {
		return err
	}
	defer a.Quit()
	runner := session.NewDrained()
	w := shell.NewWindow(a, d.clock, runner, "")
	defer w.Close()
	d.size(w.Fyne(), v)
	if ledger == "empty" {
		if err := d.save(w.Fyne(), v, "welcome"); err != nil {
			return err
		}
	}
	if err := w.Open(d.ctx, store); err != nil {
		return err
	}
	for _, s := range stops {
		name := ledger + "-" + s.Name
		if !strings.Contains(name, d.only) {
			continue
		}
		w.Show(s.Route)
		runner.Drain()
		for _, label := range s.Press {
			if err := apptest.PressLabel(w.Fyne().Canvas(), say.L(label)); err != nil {
				return fmt.Errorf("%s: %w", name, err)
			}
			runner.Drain()
		}
		w.Fyne().Canvas().Capture() // a chart begins to be drawn when it is painted
		runner.Drain()
		if err := d.save(w.Fyne(), v, name); err != nil {
			return err
		}
		for w.Fyne().Canvas().Overlays().Top() != nil {
			w.Fyne().Canvas().Overlays().Remove(w.Fyne().Canvas().Overlays().Top())
		}
	}
	return nil
}

// gallery draws every page of the widgets.
func (d drawer) gallery(v tour.Variant) error {
	a, err := begin(v)
	if err != nil {
		return err
	}
	defer a.Quit()
	w := test.NewWindow(nil)
	defer w.Close()
	w.SetPadded(false)
	for _, p := range exhibit.Pages() {
		if !strings.Contains("gallery-"+p.Name, d.only) {
			continue
		}
		w.SetContent(p.Show())
		d.size(w, v)
		if err := d.save(w, v, "gallery-"+p.Name); err != nil {
			return err
		}
	}
	return nil
}

func (d drawer) size(w fyne.Window, v tour.Variant) {
	w.Resize(v.Size)
	w.Canvas().(software.WindowlessCanvas).SetScale(v.Scale)
}

func (d drawer) save(w fyne.Window, v tour.Variant, name string) error {
	if !strings.Contains(name, d.only) {
		return nil
	}
	apptest.Settle(w)
	folder := filepath.Join(d.out, v.Name())
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return fmt.Errorf("making the folder: %w", err)
	}
	file, err := os.Create(filepath.Join(folder, name+".png"))
	if err != nil {
		return fmt.Errorf("making a picture: %w", err)
	}
	defer file.Close()
	if err := png.Encode(file, w.Canvas().Capture()); err != nil {
		return fmt.Errorf("writing %s: %w", name, err)
	}
	return file.Close()
}
