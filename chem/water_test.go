package chem

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"weirkeeper/chem/seawater"
)

func TestSequences(t *testing.T) {
	// Four changes of a quarter leave 0.75⁴ of the old.
	level, err := DilutedByMany(40, 0.25, 0, 4)
	want(t, "four quarters", level, err, 40*0.31640625, 1e-12)
	level, err = DilutedContinuously(40, 1, 0)
	want(t, "one volume run through", level, err, 40/math.E, 1e-12)
	level, err = DilutedByMany(40, 0.25, 10, 0)
	want(t, "none", level, err, 40, 0)
	share, err := ShareForMany(40, 10, 0, 2)
	want(t, "share of two", share, err, 0.5, 1e-12)
	turnover, err := TurnoverFor(40, 10, 0)
	want(t, "turnover", turnover, err, math.Log(4), 1e-12)
	for _, c := range []struct {
		goal, share float64
		n           int
	}{{10, 0.25, 5}, {40, 0.25, 0}, {10, 0.5, 2}, {10, 0.75, 1}, {10, 1, 1}} {
		n, err := ChangesFor(40, c.goal, 0, c.share)
		if err != nil || n != c.n {
			t.Errorf("changes of %g to %g: %d, %v, want %d", c.share, c.goal, n, err, c.n)
		}
	}
}

