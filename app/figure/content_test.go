package figure_test

import (
	"math"
	"testing"
	"time"

	"weirkeeper/app/chart"
	"weirkeeper/app/figure"
	"weirkeeper/app/state"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// chosen shows some analytes by mass or in degrees, and volumes in gallons.
type chosen struct{ units }

func (chosen) Unit(a chem.Analyte) chem.Unit {
	switch a {
	case chem.Calcium:
		return chem.MgKg
	case chem.Alkalinity:
		return chem.DKH
	}
	return units{}.Unit(a)
}

func (chosen) VolumeUnit() chem.VolumeUnit { return chem.USGallon }

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// draw is the figure of the last ten days, and of four to come.
func draw(t *testing.T, store *storage.Store, f storagetest.Fixture, u figure.Units, analytes ...chem.Analyte) chart.Figure {
	t.Helper()
	room, err := state.ReadEstimated(t.Context(), store, f.Now, f.Systems[0].ID)
	must(t, err)
	fig, err := figure.Build(t.Context(), store, room, u, f.Zone, figure.Request{
		System: f.Systems[0], Analytes: analytes, From: f.Now.AddDate(0, 0, -10), To: f.Now, Forecast: 96 * time.Hour,
	})
	must(t, err)
	return fig
}

// Values, doubts, band and head are in the unit that is shown, by the density of
// the system's water: fresh-like water of 0.5 PSU weighs 0.9974 kg/L (EOS-80 at
// 25 °C), 1 dKH is 0.35663 meq/L.
func TestShownInTheChosenUnits(t *testing.T) {
	store, f := storagetest.Room(t)
	id := f.Systems[0].ID
	_, err := store.SaveReadings(t.Context(), []tanks.Reading{
		{System: id, Analyte: chem.Salinity, At: f.Now.Add(-time.Hour), Value: 0.5},
		{System: id, Analyte: chem.Calcium, At: f.Now.Add(-time.Hour), Value: 30, Uncertainty: 3},
		{System: id, Analyte: chem.Alkalinity, At: f.Now.Add(-time.Hour), Value: 2.85304, Uncertainty: 0.35663},
		{System: id, Analyte: chem.Alkalinity, At: f.Now.AddDate(0, 0, -20), Value: 2.5},
	})
	must(t, err)
	fig := draw(t, store, f, chosen{}, chem.Calcium, chem.Alkalinity)
	ca, alk := fig.Panels[0], fig.Panels[1]
	near(t, "calcium", ca.Points[0].Value, 30/0.9974, 0.002)
	near(t, "its doubt", ca.Points[0].U, 3/0.9974, 0.001)
	near(t, "alkalinity", alk.Points[0].Value, 8, 1e-3)
	near(t, "its doubt", alk.Points[0].U, 1, 1e-3)
	near(t, "low", alk.Band.Low, 2.5/0.35663, 1e-3)
	near(t, "aim", alk.Band.Aim, 2.9/0.35663, 1e-3)
	near(t, "high", alk.Band.High, 3.2/0.35663, 1e-3)
	if alk.Unit != "dKH" || alk.Decimals != 1 || alk.Name != "Alkalinity" || ca.Unit != "mg/kg" || len(alk.Points) != 1 {
		t.Errorf("%s in %s with %d decimals, %s in %s, %d points", alk.Name, alk.Unit, alk.Decimals, ca.Name, ca.Unit, len(alk.Points))
	}
	if got := fig.Subtitle.String(); got != "28 Feb 2026 to 10 Mar 2026, 92.5 US gal" { // 350 L over 3.7854
		t.Errorf("below the title stands %q", got)
	}
	if want := f.Now.Add(96 * time.Hour); !fig.To.Equal(want) || !fig.Now.Equal(f.Now) || fig.Zone != f.Zone {
		t.Errorf("it ends at %v, now is %v in %v", fig.To, fig.Now, fig.Zone)
	}
}

// A bound, a result of the laboratory and a reading off the course are marked as
// what they are.
func TestMarksOfPoints(t *testing.T) {
	store, f := storagetest.Room(t)
	id := f.Systems[0].ID
	lab := tanks.Method{Name: "A laboratory", Kind: tanks.Lab, Analyte: chem.Nitrate, Unit: chem.MgL, Accuracy: 0.2, Repeatability: 0.1}
	must(t, store.SaveMethod(t.Context(), &lab))
	kit := tanks.Method{Name: "A kit", Kind: tanks.Kit, Analyte: chem.Nitrate, Unit: chem.MgL, Accuracy: 0.2, Repeatability: 0.1}
	must(t, store.SaveMethod(t.Context(), &kit))
	var readings []tanks.Reading
	for n, v := range []float64{5, 5.4, 5.8, 20, 6.6, 7, 7.4, 0.5, 60} {
		r := tanks.Reading{System: id, Analyte: chem.Nitrate, At: f.Now.Add(time.Duration(n-9) * 24 * time.Hour), Value: v, Method: kit.ID}
		switch n {
		case 1:
			r.Method = lab.ID
		case 7:
			r.Limit = tanks.Below
		case 8:
			r.Limit = tanks.Above
		}
		readings = append(readings, r)
	}
	_, err := store.SaveReadings(t.Context(), readings)
	must(t, err)
	points := draw(t, store, f, units{}, chem.Nitrate).Panels[0].Points
	if len(points) != len(readings) {
		t.Fatalf("%d points", len(points))
	}
	for n, p := range points {
		limit := map[int]chart.Limit{7: chart.LimitBelow, 8: chart.LimitAbove}[n]
		if p.Lab != (n == 1) || p.Limit != limit || (p.Outlier != (n == 3) && n != 7) {
			t.Errorf("point %d is %+v", n, p)
		}
	}
}

// The lane of events has what holds: doses that move a shown analyte, water changes
// in per cent, notes; nothing that was withdrawn, and nothing of other days.
func TestEventsOfTheLane(t *testing.T) {
	store, f := storagetest.Room(t)
	ctx, id := t.Context(), f.Systems[0].ID
	day := func(n int) time.Time { return f.Now.AddDate(0, 0, -n) }
	for _, a := range []tanks.Addition{
		{System: id, Product: f.Products["calcium"].ID, At: day(1), Amount: 11},
		{System: id, Product: f.Products["magnesium"].ID, At: day(2), Amount: 12},
		{System: id, Product: f.Products["calcium"].ID, At: day(3), Amount: 13},
		{System: id, Product: f.Products["calcium"].ID, At: day(30), Amount: 14},
	} {
		must(t, store.SaveAddition(ctx, &a))
		if a.Amount == 13 {
			must(t, store.WithdrawAddition(ctx, a.ID, "never given", "TK"))
		}
	}
	for n, share := range []float64{0.15, 0.3} {
		w := tanks.WaterChange{System: id, At: day(n + 1), Share: share, Litres: share * 350}
		must(t, store.SaveWaterChange(ctx, &w))
		if n == 1 {
			must(t, store.WithdrawWaterChange(ctx, w.ID, "never done", "TK"))
		}
	}
	note := tanks.Observation{System: id, At: day(4), Text: "polyps out"}
	must(t, store.SaveObservation(ctx, &note))
	fig := draw(t, store, f, units{}, chem.Calcium)
	if len(fig.Doses) != 1 || fig.Doses[0].Amount != 11 || !fig.Doses[0].At.Equal(day(1)) {
		t.Errorf("the doses are %+v", fig.Doses)
	}
	if len(fig.Changes) != 1 || math.Abs(fig.Changes[0].Percent-15) > 1e-9 {
		t.Errorf("the water changes are %+v", fig.Changes)
	}
	if len(fig.Notes) != 1 || fig.Notes[0].Text != "polyps out" {
		t.Errorf("the notes are %+v", fig.Notes)
	}
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > within {
		t.Errorf("%s is %g, want %g", what, got, want)
	}
}
