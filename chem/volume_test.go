package chem

import (
	"math"
	"testing"
)

// 231 cubic inches of 2.54 cm (NIST SP 811) and 4.54609 L (UK Act of 1985).
func TestVolumeUnits(t *testing.T) {
	if got := USGallon.Litres(); math.Abs(got-231*2.54*2.54*2.54/1000) > 1e-12 {
		t.Errorf("a US gallon is %v L", got)
	}
	if got := ImperialGallon.Of(4.54609); got != 1 {
		t.Errorf("4.54609 L are %v imperial gallons", got)
	}
	for name, c := range map[string]struct {
		got, want string
	}{
		"litres":             {Litre.Volume(340.4, 0).String(), "340 L"},
		"few gallons":        {USGallon.Volume(340, 0).String(), "89.8 US gal"},
		"many gallons":       {USGallon.Volume(3400, 0).String(), "898 US gal"},
		"imperial":           {ImperialGallon.Volume(45.4609, 1).String(), "10.00 imp gal"},
		"with its certainty": {Litre.VolumeWithin(340, 6.8).String(), "340 ± 7 L"},
		"without one":        {Litre.VolumeWithin(340, 0).String(), "340 L"},
		"a loss":             {USGallon.Number(-37.85411784, 0).String(), "−10.0"},
	} {
		if c.got != c.want {
			t.Errorf("%s: %q, want %q", name, c.got, c.want)
		}
	}
}
