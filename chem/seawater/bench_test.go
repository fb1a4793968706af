package seawater

import "testing"

// sink keeps results from being optimised away.
var sink float64

// The goals: a solve from alkalinity and pH within 1 µs, from alkalinity and
// carbon within 5 µs, salinity and density within 100 ns, none allocating.
func BenchmarkCO2(b *testing.B) {
	c := Conditions{Salinity: 35, Temperature: 25}
	nutrients := Conditions{Salinity: 35, Temperature: 25, Phosphate: 1, Silicate: 5}
	for _, bench := range []struct {
		name  string
		solve func() (CO2System, error)
	}{
		{"alkalinity and pH", func() (CO2System, error) { return c.FromPH(2800, 8.2, NBSScale) }},
		{"alkalinity and pH with nutrients", func() (CO2System, error) { return nutrients.FromPH(2800, 8.2, NBSScale) }},
		{"alkalinity and carbon", func() (CO2System, error) { return c.FromDIC(2800, 2400) }},
		{"alkalinity and pCO2", func() (CO2System, error) { return c.FromPCO2(2800, 420) }},
	} {
		b.Run(bench.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				s, err := bench.solve()
				if err != nil {
					b.Fatal(err)
				}
				sink += s.PH
			}
		})
	}
}

func BenchmarkScalars(b *testing.B) {
	for _, bench := range []struct {
		name string
		call func() (float64, error)
	}{
		{"salinity from conductivity", func() (float64, error) { return SalinityFromConductivity(50, 22) }},
		{"salinity from conductivity, below 2", func() (float64, error) { return SalinityFromConductivity(1, 22) }},
		{"conductivity from salinity", func() (float64, error) { return ConductivityFromSalinity(35, 22) }},
		{"conductivity from salinity, below 2", func() (float64, error) { return ConductivityFromSalinity(1, 22) }},
		{"density", func() (float64, error) { return Density(35, 22) }},
		{"salinity from gravity", func() (float64, error) { return SalinityFromGravity(1.026, Ref25C) }},
		{"salinity from a hydrometer", func() (float64, error) { return SalinityFromHydrometer(1.025, 22, Ref25C) }},
		{"salinity from refraction", func() (float64, error) { return SalinityFromRefractometer(34, 25, 20) }},
		{"oxygen", func() (float64, error) { return OxygenSolubility(35, 25, 1) }},
		{"ammonia", func() (float64, error) {
			share, _, err := Water{Salinity: 35, Temperature: 25}.UnionizedAmmonia(8, TotalScale)
			return share, err
		}},
	} {
		b.Run(bench.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				v, err := bench.call()
				if err != nil {
					b.Fatal(err)
				}
				sink += v
			}
		})
	}
}

// Any water, from alkalinity and pH: within 1 µs in the sea, 5 µs with measured ions.
func BenchmarkWater(b *testing.B) {
	hard := hardWater()
	bridged := hard
	bridged.Salinity = 3
	for _, bench := range []struct {
		name string
		w    Water
	}{{"sea", Water{Salinity: 35, Temperature: 25}}, {"fresh", Water{Salinity: 0.3, Temperature: 25}}, {"fresh with measured ions", hard},
		{"bridge with measured ions", bridged}, {"brackish", Water{Salinity: 12, Temperature: 25}}} {
		b.Run(bench.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				s, doubt, err := bench.w.FromPH(2800, 7.8, NBSScale)
				if err != nil {
					b.Fatal(err)
				}
				sink += s.PH + doubt.PCO2
			}
		})
	}
}
