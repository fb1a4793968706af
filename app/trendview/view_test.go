package trendview

import (
	"bytes"
	"testing"
	"time"

	"weirkeeper/app/screentest"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// page is a page that is the view.
type page struct{ *View }

func (page) Visit(session.Route) {}
func (page) Reload()             {}

// drawn is the view of calcium, read every ten days for four hundred.
func drawn(t *testing.T) (*screentest.Screen, *View, storagetest.Fixture) {
	t.Helper()
	store, f := storagetest.Room(t)
	var readings []tanks.Reading
	for n := range 40 {
		readings = append(
			readings,
			tanks.Reading{System: f.Systems[0].ID, Analyte: chem.Calcium, At: f.Now.AddDate(0, 0, -10*n), Value: 420},
		)
	}
	if _, err := store.SaveReadings(t.Context(), readings); err != nil {
		t.Fatal(err)
	}
	var v *View
	s := screentest.Open(t, store, f.Now, func(in *session.Session) screentest.Page {
		v = New(in)
		return page{v}
	})
	v.Ask(f.Systems[0], nil, []chem.Analyte{chem.Calcium, chem.Magnesium})
	s.Drain()
	return s, v, f
}

// The chosen period decides how many readings are drawn: one each ten days, today
// with them.
func TestPeriods(t *testing.T) {
	s, v, f := drawn(t)
	for _, c := range []struct {
		name   string
		points int
	}{{"30 days", 4}, {"6 months", 19}, {"Everything", 40}, {"90 days", 10}} {
		if !v.periods.Pick(c.name) {
			t.Fatalf("no period %s", c.name)
		}
		s.Drain()
		if got := len(v.figure.Panels[0].Points); got != c.points {
			t.Errorf("%s: %d points, want %d", c.name, got, c.points)
		}
		if want := f.Now.Add(forecastTime); !v.figure.To.Equal(want) || len(s.Said) > 0 {
			t.Errorf("%s: drawn to %v, said %v", c.name, v.figure.To, s.Said)
		}
	}
}

// A point says its value in the unit shown, and when it was read.
func TestPointsAreNamed(t *testing.T) {
	_, v, f := drawn(t)
	picture := Picture{v.figure, func(at time.Time) string { return at.UTC().Format("2 Jan") }}
	l := picture.layout(widgets.Frame{From: v.figure.From, To: v.figure.To, W: 800, H: 400, Scale: 1})
	spot := picture.spot(l, 0, 0)
	want := []string{"Calcium 420 mg/L", f.Now.AddDate(0, 0, -90).Format("2 Jan")}
	if len(spot.Lines) != 2 || spot.Lines[0] != want[0] || spot.Lines[1] != want[1] {
		t.Errorf("the first point says %q, want %q", spot.Lines, want)
	}
	if spot = picture.spot(l, 0, 99); spot.Lines != nil {
		t.Errorf("a point that is none says %q", spot.Lines)
	}
}

func TestPicturesForPaper(t *testing.T) {
	_, v, f := drawn(t)
	for kind, begins := range map[string]string{"svg": "<?xml", "pdf": "%PDF-", "png": "\x89PNG"} {
		var out bytes.Buffer
		if err := write(&out, kind, v.figure, f.Now); err != nil || !bytes.HasPrefix(out.Bytes(), []byte(begins)) {
			t.Errorf("%s: %v, begins with %q", kind, err, out.Bytes()[:min(8, out.Len())])
		}
	}
}

func TestNothingToSave(t *testing.T) {
	s, v, f := drawn(t)
	v.analytes.Tick()
	s.Drain()
	s.Press("Save as PNG")
	if s.LastSaid().Title != "Nothing to save" || s.Asked() {
		t.Errorf("said %+v, asked %v", s.LastSaid(), s.Asked())
	}
	v.Ask(f.Systems[1], nil, nil) // a system without values
	s.Drain()
	if len(v.figure.Panels) != 0 || len(s.Said) != 1 {
		t.Errorf("%d panels, said %v", len(v.figure.Panels), s.Said)
	}
}

func TestUsual(t *testing.T) {
	for name, c := range map[string]struct{ offered, want []chem.Analyte }{
		"of many":       {[]chem.Analyte{chem.Temperature, chem.Nitrate, chem.Calcium, chem.Alkalinity}, []chem.Analyte{chem.Alkalinity, chem.Calcium}},
		"of others":     {[]chem.Analyte{chem.Iodine, chem.Iron}, []chem.Analyte{chem.Iodine}},
		"of none":       {nil, nil},
		"of fresh ones": {[]chem.Analyte{chem.Conductivity, chem.Nitrate}, []chem.Analyte{chem.Nitrate, chem.Conductivity}},
	} {
		got := usual(c.offered)
		if len(got) != len(c.want) {
			t.Errorf("%s: %v", name, got)
			continue
		}
		for i := range got {
			if got[i] != c.want[i] {
				t.Errorf("%s: %v, want %v", name, got, c.want)
			}
		}
	}
}
