// Package demoroom fills a ledger with a fictional frag shop: fourteen
// systems, eighteen months of readings, doses, water changes, lab samples and
// work. Everything in it is invented by a seeded generator that runs the same
// mass balance as the program; the same instant and seed give the same room.
package demoroom

import (
	"context"
	"fmt"
	"math/rand/v2"
	"time"

	"weirkeeper/assets"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

const (
	roomName = "Saltmarsh Frag Room"
	roomZone = "Europe/Paris"
	roomNote = "Demonstration. Every system, person and value in this room is invented."
	demoDays = 548 // eighteen months
)

// Create makes a ledger at path and fills it with the demo room as it stands
// at the clock's instant. A file that is there already is not touched.
func Create(ctx context.Context, path string, clock storage.Clock, seed uint64) (*storage.Store, error) {
	store, err := storage.Create(ctx, path, tanks.Room{Name: roomName, Zone: roomZone, Note: roomNote, Demo: true}, clock)
	if err != nil {
		return nil, err
	}
	if err := Fill(ctx, store, clock(), seed); err != nil {
		store.Close()
		return nil, fmt.Errorf("filling the demo room: %w", err)
	}
	return store, nil
}

// Fill writes the demo room into an empty ledger.
func Fill(ctx context.Context, store *storage.Store, now time.Time, seed uint64) error {
	loc, err := time.LoadLocation(roomZone)
	if err != nil {
		return fmt.Errorf("the demo room's zone: %w", err)
	}
	g := newGenerator(now, loc, seed, demoDays, demoSystems)
	if err := g.furnish(ctx, store); err != nil {
		return err
	}
	for n := range g.systems {
		g.run(n)
	}
	return g.write(ctx, store)
}

// newGenerator begins a room of some systems that is days old at the instant
// now.
func newGenerator(now time.Time, loc *time.Location, seed uint64, days int, plans []plan) *generator {
	local := now.In(loc)
	return &generator{
		now: now, loc: loc, seed: seed, days: days, plans: plans, often: 1, dosedFor: days, changedFor: days,
		first: time.Date(local.Year(), local.Month(), local.Day()-days, 0, 0, 0, 0, loc),
	}
}

// generator holds the room while it is invented.
type generator struct {
	days  int // from the first to today
	plans []plan
	often int // how many times as often as the profiles say it is tested
	// dosedFor and changedFor are for how many days back doses and water changes
	// are recorded; what they do to the water is always counted.
	dosedFor, changedFor int

	now   time.Time
	first time.Time // midnight of the first day
	loc   *time.Location
	seed  uint64

	systems  []tanks.System
	bands    map[tanks.SystemID][]tanks.Band
	methods  []tanks.Method
	products []tanks.Product
	vat      map[chem.Analyte]float64 // canonical levels of the mixing vat
	store    map[chem.Analyte]float64 // of the RO/DI store

	readings  []tanks.Reading
	additions []tanks.Addition
	changes   []tanks.WaterChange
	samples   []labSample
}

// labSample is a sample with its results, which get the sample's ID.
type labSample struct {
	sample   tanks.Sample
	readings []tanks.Reading
}

// random returns a source of its own for one system and purpose, so that a
// change in one place leaves the rest of the room as it was.
func (g *generator) random(system, purpose int) *rand.Rand {
	return rand.New(rand.NewPCG(g.seed, uint64(system)<<16|uint64(purpose)))
}

// day returns the instant of an hour of the n-th day.
func (g *generator) day(n int, hours float64) time.Time {
	d := time.Date(g.first.Year(), g.first.Month(), g.first.Day()+n, 0, 0, 0, 0, g.loc)
	return d.Add(time.Duration(hours * float64(time.Hour))).Truncate(time.Minute).UTC()
}

// canonical converts a level written as keepers do.
func canonical(a chem.Analyte, v float64) float64 {
	info, _ := chem.Lookup(a)
	return sure(chem.Convert(a, v, info.Units[0], info.Unit, chem.Water{}))
}

// sure panics on an error: the generator's own numbers are in every range.
func sure(v float64, err error) float64 {
	if err != nil {
		panic(fmt.Sprintf("demoroom: %v", err))
	}
	return v
}

// rate converts an uptake a day written as keepers do.
func rate(a chem.Analyte, v float64) float64 { return canonical(a, v) - canonical(a, 0) }

func canonicalWater(w water) map[chem.Analyte]float64 {
	out := make(map[chem.Analyte]float64, len(w))
	for a, v := range w {
		out[a] = canonical(a, v)
	}
	return out
}

// stocked and prices are what is left on the shelf, as a share of a full package, and
// what that costs, by product.
var (
	stocked = []float64{0.68, 0.18, 0.88, 0.5, 0.9, 0.3, 0.7, 0.6, 0.4, 1, 0.86, 0.3, 0.31, 0.7, 0.55}
	prices  = []float64{14, 9, 12, 8, 10, 9, 7, 7, 18, 21, 8, 6, 15, 5, 17}
)

// hardeningSalt is known by its label only.
func hardeningSalt() tanks.Product {
	degrees := canonical(chem.Hardness, 3)
	return tanks.Product{Name: "Hardening salt (invented)", Full: 1000, Contents: chem.Product{Form: chem.Solid,
		Label: []chem.Strength{{Analyte: chem.Hardness, Amount: 10, Litres: 100, Raises: degrees}}}}
}

// furnish saves profiles with their chores, methods, products and systems.
func (g *generator) furnish(ctx context.Context, store *storage.Store) error {
	for _, p := range staff {
		if err := store.SavePerson(ctx, &p); err != nil {
			return err
		}
	}
	profiles := map[string]tanks.ProfileID{}
	for _, p := range assets.Profiles() {
		if err := store.SaveProfile(ctx, &p.Profile); err != nil {
			return err
		}
		profiles[p.Profile.Name] = p.Profile.ID
		for _, t := range p.Chores {
			t.Profile, t.Start = p.Profile.ID, g.first
			if err := store.SaveTask(ctx, &t); err != nil {
				return err
			}
		}
	}
	for _, m := range assets.Methods() {
		if err := store.SaveMethod(ctx, &m); err != nil {
			return err
		}
		g.methods = append(g.methods, m)
	}
	for n, p := range append(assets.Products(), hardeningSalt()) {
		p.Stock, p.Price = p.Full*stocked[n], prices[n]
		if err := store.SaveProduct(ctx, &p); err != nil {
			return err
		}
		g.products = append(g.products, p)
	}
	for n, p := range g.plans {
		s := tanks.System{
			Code: p.code, Name: p.name, Kind: p.kind, Place: p.place, Profile: profiles[p.profile], Order: n + 1, Tanks: p.tanks,
			Invertebrates: p.invertebrates, Purified: p.profile == "RO/DI store", Opened: g.first.UTC(), Note: "Invented.",
		}
		if err := store.SaveSystem(ctx, &s); err != nil {
			return err
		}
		g.systems = append(g.systems, s)
		switch p.code {
		case "V1":
			g.vat = canonicalWater(p.start)
		case "S1":
			g.store = canonicalWater(p.start)
		}
	}
	var err error
	g.bands, err = store.AllBands(ctx)
	return err
}
