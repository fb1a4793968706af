// Package storagetest makes small ledgers for tests.
package storagetest

import (
	"context"
	"path/filepath"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// Fixture is what a test ledger holds: two marine systems of about 350 L, a
// profile with bands and intervals, methods and stock solutions. All of it is
// invented.
type Fixture struct {
	Now       time.Time // what the ledger's clock says
	Zone      *time.Location
	ProfileID tanks.ProfileID
	Systems   [2]tanks.System
	Methods   map[chem.Analyte]tanks.Method
	Products  map[string]tanks.Product // "calcium", "bicarbonate", "magnesium"
}

// Now is the instant at which the clock of a test ledger stands.
var Now = time.Date(2026, 3, 10, 8, 2, 0, 0, time.UTC)

// Clock always says Now.
func Clock() time.Time { return Now }

const day = 24 * time.Hour

// Room makes a ledger in a temporary folder; it is closed when the test ends.
func Room(t testing.TB) (*storage.Store, Fixture) {
	t.Helper()
	store, err := storage.Create(
		t.Context(),
		filepath.Join(t.TempDir(), "room.wkr"),
		tanks.Room{Name: "Test room", Zone: "Europe/Paris"},
		Clock,
	)
	must(t, err)
	t.Cleanup(func() {
		if err := store.Close(); err != nil {
			t.Errorf("closing the test ledger: %v", err)
		}
	})
	return store, fill(t, store)
}

func fill(t testing.TB, store *storage.Store) Fixture {
	t.Helper()
	ctx := t.Context()
	zone, err := time.LoadLocation("Europe/Paris")
	must(t, err)
	f := Fixture{Now: Now, Zone: zone, Methods: map[chem.Analyte]tanks.Method{}, Products: map[string]tanks.Product{}}
	profile := reef()
	must(t, store.SaveProfile(ctx, &profile))
	f.ProfileID = profile.ID
	for i, s := range []tanks.System{{Code: "F1", Name: "Frag rack, north"}, {Code: "F2", Name: "Frag rack, south"}} {
		s.Kind, s.Place, s.Profile, s.Order, s.Invertebrates = tanks.Marine, "Back wall", f.ProfileID, i+1, true
		s.Opened = Now.Add(-400 * day)
		// 120 × 60 × 55 cm are 396 L, less the rock 350 L.
		s.Tanks = []tanks.Tank{{Name: "Display", Length: 120, Width: 60, Height: 55, Displaced: 46}}
		must(t, store.SaveSystem(ctx, &s))
		f.Systems[i] = s
	}
	saveMethods(ctx, t, store, f.Methods)
	saveProducts(ctx, t, store, f.Products)
	return f
}

// reef is a profile with bands of common practice, no source.
func reef() tanks.Profile {
	return tanks.Profile{Name: "Reef", Kind: tanks.Marine, Source: "common practice, no source", Bands: []tanks.Band{
		{Analyte: chem.Temperature, Low: 24, Aim: 25, High: 26.5, TestEvery: day},
		{Analyte: chem.Salinity, Low: 34, Aim: 35, High: 36, MaxRise: 1, TestEvery: 3 * day},
		{Analyte: chem.Alkalinity, Low: 2.5, Aim: 2.9, High: 3.2, MaxRise: 0.3, TestEvery: 2 * day},
		{Analyte: chem.Calcium, Low: 400, Aim: 425, High: 450, MaxRise: 20, TestEvery: 7 * day, AtSalinity: 35},
		{Analyte: chem.Magnesium, Low: 1250, Aim: 1300, High: 1380, MaxRise: 50, TestEvery: 14 * day, AtSalinity: 35},
		{Analyte: chem.Nitrate, Low: 2, Aim: 5, High: 15, TestEvery: 7 * day},
	}}
}

func saveMethods(ctx context.Context, t testing.TB, store *storage.Store, out map[chem.Analyte]tanks.Method) {
	t.Helper()
	for _, m := range []tanks.Method{
		{Name: "Alkalinity titration", Kind: tanks.Kit, Analyte: chem.Alkalinity, Unit: chem.DKH, Resolution: 0.036, Accuracy: 0.1,
			Repeatability: 0.04},
		{Name: "Calcium titration", Kind: tanks.Kit, Analyte: chem.Calcium, Unit: chem.MgL, Resolution: 5, Accuracy: 10, Repeatability: 5},
		{Name: "Magnesium titration", Kind: tanks.Kit, Analyte: chem.Magnesium, Unit: chem.MgL, Resolution: 15, Accuracy: 40,
			Repeatability: 15},
	} {
		must(t, store.SaveMethod(ctx, &m))
		out[m.Analyte] = m
	}
}

func saveProducts(ctx context.Context, t testing.TB, store *storage.Store, out map[string]tanks.Product) {
	t.Helper()
	for _, p := range []struct {
		key, name, compound string
		gramsPerLitre       float64
	}{
		{"calcium", "Calcium stock", "CaCl2·2H2O", 100},
		{"bicarbonate", "Bicarbonate stock", "NaHCO3", 80},
		{"magnesium", "Magnesium stock", "MgCl2·6H2O", 300},
	} {
		contents := chem.Product{Form: chem.Liquid, Ingredients: []chem.Ingredient{{Compound: p.compound, Amount: p.gramsPerLitre}}}
		product := tanks.Product{Name: p.name, Contents: contents, Stock: 2000, Full: 2000}
		must(t, store.SaveProduct(ctx, &product))
		out[p.key] = product
	}
}

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatalf("filling the test ledger: %v", err)
	}
}
