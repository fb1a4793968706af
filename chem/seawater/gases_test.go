package seawater

import (
	"errors"
	"math"
	"testing"
)

// molality is the dissolved oxygen in µmol per kg of seawater at one atmosphere, by
// which [OxygenSolubility] is checked: Garcia and Gordon 1992, Limnol. Oceanogr. 37, 1307-1312, with
// the coefficients for the data of Benson and Krause and without the term A3·Ts²
// that is misprinted in their equation 8.
func molality(s, tC float64) float64 {
	t := tC * t68
	x := math.Log((298.15 - t) / (zeroCelsius + t))
	return math.Exp(5.80871 + x*(3.20291+x*(4.17887+x*(5.10006+x*(-9.86643e-2+x*3.80369)))) +
		s*(-7.01577e-3+x*(-7.70028e-3+x*(-1.13864e-2-x*9.51519e-3))) - 2.75915e-7*s*s)
}

// oxygen_solubility.csv: GSW-Python 3.6.16 for Garcia and Gordon 1992, Benson
// and Krause 1984 with pressure as in Standard Methods 4500-O.
func TestOxygenTable(t *testing.T) {
	rows := readTable(t, "oxygen_solubility.csv")
	if len(rows) != 40 {
		t.Fatalf("%d rows", len(rows))
	}
	for _, row := range rows {
		s, tC, p := number(t, row["S"]), number(t, row["T_C"]), number(t, row["P_atm"])
		want(t, "µmol/kg", molality(s, tC), nil, number(t, row["O2_umolkg_GG92"]), 2e-7)
		want(t, "µmol/kg at T68", molality(s, tC/t68), nil, number(t, row["O2_umolkg_GG92_T_as_T68"]), 2e-7)
		got, err := OxygenSolubility(s, tC, 1)
		want(t, "mg/L", got, err, number(t, row["O2_mgL_BK84"]), 1e-8)
		got, err = OxygenSolubility(s, tC, p)
		want(t, "mg/L at pressure", got, err, number(t, row["O2_mgL_BK84_P"]), 1e-8)
		share, err := OxygenSaturation(got/2, s, tC, p)
		want(t, "saturation of half of it", share, err, 50, 1e-9)
		// The two are fits to data of the same laboratory.
		rho, err := Density(s, tC)
		litre, _ := OxygenSolubility(s, tC, 1)
		want(t, "µmol/kg as mg/L", molality(s, tC)*31.998*rho/1e6, err, litre, 0.002*litre)
	}
}

// Garcia and Gordon 1992 print 274.610 µmol/kg at S 35 and 10 °C (IPTS-68), with
// the coefficients of their table 1 for the data of Benson and Krause; the table
// of Standard Methods 4500-O:I is from memory, good to 0.002 mg/L.
func TestPublishedOxygen(t *testing.T) {
	want(t, "check value", molality(35, 10/t68), nil, 274.610, 5e-4)
	rows := readTable(t, "oxygen_freshwater_apha.csv")
	for _, row := range rows {
		mgL, err := OxygenSolubility(0, number(t, row["T_C"]), 1)
		want(t, "mg/L by the equation", mgL, err, number(t, row["equation_mgL"]), 1e-8)
		want(t, "mg/L by the printed table", mgL, err, number(t, row["table_mgL"]), 0.002)
	}
	if len(rows) != 41 {
		t.Errorf("%d rows", len(rows))
	}
}

// ISO 2533:1975 tables: 898.76 hPa at 1000 m, 794.95 hPa at 2000 m (from
// memory).
func TestPressureAtAltitude(t *testing.T) {
	for metres, hPa := range map[float64]float64{0: 1013.25, 1000: 898.76, 2000: 795.01} {
		got, err := PressureAtAltitude(metres)
		want(t, "pressure", got*1013.25, err, hPa, 0.1)
	}
}

// ammonia_seawater.csv: Clegg and Whitfield 1995 by PyCO2SYS 1.8.3.4, brought to a
// kg of seawater; ammonia_freshwater.csv: Emerson et al. 1975, which the US EPA's
// criteria of 2013 go by too, with nothing for ionic strength.
func TestAmmoniaTables(t *testing.T) {
	sea, fresh := readTable(t, "ammonia_seawater.csv"), readTable(t, "ammonia_freshwater.csv")
	if len(sea) != 30 || len(fresh) != 30 {
		t.Fatalf("%d and %d rows", len(sea), len(fresh))
	}
	for _, row := range sea {
		s, tC := number(t, row["S"]), number(t, row["T_C"])
		share := shareOfBase(number(t, row["pH_total"]), pKClegg(s, tC))
		want(t, "share of NH3", share, nil, number(t, row["fraction_NH3"]), 2e-9*share)
		want(t, "pKa", ammoniumClegg(s, tC+zeroCelsius), nil, number(t, row["pKa_molality"]), 6e-9)
	}
	for _, row := range fresh {
		share, _, err := distilled(number(t, row["T_C"])).UnionizedAmmonia(number(t, row["pH"]), NBSScale)
		want(t, "share of NH3", share, err, number(t, row["fraction_NH3"]), 2e-9*share)
	}
}

// Table 3 of Emerson et al. 1975: 0.566 % at 25 °C and pH 7.0 and 5.38 % at pH
// 8.0, tabulated with 0 °C as 273.2 K, which is 0.4 % more; Clegg and Whitfield
// 1995 print pKa in molality, whose shares at pH 8 are 0.0183 (S 0, 10 °C), 0.0539 (S 0, 25 °C) and 0.0556 (S 35, 25 °C), all from
// memory.
func TestPublishedAmmonia(t *testing.T) {
	for pH, percent := range map[float64]float64{7: 0.566, 8: 5.38} {
		share, _, err := distilled(25).UnionizedAmmonia(pH, NBSScale)
		want(t, "per cent NH3", 100*share, err, percent, 0.005*percent)
	}
	for _, c := range []struct{ s, tC, pH, share float64 }{{0, 10, 8, 0.0183}, {0, 25, 8, 0.0539}, {35, 25, 8, 0.0556},
		{35, 25, 7.8, 0.0358}} {
		want(t, "share in molality", shareOfBase(c.pH, ammoniumClegg(c.s, c.tC+zeroCelsius)), nil, c.share, 5e-5)
	}
}

func TestGasesOutOfRange(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		name     string
		call     func() (float64, error)
		quantity string
	}{
		{"oxygen of S 90", func() (float64, error) { return OxygenSolubility(90, 25, 1) }, "salinity"},
		{"oxygen in ice", func() (float64, error) { return OxygenSolubility(35, -5, 1) }, "temperature"},
		{"oxygen at NaN", func() (float64, error) { return OxygenSolubility(35, nan, 1) }, "temperature"},
		{"oxygen under hPa", func() (float64, error) { return OxygenSolubility(35, 25, 1013) }, "barometric pressure"},
		{"saturation of infinity", func() (float64, error) { return OxygenSaturation(inf, 35, 25, 1) }, "oxygen"},
		{"saturation when boiling", func() (float64, error) { return OxygenSaturation(8, 35, 99, 1) }, "temperature"},
		{"height of space", func() (float64, error) { return PressureAtAltitude(100000) }, "height above the sea"},
	} {
		got, err := c.call()
		var e RangeError
		if !errors.As(err, &e) || e.Quantity.String() != c.quantity || got != 0 {
			t.Errorf("%s gave %g, %v", c.name, got, err)
		}
	}
}