func TestBadSequences(t *testing.T) {
	nan := math.NaN()
	for name, err := range map[string]error{
		"past the new water":      second(ShareForMany(40, 5, 10, 2)),
		"continuous, past it":     second(TurnoverFor(40, 5, 10)),
		"continuous, to it":       second(TurnoverFor(40, 10, 10)),
		"changes, past it":        second(ChangesFor(40, 5, 10, 0.2)),
		"changes, quite to it":    second(ChangesFor(40, 10, 10, 0.2)),
		"the other way":           second(ShareForMany(40, 50, 10, 2)),
		"a blend past both":       second(BlendFor(Analysis{Calcium: 1}, Analysis{Calcium: 2}, Calcium, 3)),
		"salt water from saltier": second(SeaSalt{}.Batch(100, 30, 25, 35)),
		"swap past it":            second(SwapForSalinity(100, 35, 20, 25, 25)),
		"pure water to 0":         second(FreshToLower(100, 35, 0, 25)),
	} {
		if !errors.Is(err, ErrFreshCant) {
			t.Errorf("%s gave %v", name, err)
		}
	}
	for name, err := range map[string]error{
		"share 20 for 20 %":   second(ChangesFor(40, 10, 0, 20)),
		"one change of NaN":   second(DilutedBy(1, nan, 0)),
		"one change of 20":    second(DilutedBy(1, 20, 0)),
		"one change in NaN":   second(DilutedBy(nan, 0.2, 0)),
		"one change with ∞":   second(DilutedBy(1, 0.2, math.Inf(1))),
		"changes of 20":       second(DilutedByMany(1, 20, 0, 2)),
		"−1 changes":          second(DilutedByMany(1, 0.2, 0, -1)),
		"changes in NaN":      second(DilutedByMany(nan, 0.2, 0, 1)),
		"turnover −1":         second(DilutedContinuously(1, -1, 0)),
		"turnover in NaN":     second(DilutedContinuously(nan, 1, 0)),
		"goal NaN":            second(ShareFor(1, nan, 0)),
		"a blend with NaN":    second(Blend(Analysis{Calcium: nan}, Analysis{Calcium: 1}, 0.5)),
		"amount NaN":          second(Delta(1, nan, 100)),
		"effect ∞":            second(Delta(math.Inf(1), 1, 100)),
		"gap ∞":               second(Amount(1, math.Inf(1), 100)),
		"calcification NaN":   second(Calcification(nan)),
		"nitrification −1":    second(Nitrification(-1)),
		"denitrification ∞":   second(Denitrification(math.Inf(1))),
		"more than the water": second(TopOff{Litres: 100, Daily: 101}.CarryOver()),
		"calcium NaN":         second(Convert(Calcium, nan, MgL, MmolL, Water{})),
		"product of NaN":      second(liquid("NaCl", nan).Effects()),
		"product of 5 kg/L":   second(liquid("NaCl", 5000).Effects()),
		"product of 99 parts": second(solid("NaCl", 99).Effects()),
		"share NaN":           second(ChangesFor(40, 10, 0, nan)),
		"blend of 20":         second(Blend(Analysis{}, Analysis{}, 20)),
		"moist salt":          second(SeaSalt{Moisture: 15}.Batch(100, 35, 25, 0)),
		"moist salt to raise": second(SeaSalt{Moisture: nan}.SaltToRaise(100, 33, 35, 25)),
		"batch of S 90":       second(SeaSalt{}.Batch(100, 90, 25, 0)),
		"batch from S 90":     second(SeaSalt{}.Batch(100, 35, 25, 90)),
		"raise to S 90":       second(SeaSalt{}.SaltToRaise(100, 35, 90, 25)),
		"raise from S −1":     second(SeaSalt{}.SaltToRaise(100, -1, 35, 25)),
		"swap in ice":         second(SwapForSalinity(100, 35, 33, 0, -20)),
		"swap with S 90":      second(SwapForSalinity(100, 35, 36, 90, 25)),
		"lower from S 90":     second(FreshToLower(100, 90, 35, 25)),
		"top-off of S 90":     second(SaltTopOff(100, 33, 35, 90, 25)),
		"top-off at NaN":      second(SaltTopOff(100, 33, 35, 35, nan)),
		"negative top-off":    second(TopOff{Litres: 100, Daily: -1}.CarryOver()),
		"change of 10":        second(TopOff{Litres: 100, Daily: 1, DailyChange: 10}.Settles()),
		"chlorine of NaN":     second(Dechlorinate(100, nan, false)),
		"chlorine of bleach":  second(Dechlorinate(100, 50000, false)),
	} {
		if !errors.As(err, new(RangeError)) {
			t.Errorf("%s gave %v", name, err)
		}
	}
	for name, err := range map[string]error{
		"batch":         second(SeaSalt{}.Batch(0, 35, 25, 0)),
		"raise":         second(SeaSalt{}.SaltToRaise(-1, 33, 35, 25)),
		"swap":          second(SwapForSalinity(nan, 35, 33, 0, 25)),
		"lower":         second(FreshToLower(0, 35, 33, 25)),
		"salt top-off":  second(SaltTopOff(math.Inf(1), 33, 35, 35, 25)),
		"top-off":       second(TopOff{}.CarryOver()),
		"dechlorinate":  second(Dechlorinate(0, 1, false)),
		"known volumes": second(TopOff{Daily: 1}.Settles()),
	} {
		if !errors.Is(err, ErrVolume) {
			t.Errorf("%s of no volume gave %v", name, err)
		}
	}
	for name, err := range map[string]error{
		"salt lowers":         second(SeaSalt{}.SaltToRaise(100, 35, 33, 25)),
		"pure water raises":   second(FreshToLower(100, 33, 35, 25)),
		"salt top-off lowers": second(SaltTopOff(100, 35, 33, 35, 25)),
	} {
		if !errors.Is(err, ErrOtherWay) {
			t.Errorf("%s gave %v", name, err)
		}
	}
	if err := second(SaltTopOff(100, 33, 35, 0, 25)); !errors.Is(err, ErrNoEffect) {
		t.Errorf("top-off of pure water gave %v", err)
	}
	if err := second(ShareForMany(40, 10, 0, 0)); err == nil {
		t.Error("no changes reach a goal")
	}
	if err := second(ShareForMany(nan, 10, 0, 1)); err == nil {
		t.Error("a change from NaN is planned")
	}
	if err := second(BlendFor(Analysis{}, Analysis{Calcium: 1}, Calcium, 1)); !errors.As(err, new(*MissingError)) {
		t.Errorf("a blend of the unknown gave %v", err)
	}
}

func second[T any](_ T, err error) error { return err }

