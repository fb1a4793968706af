package chem

import (
	"errors"
	"maps"
	"math"
	"testing"

	"pgregory.net/rapid"

	"weirkeeper/chem/seawater"
)

// A keeper's numbers through the units to the equations of package seawater,
// whose tables are tested there: 2.8 meq/L at S 35 are 2736.2 µmol/kg.
func TestCarbonatesOfASea(t *testing.T) {
	a := reefWater()
	got, err := a.Carbonates(seawater.NBSScale)
	if err != nil {
		t.Fatal(err)
	}
	const kgPerLitre = 1.0233412
	s, err := seawater.Conditions{Salinity: 35, Temperature: 25, Calcium: 420 / 40.078 * 1000 / kgPerLitre}.FromPH(2800/kgPerLitre, 8.2,
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
	if got.Equations != "Lueker 2000, borate of Uppström 1974" || got.Scale != seawater.NBSScale {
		t.Errorf("%q on the %s", got.Equations, got.Scale)
	}
}

func TestCarbonatesByWater(t *testing.T) {
	brackish := reefWater()
	brackish[Salinity] = 10
	got, err := brackish.Carbonates(seawater.NBSScale)
	if err != nil || got.Equations != "Millero 2010, borate of Uppström 1974" {
		t.Errorf("brackish water goes by %q, %v", got.Equations, err)
	}
	// Fresh water by its conductivity alone: KH 4, pH 7, 25 °C, some 13 mg/L CO2.
	fresh := Analysis{Conductivity: 300, Temperature: 25, Alkalinity: 4 * 0.35665246, PH: 7}
	got, err = fresh.Carbonates(seawater.TotalScale)
	want(t, "CO2 in mg/L", got.CO2, err, 13.2, 0.2)
	if got.Equations != freshEquations || got.Scale != seawater.NBSScale || !math.IsNaN(got.OmegaCalcite) ||
		!math.IsNaN(got.OmegaAragonite) {
		t.Errorf("%+v", got)
	}
	fresh[Calcium] = 60
	got, err = fresh.Carbonates(seawater.NBSScale)
	f, err2 := seawater.Fresh{Temperature: 25, IonicStrength: 4.8, Calcium: 60 / 40.078}.FromPH(4*0.35665246, 7)
	if errors.Join(err, err2) != nil {
		t.Fatal(err, err2)
	}
	near(t, "Langelier index", got.SaturationIndex(), f.LangelierIndex(), 1e-9)
	fresh[Salinity] = 0.15
	delete(fresh, Conductivity)
	got, err = fresh.Carbonates(seawater.NBSScale)
	want(t, "Langelier index by salinity", got.SaturationIndex(), err, f.LangelierIndex(), 0.05)
}

// pH, DIC and air lead to the same water.
func TestCarbonatesAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := Analysis{
			Salinity: rapid.Float64Range(0, 42).Draw(t, "S"), Temperature: rapid.Float64Range(5, 35).Draw(t, "T"),
			Alkalinity: rapid.Float64Range(0.5, 8).Draw(t, "alkalinity"), PH: rapid.Float64Range(6.8, 8.6).Draw(t, "pH"),
			Calcium: rapid.Float64Range(1, 600).Draw(t, "Ca"),
		}
		c, err := a.Carbonates(seawater.NBSScale)
		if err != nil {
			t.Skip("no carbon at this alkalinity and pH")
		}
		d, err1 := a.CarbonatesOfDIC(c.DIC, seawater.NBSScale)
		p, err2 := a.CarbonatesInAir(c.PCO2, seawater.NBSScale)
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
		r, err := a.Response(dose, AirPCO2, seawater.NBSScale)
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
		r, err := a.Response(acid, AirPCO2, seawater.TotalScale)
		if err != nil {
			t.Fatal(err)
		}
		if r.AtOnce.PH > r.Before.PH+1e-9 || math.Abs(r.AtOnce.DIC-r.Before.DIC) > 1e-9 {
			t.Fatalf("acid leads from pH %g to %g, DIC %g to %g", r.Before.PH, r.AtOnce.PH, r.Before.DIC, r.AtOnce.DIC)
		}
		soured := maps.Clone(a)
		soured[Alkalinity] += acid.Alkalinity
		soured[PH] = r.AtOnce.PH
		back, err := soured.Response(AlkalinityDose{Alkalinity: -acid.Alkalinity}, AirPCO2, seawater.TotalScale)
		if err != nil || math.Abs(back.AtOnce.PH-a[PH]) > 1e-9 {
			t.Fatalf("pH %g came back as %g, %v", a[PH], back.AtOnce.PH, err)
		}
		calcium, err := a.Response(AlkalinityDose{Calcium: 42}, AirPCO2, seawater.TotalScale)
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
	nh3, err := a.UnionizedAmmonia(seawater.NBSScale)
	if err != nil {
		t.Fatal(err)
	}
	e, err := seawater.Conditions{Salinity: 35, Temperature: 25}.Equilibria()
	if err != nil {
		t.Fatal(err)
	}
	total, err := e.ConvertPH(8.2, seawater.NBSScale, seawater.TotalScale)
	if err != nil {
		t.Fatal(err)
	}
	share, err := seawater.UnionizedSeawater(35, 25, total)
	want(t, "share", nh3.Share, err, share, 1e-12)
	want(t, "mg/L NH3", nh3.MgL, nil, 0.1*share*17.031/18.039, 1e-9)
	fresh := Analysis{Salinity: 0, Temperature: 25, PH: 8, Ammonia: 1}
	nh3, err = fresh.UnionizedAmmonia(seawater.NBSScale)
	want(t, "share in fresh water", nh3.Share, err, 0.0536, 5e-4)
	full, err := a.OxygenSaturation(1)
	want(t, "oxygen, of which the sea holds 6.77 mg/L at 25 °C", full, err, 100*6.4/6.77, 0.1)
}
