package samples

import (
	"testing"

	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// The laboratories and methods are invented.
func TestMethodOfALaboratory(t *testing.T) {
	method := func(id tanks.MethodID, name string, a chem.Analyte) tanks.Method {
		return tanks.Method{ID: id, Name: name, Kind: tanks.Lab, Analyte: a, Unit: chem.MgL}
	}
	result := func(a chem.Analyte, by tanks.MethodID) tanks.Reading { return tanks.Reading{Analyte: a, Method: by} }
	spectrometry, northern := method(1, "Spectrometry", chem.Calcium), method(2, "Northern, plasma", chem.Calcium)
	magnesium := method(3, "Spectrometry", chem.Magnesium)
	kit := tanks.Method{ID: 4, Name: "Kit", Kind: tanks.Kit, Analyte: chem.Calcium}
	retired := method(5, "Southern", chem.Calcium)
	retired.Retired = true
	for name, c := range map[string]struct {
		methods []tanks.Method
		names   []string
		results map[string][]tanks.Reading
		lab     string
		analyte chem.Analyte
		want    tanks.MethodID // zero: to be asked for
	}{
		"the only one there is":                   {[]tanks.Method{spectrometry, kit}, nil, nil, "Southern", chem.Calcium, 1},
		"none for the analyte":                    {[]tanks.Method{spectrometry}, nil, nil, "Southern", chem.Magnesium, 0},
		"two, and nothing tells them apart":       {[]tanks.Method{spectrometry, northern}, nil, nil, "Southern", chem.Calcium, 0},
		"the one that carries its name":           {[]tanks.Method{spectrometry, northern}, nil, nil, " northern", chem.Calcium, 2},
		"not the one that carries another's name": {[]tanks.Method{spectrometry, northern}, []string{"northern", "southern"}, nil, "Southern", chem.Calcium, 1},
		"a name that only begins alike":           {[]tanks.Method{spectrometry, northern}, nil, nil, "North", chem.Calcium, 0},
		"that of its newest result, whatever its name": {
			[]tanks.Method{spectrometry, northern}, []string{"northern"},
			map[string][]tanks.Reading{"northern": {result(chem.Calcium, 1), result(chem.Calcium, 2)}}, "Northern", chem.Calcium, 1,
		},
		"a retired one is not its method": {
			[]tanks.Method{spectrometry, retired}, []string{"southern"},
			map[string][]tanks.Reading{"southern": {result(chem.Calcium, 5)}}, "Southern", chem.Calcium, 1,
		},
		"another's by its results": {
			[]tanks.Method{spectrometry}, []string{"northern", "southern"},
			map[string][]tanks.Reading{"northern": {result(chem.Calcium, 1)}}, "Southern", chem.Calcium, 0,
		},
		"of the name of its other methods": {
			[]tanks.Method{spectrometry, northern, magnesium}, []string{"southern"},
			map[string][]tanks.Reading{"southern": {result(chem.Magnesium, 3)}}, "Southern", chem.Calcium, 1,
		},
		"of the name of another's other methods": {
			[]tanks.Method{spectrometry, magnesium}, []string{"northern", "southern"},
			map[string][]tanks.Reading{"northern": {result(chem.Magnesium, 3)}}, "Southern", chem.Calcium, 0,
		},
		"a sample without a laboratory": {[]tanks.Method{spectrometry, northern}, []string{"", "northern"}, nil, "", chem.Calcium, 1},
	} {
		t.Run(name, func(t *testing.T) {
			methods := map[tanks.MethodID]tanks.Method{}
			for _, m := range c.methods {
				methods[m.ID] = m
			}
			got, ok := labsOf(methods, c.names, c.results).methodOf(c.lab, c.analyte)
			if got.ID != c.want || ok != (c.want != 0) {
				t.Errorf("method %d (%v), want %d", got.ID, ok, c.want)
			}
		})
	}
}
