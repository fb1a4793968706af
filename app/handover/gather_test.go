package handover

import (
	"testing"
	"time"

	"weirkeeper/app/prefs"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// What a history holds is of its system and its days, in the person's units and
// the room's zone; what was amended is of the whole record.
func TestGather(t *testing.T) {
	store, f := storagetest.Room(t)
	ctx, system := t.Context(), f.Systems[1]
	day := func(n int) time.Time { return f.Now.AddDate(0, 0, -n) }
	var readings []tanks.Reading
	for _, days := range []int{60, 20, 10} {
		for _, a := range []chem.Analyte{chem.Calcium, chem.Phosphate} { // phosphate has no band
			readings = append(readings, tanks.Reading{System: system.ID, Analyte: a, At: day(days), Value: 1.5, Unit: chem.MgL,
				Typed: "1.5"})
		}
	}
	readings = append(readings, tanks.Reading{System: f.Systems[0].ID, Analyte: chem.Calcium, At: day(15), Value: 420, Unit: chem.MgL,
		Typed: "420"})
	ids, err := store.SaveReadings(ctx, readings)
	must(t, err)
	must(t, store.WithdrawReading(ctx, ids[0], "wrong tank", "TK"))          // before the period
	must(t, store.WithdrawReading(ctx, ids[len(ids)-1], "wrong tank", "TK")) // of the other system
	for _, s := range []tanks.Sample{
		{System: system.ID, Code: "within", Drawn: day(20)}, {System: system.ID, Code: "first day", Drawn: day(30)},
		{System: system.ID, Code: "before", Drawn: day(31)}, {System: system.ID, Code: "after", Drawn: day(4)},
		{System: f.Systems[0].ID, Code: "another's", Drawn: day(20)},
	} {
		must(t, store.SaveSample(ctx, &s))
	}
	p := prefs.Preferences{Volume: chem.USGallon, Alkalinity: chem.CaCO3}
	var told []float64
	h, err := gather(ctx, store, asked{
		room: tanks.Room{Name: "Test room"}, system: system, from: day(30), to: day(5), made: f.Now, zone: f.Zone, prefs: p, language: words.English,
	}, func(share float64) { told = append(told, share) })
	must(t, err)

	if len(h.Readings) != 4 || h.Readings[0].System != system.ID {
		t.Errorf("%d readings: %+v", len(h.Readings), h.Readings)
	}
	codes := ""
	for _, s := range h.Samples {
		codes += s.Code + ";"
	}
	if codes != "first day;within;" && codes != "within;first day;" {
		t.Errorf("the samples are %s", codes)
	}
	if len(h.Amendments) != 1 || h.Amendments[0].ID != int64(ids[0]) {
		t.Errorf("the amendments are %+v", h.Amendments)
	}
	if h.Volume != chem.USGallon || h.Units[chem.Alkalinity] != chem.CaCO3 || h.Zone != f.Zone || h.Room.Name != "Test room" ||
		!h.Made.Equal(f.Now) {
		t.Errorf("in %v and %v, zone %v, room %q, made %v", h.Volume, h.Units[chem.Alkalinity], h.Zone, h.Room.Name, h.Made)
	}
	if len(h.Products) != len(f.Products) || len(h.Bands) == 0 || h.Judge(readings[0]).Word != tanks.BelowBand {
		t.Errorf("%d products, %d bands", len(h.Products), len(h.Bands))
	}
	if len(h.Figures) != 1 || h.Figures[0].Panels[0].Name != "Calcium" || !h.Figures[0].From.Equal(day(30)) ||
		len(h.Figures[0].Panels[0].Points) != 2 {
		t.Errorf("the figures are %+v", h.Figures)
	}
	if len(told) != 2 || told[0] != shareRecord || told[1] != 1 {
		t.Errorf("it told %v", told)
	}
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}
