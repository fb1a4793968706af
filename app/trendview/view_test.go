package trendview

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/apptest"
	"weirkeeper/app/chart"
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

// A bound has its sign before it, and a reading that the fit leaves out is said to
// be one.
func TestBoundsAndOutliersAreNamed(t *testing.T) {
	at := storagetest.Now
	on := chart.Panel{Name: "Nitrate", Unit: "mg/L", Decimals: 1, Points: []chart.Point{
		{At: at.Add(-3 * time.Hour), Value: 0.5, Limit: chart.LimitBelow}, {At: at.Add(-2 * time.Hour), Value: 100,
			Limit: chart.LimitAbove},
		{At: at.Add(-time.Hour), Value: 12, Outlier: true},
	}}
	picture := Picture{chart.Figure{From: at.Add(-4 * time.Hour), To: at, Panels: []chart.Panel{on}},
		func(time.Time) string { return "then" }}
	l := picture.layout(widgets.Frame{From: picture.Figure.From, To: at, W: 800, H: 400, Scale: 1})
	for n, want := range [][]string{
		{"Nitrate <0.5 mg/L", "then"}, {"Nitrate >100.0 mg/L", "then"}, {"Nitrate 12.0 mg/L", "then",
			"off the fit: not counted in the uptake"},
	} {
		if got := picture.spot(l, 0, n).Lines; !slices.Equal(got, want) {
			t.Errorf("point %d says %q, want %q", n, got, want)
		}
	}
}

// Another system shows the ticked analytes that it has, else its usual ones; the
// same one keeps an empty choice. A view that was asked nothing reads nothing.
func TestAsk(t *testing.T) {
	s, v, f := drawn(t)
	s.FailReads(errors.New("the disk is gone"))
	fresh := New(s.Session)
	fresh.periods.Pick("30 days")
	s.Drain()
	if len(s.Said) != 0 {
		t.Errorf("asked nothing it says %+v", s.Said)
	}
	s.FailReads(nil)
	v.Ask(f.Systems[0], nil, []chem.Analyte{chem.Calcium, chem.Magnesium})
	if got := v.request.Analytes; !slices.Equal(got, []chem.Analyte{chem.Calcium}) {
		t.Errorf("again it draws %v", got)
	}
	v.Ask(f.Systems[1], nil, []chem.Analyte{chem.Magnesium, chem.Nitrate})
	if got := v.request.Analytes; !slices.Equal(got, []chem.Analyte{chem.Nitrate}) {
		t.Errorf("of a system without what is ticked it draws %v", got)
	}
	v.analytes.Tick()
	v.chose()
	v.Ask(f.Systems[1], nil, []chem.Analyte{chem.Magnesium, chem.Nitrate})
	if got := v.request.Analytes; len(got) != 0 {
		t.Errorf("with nothing ticked it draws %v", got)
	}
}

// Everything begins with the day on which the system was opened, and with ten years
// where that is not known.
func TestEverything(t *testing.T) {
	s, v, f := drawn(t)
	v.periods.Pick("Everything")
	s.Drain()
	if !v.figure.From.Equal(f.Systems[0].Opened) {
		t.Errorf("it begins %v, the system was opened %v", v.figure.From, f.Systems[0].Opened)
	}
	unknown := f.Systems[0]
	unknown.Opened = time.Time{}
	v.Ask(unknown, nil, []chem.Analyte{chem.Calcium})
	s.Drain()
	if want := f.Now.AddDate(-10, 0, 0); !v.figure.From.Equal(want) {
		t.Errorf("it begins %v, want %v", v.figure.From, want)
	}
	if v.figure.Zone != s.Session.Zone {
		t.Errorf("it is in the zone %v", v.figure.Zone)
	}
}

// The file is named after the system and the day in the room's zone, and holds the
// stretch of time that is shown.
func TestSavedPicture(t *testing.T) {
	s, v, _ := drawn(t)
	home := t.TempDir()
	t.Setenv("HOME", home)
	late := time.Date(2026, 3, 10, 23, 30, 0, 0, time.UTC) // after midnight in Paris
	s.Session.Clock = func() time.Time { return late }
	v.chart.TypedRune('+')
	shown := v.figure
	shown.From, shown.To = v.chart.Stretch()
	if !shown.To.Before(v.figure.To) {
		t.Fatal("it is not nearer")
	}
	for _, kind := range []string{"svg", "pdf", "png"} {
		s.Press("Save as " + strings.ToUpper(kind))
		apptest.Find(t, apptest.Top(s.Canvas()), func(b *widget.Button) bool { return b.Text == "Save" }).OnTapped()
		s.Drain()
		got, err := os.ReadFile(filepath.Join(home, "F1-trend-2026-03-11."+kind))
		if err != nil {
			t.Fatal(err)
		}
		var want bytes.Buffer
		if err := write(&want, kind, shown, s.Session.Now()); err != nil || !bytes.Equal(got, want.Bytes()) {
			t.Errorf("%s: %v, %d bytes are not the %d of what is shown", kind, err, len(got), want.Len())
		}
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
		"of many": {[]chem.Analyte{chem.Temperature, chem.Nitrate, chem.Calcium, chem.Alkalinity},
			[]chem.Analyte{chem.Alkalinity, chem.Calcium}},
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

// The values of an analyte of a newer version of the program are drawn, and said to be
// that.
func TestNewerAnalyteIsDrawn(t *testing.T) {
	s, v, f := drawn(t)
	storagetest.AddNewer(t, s.Store.Path(), f.Now)
	v.Ask(f.Systems[0], []chem.Analyte{storagetest.NewerAnalyte}, []chem.Analyte{chem.Calcium, storagetest.NewerAnalyte})
	s.Drain()
	panels := v.figure.Panels
	if len(panels) != 1 || panels[0].Name.String() != "analyte 210, of a newer version" || len(panels[0].Points) != 6 ||
		panels[0].Points[0].Value != 4.5 {
		t.Errorf("drawn is %+v, said %v", panels, s.Said)
	}
}
