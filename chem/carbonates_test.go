package chem

import (
	"errors"
	"maps"
	"math"
	"testing"

	"pgregory.net/rapid"

	"weirkeeper/chem/seawater"
)

// nbs are the conventions of hobby meters.
var nbs = Conventions{Scale: seawater.NBSScale}

// A keeper's numbers through the units to the equations of package seawater,
// whose tables are tested there: 2.8 meq/L at S 35 are 2736.2 µmol/kg.
func TestCarbonatesOfASea(t *testing.T) {
	a := reefWater()
	got, err := a.Carbonates(nbs)
	if err != nil {
		t.Fatal(err)
	}
	const kgPerLitre = 1.0233412
	s, err := seawater.Conditions{Salinity: 35, Temperature: 25,
		Calcium: seawater.Measured(420 / 40.078 * 1000 / kgPerLitre)}.FromPH(2800/kgPerLitre, 8.2,
		seawater.NBSScale)
	if err != nil {
		t.Fatal(err)
	}
	want(t, "pH", got.PH, nil, 8.2, 1e-9)
	near(t, "pCO2", got.PCO2, s.PCO2, 1e-6)
	near(t, "Ω aragonite", got.OmegaAragonite, s.OmegaAragonite, 1e-6)
	near(t, "Ω calcite", got.OmegaCalcite, s.OmegaCalcite, 1e-6)
	near(t, "saturation index", got.SaturationIndex(), math.Log10(s.OmegaCalcite), 1e-6)
	near(t, "DIC in mmol/L", got.DIC, s.DIC*kgPerLitre/1000, 1e-6)
	near(t, "HCO3 in mmol/L", got.HCO3, s.HCO3*kgPerLitre/1000, 1e-6)
	near(t, "CO3 in mmol/L", got.CO3, s.CO3*kgPerLitre/1000, 1e-6)
	near(t, "CO2 in mg/L", got.CO2, s.CO2*kgPerLitre/1000*44.009, 1e-6)
	want(t, "alkalinity", got.Alkalinity, nil, 2.8, 1e-12)
	if got.Equations.String() != "Lueker 2000, borate of Uppström 1974" || got.Scale != seawater.NBSScale {
		t.Errorf("%q on the %s", got.Equations, got.Scale)
	}
}

func TestCarbonatesByWater(t *testing.T) {
	brackish := reefWater()
	brackish[Salinity] = 10
	got, err := brackish.Carbonates(nbs)
	if err != nil || got.Equations.String() != "Millero 2010, borate of Uppström 1974" {
		t.Errorf("brackish water goes by %q, %v", got.Equations, err)
	}
	// Fresh water by its conductivity alone: KH 4, pH 7, 25 °C, some 13 mg/L CO2.
	fresh := Analysis{Conductivity: 300, Temperature: 25, Alkalinity: 4 * 0.35665246, PH: 7}
	got, err = fresh.Carbonates(nbs)
	want(t, "CO2 in mg/L", got.CO2, err, 13.2, 0.2)
	if got.Equations.String() != "Plummer and Busenberg 1982" || got.Scale != seawater.NBSScale || !math.IsNaN(got.OmegaCalcite) ||
		!math.IsNaN(got.OmegaAragonite) {
		t.Errorf("%+v", got)
	}
	fresh[Calcium] = 60
	got, err = fresh.Carbonates(nbs)
	const kgPerLitre = 0.99716
	w := seawater.Water{Salinity: 0.1436, Temperature: 25, IonicStrength: seawater.Measured(4800),
		Calcium: seawater.Measured(60 / 40.078 * 1000 / kgPerLitre)}
	f, _, err2 := w.FromPH(4*356.65246/kgPerLitre, 7, seawater.NBSScale)
	if errors.Join(err, err2) != nil {
		t.Fatal(err, err2)
	}
	want(t, "Langelier index", got.SaturationIndex(), nil, math.Log10(f.OmegaCalcite), 1e-4)
	byConductivity := got.SaturationIndex()
	fresh[Salinity] = 0.1436
	delete(fresh, Conductivity)
	got, err = fresh.Carbonates(nbs)
	want(t, "Langelier index by salinity", got.SaturationIndex(), err, byConductivity, 2e-3)
	fresh[Calcium] = 0
	got, err = fresh.Carbonates(nbs)
	if err != nil || !math.IsInf(got.SaturationIndex(), -1) {
		t.Errorf("water in which no calcium was found has index %g, %v", got.SaturationIndex(), err)
	}
}