// sure panics on an error, for values that are in range.
func sure[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// A sequence tends to the continuous change as its steps get smaller; what
// leaves is what is lost; a water changed with itself stays.
func TestChangeLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, fresh := rapid.Float64Range(0, 500).Draw(t, "c"), rapid.Float64Range(0, 500).Draw(t, "fresh")
		turnover := rapid.Float64Range(0, 3).Draw(t, "turnover")
		const n = 100000
		many, steady := sure(DilutedByMany(c, turnover/n, fresh, n)), sure(DilutedContinuously(c, turnover, fresh))
		if math.Abs(many-steady) > 1e-4*(c+fresh) {
			t.Fatalf("%d small changes lead to %g, the continuous one to %g", n, many, steady)
		}
		if same := sure(DilutedContinuously(c, turnover, c)); math.Abs(same-c) > 1e-12*c {
			t.Fatalf("%g changed with itself is %g", c, same)
		}
		if math.Abs(c-fresh) < 1 {
			return
		}
		part := rapid.Float64Range(0.01, 0.99).Draw(t, "part")
		goal := c + part*(fresh-c)
		back, err1 := TurnoverFor(c, goal, fresh)
		times := rapid.IntRange(1, 20).Draw(t, "n")
		share, err2 := ShareForMany(c, goal, fresh, times)
		count, err3 := ChangesFor(c, goal, fresh, share)
		if errors.Join(err1, err2, err3) != nil || count != times ||
			math.Abs(sure(DilutedContinuously(c, back, fresh))-goal) > 1e-9*(c+fresh) ||
			math.Abs(sure(DilutedByMany(c, share, fresh, times))-goal) > 1e-9*(c+fresh) {
			t.Fatalf("to %g: turnover %g, %d changes of %g counted as %d; %v, %v, %v", goal, back, times, share, count, err1, err2, err3)
		}
	})
}

func TestBlend(t *testing.T) {
	a := Analysis{Calcium: 400, Nitrate: 10, PH: 8, Magnesium: 1300}
	b := Analysis{Calcium: 40, Nitrate: 50, PH: 7}
	got, err := Blend(a, b, 0.25)
	if err != nil || len(got) != 2 || got[Calcium] != 310 || got[Nitrate] != 20 {
		t.Errorf("the blend is %v, %v", got, err)
	}
	same, err := Blend(a, a, 0.3)
	want(t, "a water blended with itself", same[Calcium], err, 400, 1e-12)
	share, err := BlendFor(a, b, Calcium, 310)
	want(t, "share", share, err, 0.25, 1e-12)
}

// Half the sea of 35 PSU in pure water by volume: 1.0233412·35.16504 g of salt in
// 1.0233412 + 0.9970449 kg (EOS-80 at 25 °C), by hand 17.8114 g/kg or 17.728 PSU.
func TestBlendOfSalinity(t *testing.T) {
	got, err := Blend(Analysis{Salinity: 35}, Analysis{Salinity: 0}, 0.5)
	want(t, "salinity", got[Salinity], err, 17.728, 0.001)
	_, err = Blend(Analysis{Salinity: 35}, Analysis{Salinity: -1}, 0.5)
	if !errors.As(err, new(RangeError)) {
		t.Errorf("a salinity below zero gave %v", err)
	}
	for x, level := range map[Analyte]float64{Calcium: -1, Temperature: -300} {
		if got, err := Blend(Analysis{x: 10}, Analysis{x: level}, 0.5); !errors.As(err, new(RangeError)) || got != nil {
			t.Errorf("%s of %g gave %v, %v", x, level, got, err)
		}
	}
}

// The share for a goal of salinity gives that salinity, which a mean by volume misses
// by up to a quarter of a PSU.
func TestBlendForASalinity(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := Analysis{Salinity: rapid.Float64Range(0, 42).Draw(t, "a")}
		b := Analysis{Salinity: rapid.Float64Range(0, 42).Draw(t, "b")}
		goal := a[Salinity] + rapid.Float64Range(0, 1).Draw(t, "part")*(b[Salinity]-a[Salinity])
		goal = min(max(goal, min(a[Salinity], b[Salinity])), max(a[Salinity], b[Salinity])) // whatever the rounding
		share, err := BlendFor(a, b, Salinity, goal)
		if err != nil {
			t.Fatalf("%g and %g to %g: %v", a[Salinity], b[Salinity], goal, err)
		}
		got, err := Blend(a, b, share)
		if err != nil || math.Abs(got[Salinity]-goal) > 1e-9 {
			t.Fatalf("%g of %g in %g is %g, %v, not %g", share, b[Salinity], a[Salinity], got[Salinity], err, goal)
		}
	})
}

