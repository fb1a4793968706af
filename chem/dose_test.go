package chem

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestAmount(t *testing.T) {
	if got, err := Amount(27.26, 10, 100); err != nil || math.Abs(got-1000/27.26) > 1e-12 {
		t.Errorf("the amount is %g, %v", got, err)
	}
	if got, err := Amount(-2, -1, 10); err != nil || got != 5 {
		t.Errorf("a lowering product is %g, %v", got, err)
	}
	if got, err := Amount(2, 0, 10); err != nil || got != 0 {
		t.Errorf("no gap is %g, %v", got, err)
	}
	for _, c := range []struct {
		name                string
		effect, gap, litres float64
		want                error
	}{
		{"no volume", 1, 1, 0, ErrVolume},
		{"negative volume", 1, 1, -5, ErrVolume},
		{"infinite volume", 1, 1, math.Inf(1), ErrVolume},
		{"NaN volume", 1, 1, math.NaN(), ErrVolume},
		{"no effect", 0, 1, 1, ErrNoEffect},
		{"NaN effect", math.NaN(), 1, 1, ErrNoEffect},
		{"too high", 1, -1, 1, ErrOtherWay},
		{"lowers", -1, 1, 1, ErrOtherWay},
	} {
		if got, err := Amount(c.effect, c.gap, c.litres); !errors.Is(err, c.want) || got != 0 {
			t.Errorf("%s: %g, %v", c.name, got, err)
		}
	}
	if _, err := Amount(1, math.NaN(), 1); err == nil {
		t.Error("a NaN gap is dosed")
	}
}

func TestAmountClosesGap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		effect := rapid.Float64Range(1e-6, 1e3).Draw(t, "effect")
		gap := rapid.Float64Range(0, 1e3).Draw(t, "gap")
		litres := rapid.Float64Range(1, 1e5).Draw(t, "litres")
		amount, err := Amount(effect, gap, litres)
		if err != nil {
			t.Fatal(err)
		}
		if got := sure(Delta(effect, amount, litres)); math.Abs(got-gap) > 1e-12*gap {
			t.Fatalf("%g closes %g of %g", amount, got, gap)
		}
	})
}

func TestWaterChange(t *testing.T) {
	if got := sure(DilutedBy(40, 0.25, 0)); got != 30 {
		t.Errorf("a quarter of nitrate-free water leaves %g of 40", got)
	}
	if got, err := ShareFor(40, 10, 0); err != nil || got != 0.75 {
		t.Errorf("from 40 to 10 takes %g, %v", got, err)
	}
	if got, err := ShareFor(5, 5, 5); err != nil || got != 0 {
		t.Errorf("no change takes %g, %v", got, err)
	}
	for _, c := range []struct {
		name           string
		c, goal, fresh float64
		want           error
	}{
		{"below the fresh water", 40, 1, 5, ErrFreshCant},
		{"the other way", 40, 45, 5, ErrFreshCant},
		{"the same water", 40, 30, 40, ErrFreshCant},
		{"above the fresh water", 5, 50, 40, ErrFreshCant},
	} {
		if got, err := ShareFor(c.c, c.goal, c.fresh); !errors.Is(err, c.want) || got != 0 {
			t.Errorf("%s: %g, %v", c.name, got, err)
		}
	}
	for _, v := range []float64{math.NaN(), math.Inf(1)} {
		_, e1 := ShareFor(v, 1, 2)
		_, e2 := ShareFor(1, v, 2)
		_, e3 := ShareFor(1, 2, v)
		if e1 == nil || e2 == nil || e3 == nil {
			t.Errorf("%g is taken: %v, %v, %v", v, e1, e2, e3)
		}
	}
}

func TestWaterChangeLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := rapid.Float64Range(0, 1000).Draw(t, "c")
		fresh := rapid.Float64Range(0, 1000).Draw(t, "fresh")
		f := rapid.Float64Range(0, 1).Draw(t, "f")
		if got := sure(DilutedBy(c, f, c)); math.Abs(got-c) > 1e-12*c {
			t.Fatalf("water changed with itself became %g of %g", got, c)
		}
		if math.Abs(c-fresh) < 1e-3 {
			return
		}
		goal := min(max(sure(DilutedBy(c, f, fresh)), min(c, fresh)), max(c, fresh))
		share, err := ShareFor(c, goal, fresh)
		if err != nil || math.Abs(share-f) > 1e-8 {
			t.Fatalf("a share of %g is found as %g, %v", f, share, err)
		}
	})
}