// A measured ion counts: all of them tell the ionic strength, boron its part of
// alkalinity, calcium of zero no saturation, phosphate and silicate their alkalinity
// in fresh water too.
func TestMeasuredIonsCount(t *testing.T) {
	sea := reefWater()
	plain, err1 := sea.Carbonates(nbs)
	sea[Boron] = 9
	rich, err2 := sea.Carbonates(nbs)
	if err := errors.Join(err1, err2); err != nil {
		t.Fatal(err)
	}
	// By hand: at pH 8.2 NBS some 0.14 of the 2.8 meq/L are borate at 4.49 mg/L of boron.
	want(t, "Ω at twice the boron", rich.OmegaAragonite/plain.OmegaAragonite, nil, 1-0.033, 0.002)
	hard := Analysis{Conductivity: 700, Temperature: 25, Alkalinity: 4, PH: 7.5, Calcium: 80}
	byConductivity, err := hard.Carbonates(nbs)
	for a, v := range map[Analyte]float64{Magnesium: 20, Sodium: 25, Potassium: 3, Chloride: 30, Sulfate: 60} {
		hard[a] = v
	}
	by := map[string]float64{}
	// ½ Σ z²c by hand: 4·80/40.08 + 4·20/24.3 + 25/22.99 + 3/39.1 + 30/35.45 + 4·60/96.06 + 4 mmol/L, halved.
	by["hand"] = (4*80/40.078 + 4*20/24.305 + 25/22.98976928 + 3/39.0983 + 30/35.45 + 4*60/96.056 + 4) / 2 / 1000
	total, err2 := hard.ionicStrength(1)
	by["ions"] = total.Value() * 1e-6
	want(t, "ionic strength by ions", by["ions"], errors.Join(err, err2), by["hand"], 1e-5)
	byIons, err := hard.Carbonates(nbs)
	const kgPerLitre = 0.99732 // of 0.342 PSU
	micro := func(mgL, molar float64) seawater.Total { return seawater.Measured(mgL / molar * 1000 / kgPerLitre) }
	w := seawater.Water{Salinity: 0.3418, Temperature: 25, IonicStrength: seawater.Measured(by["hand"] * 1e6 / 0.997),
		Calcium:   micro(80, 40.078),
		Magnesium: micro(20, 24.305), Sodium: micro(25, 22.98977), Potassium: micro(3, 39.0983), Sulfate: micro(60, 96.056)}
	f, _, err2 := w.FromPH(4000/kgPerLitre, 7.5, seawater.NBSScale)
	want(t, "Ω with the ions", byIons.OmegaCalcite, errors.Join(err, err2), f.OmegaCalcite, 5e-4*f.OmegaCalcite)
	if math.Abs(byIons.OmegaCalcite-byConductivity.OmegaCalcite) < 0.002 {
		t.Errorf("Ω %g by the conductivity, %g by the ions", byConductivity.OmegaCalcite, byIons.OmegaCalcite)
	}
	soft := Analysis{Conductivity: 100, Temperature: 25, Alkalinity: 0.5, PH: 8.5}
	bare, err := soft.Carbonates(nbs)
	soft[Phosphate], soft[Silicate] = 9.5, 18
	fed, err2 := soft.Carbonates(nbs)
	want(t, "what 0.1 mmol/L of phosphate and 0.3 of silicate leave", bare.HCO3+2*bare.CO3-fed.HCO3-2*fed.CO3,
		errors.Join(err, err2), 0.11, 0.01)
}

