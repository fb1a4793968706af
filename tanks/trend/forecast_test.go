package trend

import (
	"math"
	"testing"
	"time"

	"weirkeeper/tanks"
)

const dayLong = 24 * time.Hour

func TestForecast(t *testing.T) {
	rec := exact(430, 2, Record{}, 3, 0, 5, 10, 15)
	rec.Swaps = []Swap{{day(18.5), 0.5, 440}} // after the last reading
	f := mustFit(t, rec, Options{})
	planned := []Step{{day(19.5), 6}, {day(17.5), 10}}
	path := f.Forecast(day(16), day(20), 5, planned)
	// 398 − 2 a day; +10 at 17.5; half of 403 and 440 at 18.5; +6 at 19.5.
	for i, want := range []float64{398, 396, 404, 420.5, 424.5} {
		near(t, "value", path[i].Value, want, 1e-6)
		if !path[i].At.Equal(day(16 + float64(i))) {
			t.Errorf("point %d at %v", i, path[i].At)
		}
	}
	_, se := f.At(day(20))
	near(t, "se", path[4].SE, se, 0)
	if path[1].SE <= path[0].SE || path[3].SE >= path[2].SE {
		t.Errorf("the band must widen with time and shrink with new water: %v", path)
	}
	if planned[0].Change != 6 {
		t.Error("the planned steps were reordered in place")
	}
}

func TestForecastEdges(t *testing.T) {
	f := mustFit(t, exact(20, 2, Record{}, 0.2, 0, 2, 4, 6), Options{})
	path := f.Forecast(day(8), day(16), 1, nil)
	if len(path) != 2 || path[1].Value != 0 {
		t.Errorf("a level falls to %v", path)
	}
	if f.Forecast(day(8), day(8), 5, nil) != nil || (Fit{}).Forecast(day(1), day(2), 5, nil) != nil {
		t.Error("no span or no fit must give no path")
	}
	before, _ := f.At(day(-1))
	near(t, "the day before the first reading", before, 22, 1e-9)
}

func TestLeaves(t *testing.T) {
	falling := exact(430, 2, Record{}, 3, 0, 5, 10, 15) // 398 on day 16
	rising := exact(400, -2, Record{}, 3, 0, 5, 10, 15) // 432 on day 16
	dosed := exact(430, 2, Record{}, 3, 0, 5, 10, 15)
	dosed.Steps = []Step{{day(17), 8}}
	spiked := exact(430, 2, Record{}, 3, 0, 5, 10, 15)
	spiked.Steps = []Step{{day(17), 80}}
	band := tanks.Band{Low: 390, Aim: 420, High: 450}
	for _, c := range []struct {
		name string
		rec  Record
		band tanks.Band
		from float64
		at   float64
		side tanks.Word
	}{
		{"falls out", falling, band, 16, 20, tanks.BelowBand},
		{"rises out", rising, band, 16, 25, tanks.AboveBand},
		{"a dose to come puts it off", dosed, band, 16, 24, tanks.BelowBand},
		{"a dose to come drives it out", spiked, band, 16, 17, tanks.AboveBand},
		{"below from the start", falling, tanks.Band{Low: 400, High: 450}, 16, 16, tanks.BelowBand},
		{"above from the start", rising, tanks.Band{Low: 400, High: 430}, 16, 16, tanks.AboveBand},
		{"beyond the horizon", falling, tanks.Band{Low: 300, High: 450}, 16, 0, tanks.NoVerdict},
		{"no edges", falling, tanks.Band{}, 16, 0, tanks.NoVerdict},
	} {
		t.Run(c.name, func(t *testing.T) {
			at, side, ok := mustFit(t, c.rec, Options{}).Leaves(c.band, day(c.from), 30*dayLong)
			if side != c.side || ok != (c.side != tanks.NoVerdict) {
				t.Fatalf("leaves to %v, %v", side, ok)
			}
			if ok && at.Sub(day(c.at)).Abs() > time.Second {
				t.Errorf("leaves at %v, want %v", at, day(c.at))
			}
		})
	}
	if _, _, ok := (Fit{}).Leaves(band, day(1), dayLong); ok {
		t.Error("a failed fit leaves a band")
	}
}

func TestPooledScatter(t *testing.T) {
	sd, df := PooledScatter([]Fit{{Residual: 3, ResidualDF: 4}, {Residual: 5, ResidualDF: 12}, {Residual: 99}})
	near(t, "sd", sd, math.Sqrt((4*9+12*25)/16.0), 1e-12)
	near(t, "df", df, 16, 0)
	if sd, df = PooledScatter(nil); sd != 0 || df != 0 {
		t.Errorf("nothing gives %g, %g", sd, df)
	}
}

func TestCalcificationRatio(t *testing.T) {
	ca := Fit{Uptake: 4.008, UptakeSE: 0.4}
	ratio, se, ok := CalcificationRatio(ca, Fit{Uptake: 0.2, UptakeSE: 0.01, DF: 8})
	near(t, "ratio", ratio, Calcification, 1e-9)
	near(t, "se", se, 20.04*math.Hypot(0.4/4.008, 0.05), 1e-9)
	if !ok {
		t.Error("an uptake of 0.2 ± 0.01 is clear of zero")
	}
	if _, _, ok = CalcificationRatio(ca, Fit{Uptake: 0.02, UptakeSE: 0.01, DF: 8}); ok {
		t.Error("an uptake of 0.02 ± 0.01 with 8 degrees of freedom is not clear of zero")
	}
}