// A blend conserves the mass of every ion: what a reference sea of the blend's
// salinity holds is what two seas bring.
func TestBlendConservesMass(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s1, s2 := rapid.Float64Range(0, 42).Draw(t, "S1"), rapid.Float64Range(0, 42).Draw(t, "S2")
		share := rapid.Float64Range(0, 1).Draw(t, "share")
		a, err1 := ReferenceSeawater(s1, 25)
		b, err2 := ReferenceSeawater(s2, 25)
		blend, err3 := Blend(a, b, share)
		if err := errors.Join(err1, err2, err3); err != nil {
			t.Fatal(err)
		}
		straight, err := ReferenceSeawater(blend[Salinity], 25)
		if err != nil {
			t.Fatal(err)
		}
		for _, x := range []Analyte{Sodium, Magnesium, Calcium, Potassium, Strontium, Chloride, Sulfate, Bromide, Fluoride, Boron,
			Alkalinity} {
			if math.Abs(blend[x]-straight[x]) > 1e-9*straight[x]+1e-12 {
				t.Fatalf("%s is %g, the sea of %g PSU has %g", x, blend[x], blend[Salinity], straight[x])
			}
		}
	})
}

func TestTopOff(t *testing.T) {
	x := TopOff{Litres: 500, Daily: 5, DailyChange: 0.01, Source: Analysis{Nitrate: 20, PH: 7, Temperature: 15, Conductivity: 500},
		Change: Analysis{Nitrate: 2}}
	carried, err := x.CarryOver()
	if err != nil || len(carried) != 2 {
		t.Fatalf("%v, %v", carried, err)
	}
	want(t, "nitrate in a day", carried[Nitrate], err, 0.2, 1e-12)
	end, err := x.Settles()
	want(t, "nitrate in the end", end[Nitrate], err, 22, 1e-9)
	if _, known := end[Conductivity]; known {
		t.Error("the end of what the new water's level is not known of")
	}
	// Day by day it comes there.
	level := 0.0
	for range 3000 {
		level = sure(DilutedContinuously(level+carried[Nitrate], 0.01, 2))
	}
	want(t, "nitrate after years", level, nil, end[Nitrate], 0.2)
	x.DailyChange = 0
	x.Source[Copper] = 0
	end, err = x.Settles()
	if err != nil || !math.IsInf(end[Nitrate], 1) || len(end) != 2 {
		t.Errorf("without changes: %v, %v", end, err)
	}
}

// A kilogram of reference seawater of S 35 holds 35.16504 g (Millero et al.
// 2008): 100 L at 25 °C weigh 102.334 kg and take 3.5986 kg of dry salt.
func TestBatch(t *testing.T) {
	b, err := SeaSalt{}.Batch(100, 35, 25, 0)
	want(t, "salt", b.SaltKg, err, 3.59858, 1e-4)
	want(t, "water", b.WaterLitres, err, (102.33412-3.59858)/0.99704642, 1e-3)
	damp, err := SeaSalt{Moisture: 0.1}.Batch(100, 35, 25, 0)
	want(t, "damp salt", damp.SaltKg, err, b.SaltKg/0.9, 1e-9)
	none, err := SeaSalt{}.Batch(100, 35, 25, 35)
	want(t, "salt for what is salt", none.SaltKg, err, 0, 0)
	want(t, "water for what is salt", none.WaterLitres, err, 100, 1e-9)
}