// 0 to 42 PSU in one course: no hole and no jump in what a keeper sees, whether the
// salinity or the conductivity is known.
func TestNoJumpOverSalinity(t *testing.T) {
	see := func(a Analysis, by Conventions, ammonia bool) (map[string]float64, error) {
		c, err1 := a.Carbonates(by)
		u, err2 := a.UnionizedAmmonia(by)
		if !ammonia {
			u, err2 = Unionized{}, nil
		}
		air, err3 := a.CarbonatesInAir(AirCO2, by)
		return map[string]float64{"CO2": c.CO2, "PCO2": c.PCO2, "Ωc": c.OmegaCalcite, "Ωa": c.OmegaAragonite, "DIC": c.DIC, "CO3": c.CO3,
			"NH3": u.MgL, "pH aired": air.PH, "scale": c.Doubt.Scale, "doubt": air.Doubt.PH}, errors.Join(err1, err2, err3)
	}
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.OneOf(rapid.SampledFrom([]float64{0.5, 1, 2, 2.5, 3.3, 5, 19, 20, 25, 39.999999, 40}),
			rapid.Float64Range(0.01, 41.9)).Draw(t, "S")
		by := Conventions{Scale: rapid.SampledFrom([]seawater.PHScale{seawater.TotalScale, seawater.NBSScale}).Draw(t, "scale"),
			Set: rapid.SampledFrom(seawater.Sets()).Draw(t, "set"), Pressure: rapid.Float64Range(0.7, 1).Draw(t, "pressure")}
		a := Analysis{Salinity: s - 1e-6, Temperature: rapid.Float64Range(5, 35).Draw(t, "T"), Ammonia: 0.5,
			Alkalinity: rapid.Float64Range(1, 6).Draw(t, "alkalinity"), PH: rapid.Float64Range(6.5, 8.4).Draw(t, "pH"),
			Calcium: rapid.Float64Range(5, 500).Draw(t, "Ca")}
		b := maps.Clone(a)
		b[Salinity] = s + 1e-6
		if rapid.Bool().Draw(t, "by conductivity") {
			for _, x := range []Analysis{a, b} {
				ec, err := seawater.ConductivityFromSalinity(x[Salinity], 25)
				if err != nil {
					t.Fatal(err)
				}
				delete(x, Salinity)
				x[Conductivity] = 1000 * ec
			}
		}
		ammonia := s < 39.999 // its constant ends at 40
		before, err1 := see(a, by, ammonia)
		after, err2 := see(b, by, ammonia)
		if err := errors.Join(err1, err2); err != nil {
			t.Fatalf("a hole at S %g: %v", s, err)
		}
		for name, v := range before {
			if !(math.Abs(after[name]-v) <= 2e-4*math.Abs(v)+1e-7) {
				t.Fatalf("%s jumps at S %g from %g to %g", name, s, v, after[name])
			}
		}
	})
}

// Dry air's ppm are not µatm: 425 ppm are 412 µatm over a reef of 25 °C, and 365 at
// 1000 m, where the standard atmosphere (ISO 2533:1975) has 0.887 atm. Weiss and
// Price 1980 print 0.030647 atm of vapour at 25 °C and S 35 (from memory, 0.0306).
func TestAirPCO2(t *testing.T) {
	a := reefWater()
	air, err := a.AirPCO2(425, Conventions{})
	want(t, "µatm by the sea", air, err, 412, 0.2)
	air, err = a.AirPCO2(425, Conventions{Pressure: 0.887})
	want(t, "µatm at 1000 m", air, err, 425*(0.887-0.0306), 0.1)
	aired, err := a.CarbonatesInAir(425, Conventions{})
	at, err2 := a.CarbonatesAt(425*(1-0.0306), Conventions{})
	want(t, "pH in air", aired.PH, errors.Join(err, err2), at.PH, 1e-4)
	full, err := a.OxygenSaturation(Conventions{Pressure: 0.887})
	level, err2 := a.OxygenSaturation(Conventions{})
	want(t, "oxygen saturation at 1000 m", full/level, errors.Join(err, err2), 1/0.884, 0.002)
}

// pH, DIC and air lead to the same water.
func TestCarbonatesAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := Analysis{
			Salinity: rapid.Float64Range(0, 42).Draw(t, "S"), Temperature: rapid.Float64Range(5, 35).Draw(t, "T"),
			Alkalinity: rapid.Float64Range(0.5, 8).Draw(t, "alkalinity"), PH: rapid.Float64Range(6.8, 8.6).Draw(t, "pH"),
			Calcium: rapid.Float64Range(1, 600).Draw(t, "Ca"),
		}
		c, err := a.Carbonates(nbs)
		if err != nil {
			t.Skip("no carbon at this alkalinity and pH")
		}
		d, err1 := a.CarbonatesOfDIC(c.DIC, nbs)
		p, err2 := a.CarbonatesAt(c.PCO2, nbs)
		if errors.Join(err1, err2) != nil || math.Abs(d.PH-a[PH]) > 1e-8 || math.Abs(p.PH-a[PH]) > 1e-8 {
			t.Fatalf("pH %g came back as %g and %g, %v, %v", a[PH], d.PH, p.PH, err1, err2)
		}
	})
}

