package shell

import (
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"fyne.io/fyne/v2"

	"weirkeeper/app/apptest"
	"weirkeeper/app/session"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// A round of 12 systems by 6 analytes by the keyboard alone, from the screen that
// opens first to the values in the ledger: at most 1.15 presses a value beyond
// the signs of the values themselves.
func TestRoundByKeyboard(t *testing.T) {
	now := time.Date(2026, 3, 10, 8, 0, 0, 0, time.UTC)
	folder := t.TempDir() // goes after the window
	k := newKeeper(t, apptest.ClockAt(now))
	analytes := []chem.Analyte{chem.Temperature, chem.Salinity, chem.PH, chem.Alkalinity, chem.Calcium, chem.Magnesium}
	values := []string{"25.3", "35.1", "8.16", "8.3", "421", "1320"}
	room, err := storage.Create(
		t.Context(),
		filepath.Join(folder, "room.ledger"),
		tanks.Room{Name: "Room", Zone: "UTC"},
		apptest.ClockAt(now),
	)
	if err != nil {
		t.Fatal(err)
	}
	profile := tanks.Profile{Name: "Reef", Kind: tanks.Marine}
	for _, a := range analytes {
		profile.Bands = append(profile.Bands, tanks.Band{Analyte: a, TestEvery: 24 * time.Hour})
	}
	if err := room.SaveProfile(t.Context(), &profile); err != nil {
		t.Fatal(err)
	}
	for n := range 12 {
		s := tanks.System{
			Code:    fmt.Sprintf("F%d", n+1),
			Name:    "Rack",
			Kind:    tanks.Marine,
			Profile: profile.ID,
			Order:   n + 1,
			Stated:  300,
			Opened:  now.AddDate(0, -1, 0),
		}
		if err := room.SaveSystem(t.Context(), &s); err != nil {
			t.Fatal(err)
		}
	}
	if err := k.w.Open(t.Context(), room); err != nil {
		t.Fatal(err)
	}
	k.settle()
	presses := 0
	press := func(names ...fyne.KeyName) { presses += len(names); k.keys(names...) }
	// Shift+Tab leads from the list to the buttons before it; the search leads
	// anywhere.
	presses++ // Ctrl+3
	k.w.Show(session.Route{Place: session.TestSheet})
	k.settle()
	typed := 0
	for _, v := range values {
		for range 12 {
			k.types(v)
			typed += len(v)
			press(fyne.KeyReturn)
		}
	}
	presses++ // Ctrl+S
	k.menu(fyne.KeyS)
	saved := 0
	systems, err := room.Systems(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range systems {
		readings, err := room.ReadingsOf(t.Context(), s.ID, now.AddDate(0, 0, -1), now)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range readings {
			for i, a := range analytes {
				if a == r.Analyte && r.Typed == values[i] {
					saved++
				}
			}
		}
	}
	if saved != 72 {
		t.Fatalf("%d of 72 values are in the ledger: %s", saved, k.noticed())
	}
	each := float64(presses) / 72
	t.Logf("%d presses beside %d signs of values: %.3f a value", presses, typed, each)
	if each > 1.15 {
		t.Errorf("%.3f presses a value, 1.15 are allowed", each)
	}
}
