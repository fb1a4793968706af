package seawater

import (
	"encoding/csv"
	"errors"
	"math"
	"os"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

func readTable(t *testing.T, file string) []map[string]string {
	t.Helper()
	f, err := os.Open("testdata/" + file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	all, err := r.ReadAll()
	if err != nil {
		t.Fatalf("reading %s: %v", file, err)
	}
	var rows []map[string]string
	for _, line := range all[1:] {
		row := map[string]string{}
		for i, name := range all[0] {
			row[name] = line[i]
		}
		rows = append(rows, row)
	}
	return rows
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func want(t *testing.T, what string, got float64, err error, expected, tolerance float64) {
	t.Helper()
	if err != nil || !(math.Abs(got-expected) <= tolerance) {
		t.Errorf("%s is %.12g, %v, want %.12g", what, got, err, expected)
	}
}

// Fofonoff and Millard 1983, UNESCO Technical Papers in Marine Science 44: the
// check values at one atmosphere, to every published digit.
func TestUnesco1983(t *testing.T) {
	checked := 0
	for _, row := range readTable(t, "unesco1983_checkvalues.csv") {
		if row["p_dbar"] != "0" {
			continue
		}
		checked++
		published := number(t, row["published"])
		t90 := number(t, row["T68_C"]) / t68
		if row["quantity"] == "EOS-80 density" {
			got, err := Density(number(t, row["S"]), t90)
			want(t, "density", got, err, published, 5.1e-6)
			continue
		}
		got, err := SalinityFromConductivity(number(t, row["R"])*standardConductivity, t90)
		want(t, "salinity", got, err, published, 5e-7)
	}
	if checked != 5 {
		t.Errorf("%d check values at one atmosphere, want 5", checked)
	}
}

// salinity_conductivity.csv: PSS-78, and GSW-Python 3.6.16 with the extension
// of Hill et al. 1986 below 2.
func TestSalinityTable(t *testing.T) {
	for _, row := range readTable(t, "salinity_conductivity.csv") {
		t90, c := number(t, row["T90_C"]), number(t, row["C_mScm"])
		s, err := SalinityFromConductivity(c, t90)
		want(t, "salinity", s, err, number(t, row["SP_gsw"]), 1e-8)
		back, err := ConductivityFromSalinity(s, t90)
		want(t, "conductivity", back, err, c, 1e-9)
		if s < lowSalinity {
			want(t, "plain salinity", s, nil, number(t, row["SP_PSS78"]), 5e-3)
			continue
		}
		at25, err := ConductivityFromSalinity(s, 25)
		want(t, "conductivity at 25 °C", at25, err, number(t, row["C25_mScm"]), 1e-7)
	}
}

// density_sg.csv: EOS-80 and the specific gravities of the same equation.
func TestDensityTable(t *testing.T) {
	for _, row := range readTable(t, "density_sg.csv") {
		s := number(t, row["S"])
		rho, err := Density(s, number(t, row["T90_C"]))
		want(t, "density", rho, err, number(t, row["rho_EOS80"]), 1e-6)
		for column, ref := range map[string]RefTemp{"SG_60F_60F_EOS80": Ref60F, "SG_20_20_EOS80": Ref20C, "SG_25_25_EOS80": Ref25C} {
			sg, err := GravityFromSalinity(s, ref)
			want(t, column, sg, err, number(t, row[column]), 1e-9)
			back, err := SalinityFromGravity(number(t, row[column]), ref)
			want(t, "salinity from "+column, back, err, s, 2e-6)
		}
	}
}

func TestEdges(t *testing.T) {
	s, err := SalinityFromConductivity(0, 25)
	want(t, "salinity of no conductivity", s, err, 0, 1e-15)
	c, err := ConductivityFromSalinity(0, 25)
	want(t, "conductivity of pure water", c, err, 0, 0)
	top, err := ConductivityFromSalinity(MaxSalinity, 25)
	if err != nil {
		t.Fatal(err)
	}
	s, err = SalinityFromConductivity(top, 25)
	want(t, "the highest salinity", s, err, MaxSalinity, 1e-9)
	sg, err := GravityFromSalinity(0, Ref20C)
	want(t, "gravity of pure water", sg, err, 1, 0)
	s, err = SalinityFromGravity(1, Ref20C)
	want(t, "salinity of pure water", s, err, 0, 0)
	sg, err = GravityFromSalinity(MaxSalinity, Ref60F)
	if err != nil {
		t.Fatal(err)
	}
	s, err = SalinityFromGravity(sg, Ref60F)
	want(t, "salinity of the densest water", s, err, MaxSalinity, 1e-9)
	below, _ := ConductivityFromSalinity(lowSalinity-1e-9, 18)
	above, _ := ConductivityFromSalinity(lowSalinity+1e-9, 18)
	want(t, "the joint at 2", below, nil, above, 1e-8)
}

func TestRefTemp(t *testing.T) {
	for ref, c := range map[RefTemp]struct {
		celsius float64
		name    string
	}{Ref60F: {15.555555555555555, "60/60 °F"}, Ref20C: {20, "20/20 °C"}, Ref25C: {25, "25/25 °C"}} {
		if ref.Celsius() != c.celsius || ref.String() != c.name {
			t.Errorf("%d is %g, %q", ref, ref.Celsius(), ref)
		}
	}
	if none := RefTemp(0); !math.IsNaN(none.Celsius()) || none.String() != "no reference temperature" {
		t.Errorf("no reference is %g, %q", none.Celsius(), none)
	}
}

func TestOutOfRange(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		name      string
		call      func() (float64, error)
		quantity  string
		low, high float64
	}{
		{"density of S 90", func() (float64, error) { return Density(90, 25) }, "salinity", 0, 42},
		{"density of negative S", func() (float64, error) { return Density(-1, 25) }, "salinity", 0, 42},
		{"density of NaN", func() (float64, error) { return Density(nan, 25) }, "salinity", 0, 42},
		{"density when boiling", func() (float64, error) { return Density(35, 100) }, "temperature", -2, 40},
		{"density at NaN", func() (float64, error) { return Density(35, nan) }, "temperature", -2, 40},
		{"salinity when hot", func() (float64, error) { return SalinityFromConductivity(50, 36) }, "temperature", -2, 35},
		{"salinity of NaN", func() (float64, error) { return SalinityFromConductivity(nan, 25) }, "conductivity", 0, 62.16},
		{"salinity of infinity", func() (float64, error) { return SalinityFromConductivity(inf, 25) }, "conductivity", 0, 62.16},
		{"salinity of µS", func() (float64, error) { return SalinityFromConductivity(53000, 25) }, "conductivity", 0, 62.16},
		{"conductivity of S 90", func() (float64, error) { return ConductivityFromSalinity(90, 25) }, "salinity", 0, 42},
		{"conductivity when frozen", func() (float64, error) { return ConductivityFromSalinity(35, -20) }, "temperature", -2, 35},
		{"gravity of S 90", func() (float64, error) { return GravityFromSalinity(90, Ref25C) }, "salinity", 0, 42},
		{"salinity of a light water", func() (float64, error) { return SalinityFromGravity(0.99, Ref25C) }, "specific gravity at 25/25 °C",
			1, 1.0318},
		{"salinity of 1026", func() (float64, error) { return SalinityFromGravity(1026, Ref25C) }, "specific gravity at 25/25 °C", 1,
			1.0318},
	} {
		got, err := c.call()
		var e RangeError
		if !errors.As(err, &e) || got != 0 || e.Quantity.String() != c.quantity || e.Low != c.low || math.Abs(e.High-c.high) > 0.01*c.high {
			t.Errorf("%s gave %g, %+v", c.name, got, err)
		}
	}
	for _, ref := range []RefTemp{0, 4} {
		_, e1 := GravityFromSalinity(35, ref)
		_, e2 := SalinityFromGravity(1.02, ref)
		if !errors.As(e1, new(RangeError)) || !errors.As(e2, new(RangeError)) {
			t.Errorf("reference %d gave %v, %v", ref, e1, e2)
		}
	}
	_, err := Density(90, 25)
	if text := "salinity is 90 PSU, outside 0 to 42 PSU: check the value and its unit"; err.Error() != text {
		t.Errorf("the error is %q, want %q", err, text)
	}
}

func TestRoundTrips(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.Float64Range(0, MaxSalinity).Draw(t, "S")
		tC := rapid.Float64Range(-2, 35).Draw(t, "T")
		c, err := ConductivityFromSalinity(s, tC)
		if err != nil {
			t.Fatal(err)
		}
		back, err := SalinityFromConductivity(c, tC)
		if err != nil || math.Abs(back-s) > 1e-11 {
			t.Fatalf("S %g at %g °C is %g mS/cm and came back as %g, %v", s, tC, c, back, err)
		}
		ref := rapid.SampledFrom([]RefTemp{Ref60F, Ref20C, Ref25C}).Draw(t, "ref")
		sg, err := GravityFromSalinity(s, ref)
		if err != nil {
			t.Fatal(err)
		}
		back, err = SalinityFromGravity(sg, ref)
		if err != nil || math.Abs(back-s) > 1e-11 {
			t.Fatalf("S %g is %g at %s and came back as %g, %v", s, sg, ref, back, err)
		}
	})
}