// Salt and mass are conserved by every correction.
func TestSalinityCorrectionLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		litres := rapid.Float64Range(1, 1e5).Draw(t, "litres")
		tC := rapid.Float64Range(0, 35).Draw(t, "T")
		low := rapid.Float64Range(0.1, 40).Draw(t, "low")
		high := rapid.Float64Range(low, 42).Draw(t, "high")
		moist := SeaSalt{Moisture: rapid.Float64Range(0, 0.4).Draw(t, "moisture")}
		kg := func(s, l float64) (mass, salt float64) {
			rho, err1 := seawater.Density(s, tC)
			g, err2 := seawater.ReferenceSalinity(s)
			if err := errors.Join(err1, err2); err != nil {
				t.Fatal(err)
			}
			return rho * l / 1000, rho * l / 1000 * g / 1000
		}
		same := func(what string, mass, salt, s float64) {
			g, _ := seawater.ReferenceSalinity(s)
			if math.Abs(salt/mass-g/1000) > 1e-12 {
				t.Fatalf("%s: %g g/kg, want %g", what, 1000*salt/mass, g)
			}
		}
		b, err := moist.Batch(litres, high, tC, low)
		if err != nil {
			t.Fatal(err)
		}
		mass, salt := kg(low, b.WaterLitres)
		same("batch", mass+b.SaltKg, salt+b.SaltKg*(1-moist.Moisture), high)
		if made, _ := kg(high, litres); math.Abs(made-mass-b.SaltKg) > 1e-9*made {
			t.Fatalf("the batch weighs %g of %g", mass+b.SaltKg, made)
		}
		x, err := moist.SaltToRaise(litres, low, high, tC)
		if err != nil {
			t.Fatal(err)
		}
		mass, salt = kg(low, litres)
		same("raise", mass+x, salt+x*(1-moist.Moisture), high)
		add, err := FreshToLower(litres, high, low, tC)
		if err != nil {
			t.Fatal(err)
		}
		mass, salt = kg(high, litres)
		water, _ := kg(0, add)
		same("lower", mass+water, salt, low)
		between := low + 0.5*(high-low)
		for _, way := range [][2]float64{{low, high}, {high, low}} {
			out, err := SwapForSalinity(litres, way[0], between, way[1], tC)
			if err != nil {
				t.Fatal(err)
			}
			m1, s1 := kg(way[0], litres-out)
			m2, s2 := kg(way[1], out)
			same("swap", m1+m2, s1+s2, between)
		}
		top, err := SaltTopOff(litres, low, high, 35, tC)
		if err != nil {
			t.Fatal(err)
		}
		_, before := kg(low, litres)
		_, after := kg(high, litres)
		if _, in := kg(35, top); math.Abs(before+in-after) > 1e-9*after {
			t.Fatalf("salt top-off brings %g of %g kg", in, after-before)
		}
	})
}

func TestNothingToCorrect(t *testing.T) {
	swap, err := SwapForSalinity(100, 35, 35, 35, 25)
	want(t, "swap", swap, err, 0, 0)
	add, err := FreshToLower(100, 35, 35, 25)
	want(t, "pure water", add, err, 0, 0)
	add, err = FreshToLower(100, 0, 0, 25)
	want(t, "pure water into pure water", add, err, 0, 0)
}

// Handbook figures of waste-water treatment (Metcalf and Eddy, Wastewater
// Engineering; from memory): nitrifying 1 mg of N takes 7.14 mg of alkalinity as
// CaCO3 and 4.57 mg of oxygen, denitrifying gives 3.57 mg back.
func TestNitrogen(t *testing.T) {
	n, err := Convert(Ammonia, 1, NH4N, MgL, Water{})
	if err != nil {
		t.Fatal(err)
	}
	e := sure(Nitrification(n))
	caCO3, err := Convert(Alkalinity, -e[Alkalinity], MeqL, CaCO3, Water{})
	want(t, "alkalinity for 1 mg N", caCO3, err, 7.14, 0.01)
	want(t, "oxygen for 1 mg N", -e[Oxygen], nil, 4.57, 0.005)
	asN, err := Convert(Nitrate, e[Nitrate], MgL, NO3N, Water{})
	want(t, "nitrogen is conserved", asN, err, 1, 1e-12)
	d := sure(Denitrification(e[Nitrate]))
	want(t, "half comes back", d[Alkalinity], nil, -e[Alkalinity]/2, 1e-12)
	want(t, "all nitrate goes", d[Nitrate]+e[Nitrate], nil, 0, 1e-12)
}

// Two equivalents for a mole of calcium: 20.04 mg/L for 1 meq/L, and dosing lime
// gives back just what a skeleton took.
func TestCalcification(t *testing.T) {
	e := sure(Calcification(1))
	want(t, "calcium", e[Calcium], nil, -20.039, 1e-9)
	want(t, "hardness", e[Hardness], nil, -0.5, 1e-12)
	lime := effects(t, solid("Ca(OH)2", 1))
	want(t, "lime", lime[Calcium]/lime[Alkalinity], nil, e[Calcium]/e[Alkalinity], 1e-9)
}