// 20 mg/L of sodium bicarbonate, carbonate and hydroxide of equal alkalinity in
// a reef at pH 8.2 (NBS): hydroxide raises pH most, bicarbonate lowers it a
// little; in balance with air all come to the same.
func TestResponseByForm(t *testing.T) {
	a := reefWater()
	var at []Response
	for _, compound := range []string{"NaHCO3", "Na2CO3", "NaOH"} {
		p := solid(compound, 1)
		grams, err := Amount(effects(t, p)[Alkalinity], 0.5, 100)
		if err != nil {
			t.Fatal(err)
		}
		dose, err := p.AlkalinityDose(grams, 100)
		want(t, compound, dose.Alkalinity, err, 0.5, 1e-12)
		r, err := a.Response(dose, AirCO2, nbs)
		if err != nil {
			t.Fatal(err)
		}
		want(t, "before", r.Before.PH, nil, 8.2, 1e-9)
		at = append(at, r)
	}
	want(t, "DIC of bicarbonate", at[0].AtOnce.DIC-at[0].Before.DIC, nil, 0.5, 1e-9)
	want(t, "DIC of carbonate", at[1].AtOnce.DIC-at[1].Before.DIC, nil, 0.25, 1e-9)
	want(t, "DIC of hydroxide", at[2].AtOnce.DIC-at[2].Before.DIC, nil, 0, 1e-9)
	if !(at[0].AtOnce.PH < 8.2 && at[0].AtOnce.PH > 8.1 && at[1].AtOnce.PH > 8.3 && at[2].AtOnce.PH > at[1].AtOnce.PH+0.1) {
		t.Errorf("pH at once: %.3f, %.3f, %.3f", at[0].AtOnce.PH, at[1].AtOnce.PH, at[2].AtOnce.PH)
	}
	for _, r := range at {
		want(t, "pH in air", r.Aired.PH, nil, at[0].Aired.PH, 1e-9)
		if r.Aired.PH <= r.Before.PH || r.AtOnce.OmegaAragonite <= r.Before.OmegaAragonite {
			t.Errorf("more alkalinity raises pH in air and saturation: %+v", r)
		}
	}
}

// Acid takes alkalinity at constant DIC; the base given after it brings the
// water back, and so does calcium chloride leave pH alone.
func TestResponseLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := reefWater()
		a[Alkalinity] = rapid.Float64Range(2, 5).Draw(t, "alkalinity")
		a[PH] = rapid.Float64Range(7.6, 8.5).Draw(t, "pH")
		acid := AlkalinityDose{Alkalinity: -rapid.Float64Range(0, 1.5).Draw(t, "acid"), Calcium: rapid.Float64Range(0, 50).Draw(t, "Ca")}
		r, err := a.Response(acid, AirCO2, Conventions{})
		if err != nil {
			t.Fatal(err)
		}
		if r.AtOnce.PH > r.Before.PH+1e-9 || math.Abs(r.AtOnce.DIC-r.Before.DIC) > 1e-9 {
			t.Fatalf("acid leads from pH %g to %g, DIC %g to %g", r.Before.PH, r.AtOnce.PH, r.Before.DIC, r.AtOnce.DIC)
		}
		soured := maps.Clone(a)
		soured[Alkalinity] += acid.Alkalinity
		soured[PH] = r.AtOnce.PH
		back, err := soured.Response(AlkalinityDose{Alkalinity: -acid.Alkalinity}, AirCO2, Conventions{})
		if err != nil || math.Abs(back.AtOnce.PH-a[PH]) > 1e-9 {
			t.Fatalf("pH %g came back as %g, %v", a[PH], back.AtOnce.PH, err)
		}
		calcium, err := a.Response(AlkalinityDose{Calcium: 42}, AirCO2, Conventions{})
		if err != nil || math.Abs(calcium.AtOnce.PH-a[PH]) > 1e-9 ||
			math.Abs(calcium.AtOnce.OmegaAragonite/calcium.Before.OmegaAragonite-1.1) > 1e-9 {
			t.Fatalf("a tenth more calcium: pH %g, Ω %g to %g, %v", calcium.AtOnce.PH, calcium.Before.OmegaAragonite,
				calcium.AtOnce.OmegaAragonite, err)
		}
	})
}

