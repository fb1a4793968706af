package testsheet_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// Units of the trade, typed behind the number on a fresh, a brackish and a marine
// system. By hand: an English degree is 14.254 mg/L CaCO3 (64.79891 mg in 4.54609 L), a
// French 10, a grain in a US gallon 17.118 mg/L; CaCO3 is 100.087 g/mol, NH4 18.039, N
// 14.007, SiO2 60.084, Si 28.086; O2 is 31.998 g/mol and 22.3916 L/mol.
func TestUnitsOfTheTradeOnAllWaters(t *testing.T) {
	for _, c := range []struct {
		analyte chem.Analyte
		typed   string
		unit    chem.Unit
		want    float64
	}{
		{chem.Ammonia, "0.5 mg/L NH3-N", chem.NH3N, 0.5 * 18.039 / 14.007},
		{chem.Ammonia, "0,5 ppm NH3-N", chem.NH3N, 0.5 * 18.039 / 14.007},
		{chem.Ammonia, "0.5 NH4-N", chem.NH4N, 0.5 * 18.039 / 14.007},
		{chem.Ammonia, "0.5 mg/L NH4", chem.MgL, 0.5},
		{chem.Copper, "850 ng/L", chem.NgL, 0.85},
		{chem.Silicate, "100 µg/L Si", chem.UgSi, 0.1 * 60.084 / 28.086},
		{chem.Silicate, "100 ug/l Si", chem.UgSi, 0.1 * 60.084 / 28.086},
		{chem.Hardness, "10 °e", chem.Clark, 142.54 / 100.087},
		{chem.Hardness, "18 °fH", chem.FrenchDegree, 180 / 100.087},
		{chem.Hardness, "18 fh", chem.FrenchDegree, 180 / 100.087},
		{chem.Hardness, "120 ppm CaCO3", chem.CaCO3, 120 / 100.087},
		{chem.Hardness, "7 gpg", chem.GrainGallon, 7 * 17.118 / 100.087},
		{chem.Alkalinity, "8 °e", chem.Clark, 8 * 14.254 * 2 / 100.087},
		{chem.Alkalinity, "14 °fH", chem.FrenchDegree, 280 / 100.087},
		{chem.Alkalinity, "140 ppm", chem.CaCO3, 280 / 100.087},
		{chem.Alkalinity, "6 gpg", chem.GrainGallon, 6 * 17.118 * 2 / 100.087},
		{chem.Oxygen, "5.6 mL/L", chem.MlL, 5.6 * 31.998 / 22.3916},
		{chem.Oxygen, "5.6 ml/l", chem.MlL, 5.6 * 31.998 / 22.3916},
	} {
		store, systems := unscheduled(t)
		now := time.Date(2026, 3, 10, 8, 0, 0, 0, time.UTC)
		r := open(t, store, now, cell(systems["W1"], c.analyte), cell(systems["B1"], c.analyte), cell(systems["M1"], c.analyte))
		r.enter(c.typed, c.typed, c.typed)
		r.keepSurprises()
		r.save()
		for code, s := range systems {
			all, err := store.ReadingsOf(t.Context(), s.ID, time.Time{}, time.Time{})
			if err != nil || len(all) != 1 {
				t.Fatalf("%s on %s: %d readings, %v, said %+v", c.typed, code, len(all), err, r.Said)
			}
			if got := all[0]; math.Abs(got.Value-c.want) > 2e-4*c.want || got.Unit != c.unit || got.Typed != c.typed {
				t.Errorf("%s on %s is kept as %+v, want %g", c.typed, code, got, c.want)
			}
		}
	}
}

// Oxygen in % is of what air gives at the temperature and salinity of the same sheet, at
// the room's height; until they are typed the sheet says what is missing. APHA Standard
// Methods, table 4500-O:I: 9.092 mg/L at 20 °C in fresh water; at 1500 m (0.8345 atm,
// ISO 2533:1975) times 0.8307 by its pressure factor.
func TestOxygenInPercentOnAllWaters(t *testing.T) {
	for _, height := range []tanks.Height{{}, tanks.HeightOf(1500)} {
		factor := 1.0
		store, systems := unscheduled(t)
		if m, _ := height.Metres(); m > 0 {
			factor = 0.8307
			room, err := store.Room(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			room.Height = height
			if err := store.SaveRoom(t.Context(), room); err != nil {
				t.Fatal(err)
			}
		}
		now := time.Date(2026, 3, 10, 8, 0, 0, 0, time.UTC)
		oxygen := []tanks.Cell{cell(systems["W1"], chem.Oxygen), cell(systems["B1"], chem.Oxygen), cell(systems["M1"], chem.Oxygen)}
		r := open(t, store, now, oxygen...)
		r.enter("98 %", "98 %", "98%")
		r.save()
		if said := r.LastSaid(); !strings.Contains(said.Text+r.Seen(), "oxygen in % of saturation needs the water's temperature") ||
			len(typed(t, store)) != 0 {
			t.Fatalf("without a temperature: said %+v\n%s", said, r.Seen())
		}
		cells := oxygen
		for _, s := range systems {
			cells = append(cells, cell(s, chem.Temperature))
			if s.Kind != tanks.Freshwater {
				cells = append(cells, cell(s, chem.Salinity))
			}
		}
		r = open(t, store, now, cells...)
		r.enter("20", "20", "20", "12", "35")
		r.keepSurprises()
		r.save()
		// Saturation at 20 °C and 0, 12 and 35 PSU: 9.092 of the table; the others by the
		// equation of Benson and Krause 1984, as Standard Methods has it, by hand.
		for code, full := range map[string]float64{"W1": 9.092, "B1": 8.471, "M1": 7.396} {
			all, err := store.Series(t.Context(), systems[code].ID, chem.Oxygen, time.Time{}, time.Time{})
			if err != nil || len(all) != 1 {
				t.Fatalf("%s: %d readings, %v, said %+v\n%s", code, len(all), err, r.Said, r.Seen())
			}
			if got := all[0]; math.Abs(got.Value-0.98*full*factor) > 0.02 || got.Unit != chem.Saturation ||
				strings.ReplaceAll(got.Typed, " ", "") != "98%" {
				t.Errorf("%s at %v: kept %+v, want %g", code, height, got, 0.98*full*factor)
			}
		}
	}
}

// A temperature of the day before counts, one of two days before does not.
func TestOxygenByTheLastTemperature(t *testing.T) {
	store, systems := unscheduled(t)
	now := time.Date(2026, 3, 10, 8, 0, 0, 0, time.UTC)
	w := systems["W1"]
	save := func(at time.Time) {
		t.Helper()
		one := tanks.Reading{System: w.ID, Analyte: chem.Temperature, At: at, Value: 20, Typed: "20", Unit: chem.Celsius}
		if _, err := store.SaveReadings(t.Context(), []tanks.Reading{one}); err != nil {
			t.Fatal(err)
		}
	}
	save(now.Add(-25 * time.Hour))
	r := open(t, store, now, cell(w, chem.Oxygen))
	r.enter("90 %")
	r.save()
	if len(typed(t, store)) != 1 {
		t.Fatal("a temperature of two days ago counts")
	}
	save(now.Add(-23 * time.Hour))
	r.Drain()
	r.page.Reload()
	r.Drain()
	r.save()
	all, err := store.Series(t.Context(), w.ID, chem.Oxygen, time.Time{}, time.Time{})
	if err != nil || len(all) != 1 || math.Abs(all[0].Value-0.9*9.092) > 0.003 {
		t.Errorf("kept %+v, %v, said %+v\n%s", all, err, r.Said, r.Seen())
	}
}