// The trade's 7 mg of thiosulfate crystals for 1 mg of chlorine is two moles for
// one, 2·248.17/70.9; the tables of AWWA C651 (1.2 lb in 100 000 US gallons for 1 mg/L, from
// memory) lie between the two reactions.
func TestDechlorinate(t *testing.T) {
	d, err := Dechlorinate(1000, 1, false)
	want(t, "grams", d.Grams, err, 7.0, 0.005)
	want(t, "least", d.Least, err, 0.875, 0.001)
	want(t, "ammonia of chlorine", d.Ammonia, err, 0, 0)
	if awwa := 1.2 * 453.59237 / 378.5411784; awwa < d.Least || awwa > d.Grams {
		t.Errorf("AWWA's %g g is outside %g to %g", awwa, d.Least, d.Grams)
	}
	d, err = Dechlorinate(1000, 2, true)
	want(t, "ammonia of chloramine", d.Ammonia, err, 2/70.9*18.039, 1e-9)
}

func TestKnownAddition(t *testing.T) {
	good := KnownAddition{Mass: 3000, MassUncertainty: 30, Before: 420, BeforeScatter: 0.3, After: 430, AfterScatter: 0.4, Slope: 0.02}
	litres, u, err := good.Volume()
	want(t, "litres", litres, err, 300, 1e-9)
	want(t, "uncertainty", u, nil, 300*math.Sqrt(0.01*0.01+0.05*0.05+0.02*0.02), 1e-9)
	with := func(change func(*KnownAddition)) KnownAddition {
		k := good
		change(&k)
		return k
	}
	for _, c := range []struct {
		name  string
		k     KnownAddition
		field string
		text  string
	}{
		{"no mass", with(func(k *KnownAddition) { k.Mass = 0 }), "mass", "An added mass of 0 cannot be: give a mass above zero"},
		{"mass not a number", with(func(k *KnownAddition) { k.Mass = math.NaN() }), "mass",
			"An added mass of NaN cannot be: give a mass above zero"},
		{"no rise", with(func(k *KnownAddition) { k.After = 420 }), "after",
			"The concentration has not risen: check both readings, and wait until it is mixed"},
		{"a slope below zero", with(func(k *KnownAddition) { k.Slope = -0.01 }), "slope",
			"A doubt of the method's slope of -0.01 cannot be: give zero or more"},
		{"a scatter below zero", with(func(k *KnownAddition) { k.AfterScatter = -0.4 }), "scatter",
			"A scatter below zero cannot be: give zero or more"},
		{"no scatter's number", with(func(k *KnownAddition) { k.BeforeScatter = math.NaN() }), "scatter",
			"A scatter below zero cannot be: give zero or more"},
		{"rise in the noise", with(func(k *KnownAddition) { k.After = 422 }), "after",
			"The rise of 2 is too small beside the readings' scatter of 0.5: repeat the readings, or measure with something safe to " +
				"add more of"},
	} {
		litres, u, err := c.k.Volume()
		var e *AdditionError
		if !errors.As(err, &e) || e.Field != c.field || e.Error() != c.text || litres != 0 || u != 0 {
			t.Errorf("%s gave %g, %g, %v", c.name, litres, u, err)
		}
	}
}

// The volume that a known addition finds is the one it was made in.
func TestKnownAdditionFindsTheVolume(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		volume := rapid.Float64Range(20, 5000).Draw(t, "V")
		before := rapid.Float64Range(0, 400).Draw(t, "before")
		rise := rapid.Float64Range(5, 50).Draw(t, "rise")
		k := KnownAddition{Mass: rise * volume, Before: before, After: before + rise}
		litres, u, err := k.Volume()
		if err != nil || math.Abs(litres-volume) > 1e-9*volume || u != 0 {
			t.Fatalf("%g L came out as %g ± %g, %v", volume, litres, u, err)
		}
	})
}

// A dose and its inverse leave nothing.
func TestDoseAndInverse(t *testing.T) {
	acid, base := solid("HCl", 1), solid("NaOH", 1)
	ea, eb := effects(t, acid), effects(t, base)
	rapid.Check(t, func(t *rapid.T) {
		meq, litres := rapid.Float64Range(0.01, 5).Draw(t, "meq/L"), rapid.Float64Range(1, 1e5).Draw(t, "L")
		a, err1 := Amount(ea[Alkalinity], -meq, litres)
		b, err2 := Amount(eb[Alkalinity], meq, litres)
		if errors.Join(err1, err2) != nil {
			t.Fatal(err1, err2)
		}
		left := sure(Delta(ea[Alkalinity], a, litres)) + sure(Delta(eb[Alkalinity], b, litres))
		if math.Abs(left) > 1e-12*meq {
			t.Fatalf("%g meq/L are left", left)
		}
	})
}
