package shell

import (
	"context"
	"path/filepath"
	"reflect"
	"testing"
	"testing/synctest"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	"weirkeeper/app/apptest"
	"weirkeeper/app/look"
	"weirkeeper/app/session"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// After the machine slept the window is drawn as before: Fyne then drops all that it
// draws widgets with, and makes it anew without laying it out.
func TestWindowIsWholeAfterSleep(t *testing.T) {
	store, err := storage.Create(
		t.Context(),
		filepath.Join(t.TempDir(), "room.ledger"),
		tanks.Room{Name: "Room", Zone: "UTC"},
		storagetest.Clock,
	)
	if err != nil {
		t.Fatal(err)
	}
	synctest.Test(t, func(t *testing.T) {
		a := test.NewTempApp(t)
		a.Settings().SetTheme(look.Of(look.AlwaysLight, look.Compact))
		runner := session.NewDrained()
		w := NewWindow(a, storagetest.Clock, runner, "")
		w.win.Resize(fyne.NewSize(1024, 700))
		if err := w.Open(context.Background(), store); err != nil {
			t.Fatal(err)
		}
		for _, place := range []session.Route{{Place: session.Setup, Section: session.SetupRoom}, {Place: session.TestSheet},
			{Place: session.Rounds}} {
			w.Show(place)
			runner.Drain()
			apptest.Settle(w.win)
			before := w.win.Canvas().Capture()
			time.Sleep(2 * time.Minute)
			w.win.Canvas().Capture()
			if after := w.win.Canvas().Capture(); !reflect.DeepEqual(before, after) {
				t.Errorf("%v is drawn otherwise", place)
			}
		}
		if err := w.Close(); err != nil {
			t.Error(err)
		}
	})
}
