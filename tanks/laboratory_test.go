package tanks

import (
	"maps"
	"testing"

	"weirkeeper/chem"
)

// The laboratories and methods are invented.
func TestMethodOfALaboratory(t *testing.T) {
	method := func(id MethodID, name string, a chem.Analyte) Method {
		return Method{ID: id, Name: name, Kind: Lab, Analyte: a, Unit: chem.MgL}
	}
	result := func(a chem.Analyte, by MethodID) Reading { return Reading{Analyte: a, Method: by} }
	spectrometry, northern := method(1, "Spectrometry", chem.Calcium), method(2, "Northern, plasma", chem.Calcium)
	magnesium := method(3, "Spectrometry", chem.Magnesium)
	kit := Method{ID: 4, Name: "Kit", Kind: Kit, Analyte: chem.Calcium}
	retired := method(5, "Southern", chem.Calcium)
	retired.Retired = true
	for name, c := range map[string]struct {
		methods []Method
		others  []string // that have no result yet
		results map[string][]Reading
		lab     string
		analyte chem.Analyte
		want    MethodID // zero: to be asked for
	}{
		"the only one there is":             {[]Method{spectrometry, kit}, nil, nil, "Southern", chem.Calcium, 1},
		"none for the analyte":              {[]Method{spectrometry}, nil, nil, "Southern", chem.Magnesium, 0},
		"two, and nothing tells them apart": {[]Method{spectrometry, northern}, nil, nil, "Southern", chem.Calcium, 0},
		"the one that carries its name":     {[]Method{spectrometry, northern}, nil, nil, " northern", chem.Calcium, 2},
		"not the one that carries another's name": {
			[]Method{spectrometry, northern}, []string{"northern", "southern"}, nil, "Southern", chem.Calcium, 1,
		},
		"a name that only begins alike": {[]Method{spectrometry, northern}, nil, nil, "North", chem.Calcium, 0},
		"that of its newest result, whatever its name": {
			[]Method{spectrometry, northern}, []string{"northern"},
			map[string][]Reading{"northern": {result(chem.Calcium, 1), result(chem.Calcium, 2)}}, "Northern", chem.Calcium, 1,
		},
		"a retired one is not its method": {
			[]Method{spectrometry, retired}, []string{"southern"},
			map[string][]Reading{"southern": {result(chem.Calcium, 5)}}, "Southern", chem.Calcium, 1,
		},
		"another's by its results": {
			[]Method{spectrometry}, []string{"northern", "southern"},
			map[string][]Reading{"northern": {result(chem.Calcium, 1)}}, "Southern", chem.Calcium, 0,
		},
		"of the name of its other methods": {
			[]Method{spectrometry, northern, magnesium}, []string{"southern"},
			map[string][]Reading{"southern": {result(chem.Magnesium, 3)}}, "Southern", chem.Calcium, 1,
		},
		"of the name of another's other methods": {
			[]Method{spectrometry, magnesium}, []string{"northern", "southern"},
			map[string][]Reading{"northern": {result(chem.Magnesium, 3)}}, "Southern", chem.Calcium, 0,
		},
		"a sample without a laboratory": {[]Method{spectrometry, northern}, []string{"", "northern"}, nil, "", chem.Calcium, 1},
	} {
		t.Run(name, func(t *testing.T) {
			methods := map[MethodID]Method{}
			for _, m := range c.methods {
				methods[m.ID] = m
			}
			results := map[string][]Reading{}
			for _, other := range c.others {
				results[other] = nil
			}
			maps.Copy(results, c.results)
			got, ok := NewLaboratories(methods, results).MethodOf(c.lab, c.analyte)
			if got.ID != c.want || ok != (c.want != 0) {
				t.Errorf("method %d (%v), want %d", got.ID, ok, c.want)
			}
		})
	}
}