// Salinity, conductivity and density rise together.
func TestMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.Float64Range(0, MaxSalinity-0.01).Draw(t, "S")
		tC := rapid.Float64Range(-2, 35).Draw(t, "T")
		c1, e1 := ConductivityFromSalinity(s, tC)
		c2, e2 := ConductivityFromSalinity(s+0.01, tC)
		d1, e3 := Density(s, tC)
		d2, e4 := Density(s+0.01, tC)
		if err := errors.Join(e1, e2, e3, e4); err != nil || c2 <= c1 || d2 <= d1 {
			t.Fatalf("at S %g: %g to %g mS/cm, %g to %g kg/m³, %v", s, c1, c2, d1, d2, err)
		}
	})
}

func TestNoAllocation(t *testing.T) {
	c := Conditions{Salinity: 35, Temperature: 25, Phosphate: 1, Silicate: 1}
	fresh, brackish := hardWater(), Water{Salinity: 3, Temperature: 25}
	n := testing.AllocsPerRun(100, func() {
		for _, s := range []float64{0.5, 35} {
			cond, _ := ConductivityFromSalinity(s, 22)
			back, _ := SalinityFromConductivity(cond, 22)
			d, _ := Density(s, 22)
			sg, _ := GravityFromSalinity(s, Ref25C)
			again, _ := SalinityFromGravity(sg, Ref25C)
			reading, _ := HydrometerReading(s, 22, Ref25C)
			third, _ := SalinityFromHydrometer(reading, 22, Ref25C)
			index, _ := RefractiveIndex(s, 22, SodiumLine)
			salt, _ := ReferenceComposition(s, 22)
			sink += back + d + again + third + index + salt[0].MgL
		}
		a, _ := c.FromPH(2300, 8.1, NBSScale)
		b, _ := c.FromDIC(2300, 2000)
		p, _ := c.FromPCO2(2300, 420)
		f, _, _ := fresh.FromPH(1000, 7, NBSScale)
		g, _, _ := brackish.FromPCO2(1000, 420)
		share, _, _ := brackish.UnionizedAmmonia(8, NBSScale)
		o, _ := OxygenSolubility(35, 25, 1)
		nh3, _, _ := Water{Salinity: 35, Temperature: 25}.UnionizedAmmonia(8, TotalScale)
		sink += a.PH + b.PH + p.PH + f.PH + g.PH + o + nh3 + share
	})
	if n != 0 || sink == 0 {
		t.Errorf("%g allocations on success", n)
	}
}