func TestAlkalinityDose(t *testing.T) {
	lime, err := solid("Ca(OH)2", 1).AlkalinityDose(7.4092, 100)
	want(t, "alkalinity of lime", lime.Alkalinity, err, 2, 1e-9)
	want(t, "calcium of lime", lime.Calcium, err, 40.078, 1e-9)
	want(t, "carbon of lime", lime.Carbon, err, 0, 0)
	soda, err := liquid("Na2CO3", 100).AlkalinityDose(10, 100)
	want(t, "alkalinity of soda", soda.Alkalinity, err, 0.1887014292, 1e-9)
	want(t, "carbon of soda", soda.Carbon, err, 0.1887014292/2, 1e-9)
	// A label that says half of it halves the carbon too.
	weak := liquid("Na2CO3", 100)
	weak.Label = []Strength{{Alkalinity, 10, 100, 0.1887014292 / 2}}
	soda, err = weak.AlkalinityDose(10, 100)
	want(t, "carbon by the label", soda.Carbon, err, 0.1887014292/4, 1e-9)
	none, err := liquid("CaCl2", 100).AlkalinityDose(10, 100)
	want(t, "alkalinity of calcium chloride", none.Alkalinity, err, 0, 0)
	secret := Product{Form: Liquid, Label: []Strength{{Alkalinity, 1, 100, 0.1}}}
	if _, err := secret.AlkalinityDose(1, 100); !errors.Is(err, ErrCarbon) {
		t.Errorf("a label without compounds gave %v", err)
	}
	if _, err := liquid("CaCl2", 100).AlkalinityDose(1, 0); !errors.Is(err, ErrVolume) {
		t.Errorf("no volume gave %v", err)
	}
	if _, err := (Product{}).AlkalinityDose(1, 1); err == nil {
		t.Error("no product has a dose")
	}
}

func TestGases(t *testing.T) {
	a := reefWater()
	nh3, err := a.UnionizedAmmonia(nbs)
	if err != nil {
		t.Fatal(err)
	}
	share, _, err := seawater.Water{Salinity: 35, Temperature: 25}.UnionizedAmmonia(8.2, seawater.NBSScale)
	want(t, "share", nh3.Share, err, share, 1e-12)
	want(t, "mg/L NH3", nh3.MgL, nil, 0.1*share*17.031/18.039, 1e-9)
	fresh := Analysis{Salinity: 0, Temperature: 25, PH: 8, Ammonia: 1}
	nh3, err = fresh.UnionizedAmmonia(nbs)
	want(t, "share in fresh water", nh3.Share, err, 0.0536, 5e-4)
	full, err := a.OxygenSaturation(Conventions{})
	want(t, "oxygen, of which the sea holds 6.77 mg/L at 25 °C", full, err, 100*6.4/6.77, 0.1)
}

// A pH that is worked out on the NBS scale is in doubt by what the scale is good to: 0.01
// in the sea (Takahashi et al. 1982), beside the bridge's own; on the total scale it is
// not. One that was measured is as it was.
func TestNBSScaleDoubtsWhatIsWorkedOut(t *testing.T) {
	of := func(scale seawater.PHScale, s float64) (dic, aired Carbonates) {
		a := maps.Clone(reefWater())
		a[Salinity] = s
		by := Conventions{Scale: scale}
		now, err := a.Carbonates(by)
		if err != nil || now.Doubt.PH != 0 {
			t.Fatalf("measured: %+v, %v", now.Doubt, err)
		}
		dic, err1 := a.CarbonatesOfDIC(now.DIC, by)
		aired, err2 := a.CarbonatesInAir(AirCO2, by)
		if err := errors.Join(err1, err2); err != nil {
			t.Fatal(err)
		}
		return dic, aired
	}
	dic, aired := of(seawater.NBSScale, 35)
	want(t, "of carbon", dic.Doubt.PH, nil, 0.01, 1e-12)
	want(t, "aired", aired.Doubt.PH, nil, 0.01, 1e-12)
	if dic, aired = of(seawater.TotalScale, 35); dic.Doubt.PH != 0 || aired.Doubt.PH != 0 {
		t.Errorf("on the total scale %g and %g", dic.Doubt.PH, aired.Doubt.PH)
	}
	_, total := of(seawater.TotalScale, 22.5)
	_, nbs := of(seawater.NBSScale, 22.5)
	if total.Doubt.PH <= 0 || math.Abs(nbs.Doubt.PH-math.Hypot(total.Doubt.PH, 0.01)) > 1e-4 {
		t.Errorf("on the bridge %g, on the NBS scale %g", total.Doubt.PH, nbs.Doubt.PH)
	}
}
