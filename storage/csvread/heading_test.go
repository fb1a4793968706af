package csvread

import (
	"testing"

	"weirkeeper/chem"
)

func TestHeadingsOfAnalytes(t *testing.T) {
	for text, want := range map[string]struct {
		analyte chem.Analyte
		unit    chem.Unit
		known   bool
	}{
		"Calcium":      {chem.Calcium, "", true},
		"Ca (mg/L)":    {chem.Calcium, chem.MgL, true},
		"KH, dKH":      {chem.Alkalinity, chem.DKH, true},
		"Ca mg/L":      {chem.Calcium, chem.MgL, true},
		"calcium mg/L": {chem.Calcium, chem.MgL, true},
		" Ca mg/L ":    {chem.Calcium, chem.MgL, true},
		"O2 %":         {chem.Oxygen, chem.Saturation, true},
		"O2 (% sat)":   {chem.Oxygen, chem.Saturation, true},
		"Ca test":      {0, "", false},
		"Ca dKH":       {0, "", false},
	} {
		a, u, ok := analyteHeading(text)
		if a != want.analyte || u != want.unit || ok != want.known {
			t.Errorf("%q is %v in %q, %t; want %v in %q, %t", text, a, u, ok, want.analyte, want.unit, want.known)
		}
	}
}
