package figure_test

import (
	"math"
	"testing"
	"time"

	"weirkeeper/app/chart"
	"weirkeeper/app/figure"
	"weirkeeper/app/state"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// units shows every analyte in its canonical unit.
type units struct{}

func (units) Unit(a chem.Analyte) chem.Unit {
	info, _ := chem.Lookup(a)
	return info.Unit
}

func (units) VolumeUnit() chem.VolumeUnit { return chem.Litre }

func (units) Language() words.Language { return words.English }

// build is the figure of the first system's calcium, read on several days, the
// oldest first, in water of 25 PSU: the band of 400 to 450 at 35 PSU is 286 to 321
// there.
func build(t *testing.T, forecast time.Duration, values ...float64) chart.Panel {
	t.Helper()
	store, f := storagetest.Room(t)
	id := f.Systems[0].ID
	readings := []tanks.Reading{{System: id, Analyte: chem.Salinity, At: f.Now.Add(-time.Hour), Value: 25}}
	for n, v := range values {
		readings = append(readings, tanks.Reading{System: id, Analyte: chem.Calcium, Method: f.Methods[chem.Calcium].ID,
			At: f.Now.AddDate(0, 0, 3*(n+1-len(values))), Value: v})
	}
	if _, err := store.SaveReadings(t.Context(), readings); err != nil {
		t.Fatal(err)
	}
	room, err := state.ReadEstimated(t.Context(), store, f.Now, id)
	if err != nil {
		t.Fatal(err)
	}
	fig, err := figure.Build(t.Context(), store, room, units{}, time.UTC, figure.Request{
		System: f.Systems[0], Analytes: []chem.Analyte{chem.Calcium}, From: f.Now.AddDate(0, 0, -90), To: f.Now, Forecast: forecast,
	})
	if err != nil {
		t.Fatal(err)
	}
	return fig.Panels[0]
}

// Points and head of a chart are judged at the water's salinity, and stand beside
// the band as it holds there.
func TestPointsAreJudgedAtTheSalinity(t *testing.T) {
	p := build(t, 0, 300)
	if p.Points[0].State != chart.StateWithin || p.State != chart.StateWithin || p.Verdict.String() != "within, firm" {
		t.Errorf("300 mg/L is %d as a point, %q in the head", p.Points[0].State, p.Verdict)
	}
	if math.Abs(p.Band.Low-400*25/35.) > 1e-9 || math.Abs(p.Band.High-450*25/35.) > 1e-9 {
		t.Errorf("the band is %+v", *p.Band)
	}
	if p := build(t, 0, 420); p.Points[0].State != chart.StateAbove || p.State != chart.StateAbove {
		t.Errorf("420 mg/L is %d as a point, %q in the head", p.Points[0].State, p.Verdict)
	}
}

// The head of a chart says what the course says, as Room does, not what the newest
// point alone does.
func TestHeadIsTheVerdictOfTheCell(t *testing.T) {
	p := build(t, 0, 300, 302, 299, 301, 300, 299, 302, 326)
	if newest := p.Points[len(p.Points)-1]; newest.State != chart.StateAbove {
		t.Errorf("the newest point is %d", newest.State)
	}
	if p.State != chart.StateWithin {
		t.Errorf("the head says %q", p.Verdict)
	}
	if len(p.Fit) < 2 || len(p.Forecast) != 0 {
		t.Errorf("%d points of the course, %d ahead", len(p.Fit), len(p.Forecast))
	}
}

// The bands of a forecast are those of Student's t: with four readings behind them
// the 80 % band is wider, beside the 50 % band, than that of a normal error (1.282
// to 0.674).
func TestForecastBands(t *testing.T) {
	p := build(t, 14*24*time.Hour, 330, 320, 310, 300)
	if len(p.Forecast) < 2 {
		t.Fatal("there is no forecast")
	}
	end := p.Forecast[len(p.Forecast)-1]
	if ratio := end.Half80 / end.Half50; ratio < 1.282/0.674*1.02 {
		t.Errorf("the bands are %g and %g", end.Half50, end.Half80)
	}
}
