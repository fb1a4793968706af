package shell

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/apptest"
	"weirkeeper/app/apptest/wcag"
	"weirkeeper/app/look"
	"weirkeeper/app/session"
)

// The keys of every command stand in the menus, in one column, and all that the menus
// say can be read in both themes and densities.
func TestMenuKeysCanBeRead(t *testing.T) {
	if nativeMenus {
		t.Log("the desktop draws the menus")
		return
	}
	for _, v := range []look.Variant{look.AlwaysLight, look.AlwaysDark} {
		for _, d := range []look.Density{look.Compact, look.Comfortable} {
			a := test.NewTempApp(t)
			a.Settings().SetTheme(look.Of(v, d))
			w := NewWindow(a, apptest.Clock, session.NewDrained(), "")
			ground := look.Color(theme.ColorNameMenuBackground)
			for i, menu := range w.win.MainMenu().Items {
				shown := widget.NewMenu(menu)
				win := test.NewTempWindow(t, shown)
				win.Resize(fyne.NewSize(600, 800))
				var labels []string
				apptest.Each(shown, func(o fyne.CanvasObject) {
					text, ok := o.(*canvas.Text)
					if !ok || text.Text == "" {
						return
					}
					labels = append(labels, text.Text)
					if c := wcag.Contrast(text.Color, ground); c < 4.5 {
						t.Errorf("%q has a contrast of %.2f, wants 4.5", text.Text, c)
					}
				})
				column := float32(0)
				for j, c := range w.commands()[i].commands {
					label, keys, split := strings.Cut(labels[j], "\t")
					if keys = strings.TrimLeft(keys, "\t"); label != c.label || keys != c.keys() {
						t.Errorf("%q stands for %q with the keys %q", labels[j], c.label, c.keys())
					}
					if x := labelWidth(strings.TrimSuffix(labels[j], keys)); split && column > 0 && x != column {
						t.Errorf("the keys of %q begin at %v, those before at %v", label, x, column)
					} else if split {
						column = x
					}
					if split && column < labelWidth(label)+keysGap {
						t.Errorf("the keys of %q begin at %v, too near", label, column)
					}
				}
			}
			w.Close()
		}
	}
}

// A shortcut that is not written still has the name by which the window finds it.
func TestMenuKeysStillWork(t *testing.T) {
	k := newKeeper(t, apptest.Clock)
	for i, m := range k.w.commands() {
		for j, c := range m.commands {
			item := k.w.win.MainMenu().Items[i].Items[j]
			if c.bare() {
				continue
			}
			if item.Shortcut == nil || item.Shortcut.ShortcutName() != c.shortcut().ShortcutName() {
				t.Errorf("%s has the shortcut %v", c.label, item.Shortcut)
			}
		}
	}
}
