package csvread_test

import (
	"math"
	"strings"
	"testing"

	"weirkeeper/chem"
	"weirkeeper/storage/csvread"
	"weirkeeper/tanks"
)

// shed is a room at 1500 m (0.8345 atm by ISO 2533:1975) with a fresh, a brackish and a
// marine system; of the fresh one a temperature of the morning is known.
var shed = csvread.Room{
	Itself: tanks.Room{Name: "Shed", Height: tanks.HeightOf(1500)},
	Systems: []tanks.System{
		{ID: 1, Code: "W1", Name: "Planted", Kind: tanks.Freshwater}, {ID: 2, Code: "B1", Name: "Mangroves", Kind: tanks.Brackish},
		{ID: 3, Code: "M1", Name: "Reef", Kind: tanks.Marine},
	},
	Latest: []tanks.Reading{
		{System: 1, Analyte: chem.Temperature, Value: 20, At: noon.AddDate(0, 0, -1)},
		{System: 2, Analyte: chem.Salinity, Value: 12}, {System: 3, Analyte: chem.Salinity, Value: 35},
	},
}

// Oxygen in % is read by the temperature of its line, else by the one before it in the
// file or the newest of the ledger, within a day of it. Full at 20 °C are 9.092, 8.471
// and 7.396 mg/L (APHA Standard Methods, table 4500-O:I, and Benson and Krause 1984 for
// 12 and 35 PSU), times 0.8307 by the pressure factor of 4500-O.
func TestOxygenInPercent(t *testing.T) {
	wide := csvread.ColumnMap{Columns: []csvread.MapColumn{
		{Heading: "time", Role: csvread.RoleTime}, {Heading: "system", Role: csvread.RoleSystem},
		{Heading: "O2", Role: csvread.RoleReading, Analyte: "oxygen", Unit: chem.Saturation},
		{Heading: "Temperature", Role: csvread.RoleReading, Analyte: "temperature", Unit: chem.Celsius},
	}}
	for name, c := range map[string]struct {
		file string
		want map[tanks.SystemID]float64 // mg/L that 100 % are
		says string
	}{
		"lines": {"time,system,analyte,value,unit\n2026-03-09 18:00,W1,O2,80,%\n2026-03-09 18:00,B1,Temp,20,°C\n" +
			"2026-03-09 18:00,B1,O2,80 %,\n2026-03-10 09:00,M1,Temperature,20,C\n2026-03-10 10:00,M1,oxygen,80,% saturation\n",
			map[tanks.SystemID]float64{1: 9.092, 2: 8.471, 3: 7.396}, ""},
		"a column for each": {"time,system,O2,Temperature\n2026-03-10 09:00,W1,80,20\n2026-03-10 09:00,M1,80,20\n",
			map[tanks.SystemID]float64{1: 9.092, 3: 7.396}, ""},
		"of a day that is too long ago": {"time,system,analyte,value,unit\n2026-03-06 18:00,W1,O2,80,%\n", nil,
			"oxygen in % of saturation needs the water's temperature"},
		"no temperature": {"time,system,analyte,value,unit\n2026-03-09 18:00,M1,O2,80,%\n", nil,
			"oxygen in % of saturation needs the water's temperature"},
		"behind it": {"time,system,analyte,value,unit\n2026-03-10 09:00,M1,O2,80,%\n2026-03-10 09:00,M1,Temp,20,°C\n", nil,
			"oxygen in % of saturation needs the water's temperature"},
	} {
		t.Run(name, func(t *testing.T) {
			m := csvread.ColumnMap{}
			if strings.Contains(c.file, "O2,Temperature") {
				m = wide
			}
			file, err := csvread.Open(t.Context(), strings.NewReader(c.file), csvread.Options{Now: noon, Map: m}, shed)
			if err != nil {
				t.Fatal(err)
			}
			var all []csvread.Reading
			for err == nil {
				all, err = file.Next(all)
			}
			found := 0
			for _, r := range all {
				if r.Analyte != chem.Oxygen {
					continue
				}
				found++
				if want := 0.8 * 0.8307 * c.want[r.System]; math.Abs(r.Value-want) > 0.01 || r.Unit != chem.Saturation {
					t.Errorf("%+v, want %g", r.Reading, want)
				}
			}
			if found != len(c.want) {
				t.Errorf("%d values of oxygen, faults %+v", found, file.Faults)
			}
			if c.says != "" && (len(file.Faults) == 0 || !strings.Contains(file.Faults[0].Problem.String(), c.says) ||
				!strings.Contains(file.Faults[0].Remedy.String(), "give the value in mg/L")) {
				t.Errorf("it says %+v", file.Faults)
			}
		})
	}
}
