package room

import (
	"slices"
	"testing"

	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

// The board offers every analyte that the shown systems are asked to be tested for:
// the eight of most systems first, in catalogue order, then the others, the rarest
// last, so that a narrow window leaves those out.
func TestUsualColumns(t *testing.T) {
	asked := map[tanks.SystemID][]chem.Analyte{
		1: {
			chem.Temperature,
			chem.Salinity,
			chem.PH,
			chem.Alkalinity,
			chem.Calcium,
			chem.Magnesium,
			chem.Nitrate,
			chem.Phosphate,
			chem.Iodine,
			chem.Strontium,
		},
		2: {
			chem.Temperature,
			chem.Salinity,
			chem.PH,
			chem.Alkalinity,
			chem.Calcium,
			chem.Magnesium,
			chem.Nitrate,
			chem.Phosphate,
			chem.Strontium,
		},
		3: {chem.Temperature, chem.Hardness},
		4: {chem.Temperature, chem.Salinity, chem.PH, chem.Alkalinity, chem.Calcium, chem.Magnesium, chem.Nitrate, chem.Phosphate},
	}
	r := &board.Board{Bands: map[tanks.SystemID][]tanks.Band{}}
	for _, id := range []tanks.SystemID{1, 2, 3, 4} {
		kind := tanks.Marine
		if id == 3 {
			kind = tanks.Freshwater
		}
		r.Systems = append(r.Systems, tanks.System{ID: id, Kind: kind})
		for _, a := range asked[id] {
			r.Bands[id] = append(r.Bands[id], tanks.Band{Analyte: a})
		}
	}
	got := usualColumns(r, filter{})
	want := []chem.Analyte{
		chem.Temperature,
		chem.Salinity,
		chem.PH,
		chem.Alkalinity,
		chem.Calcium,
		chem.Magnesium,
		chem.Nitrate,
		chem.Phosphate,
	}
	if !slices.Equal(got[:commonColumns], want) {
		t.Errorf("first are %v, want %v", got[:commonColumns], want)
	}
	if others := got[commonColumns:]; len(others) != 3 || others[0] != chem.Strontium {
		t.Errorf("then %v, want strontium, of two systems, first", others)
	}
	if got := usualColumns(r, filter{kind: tanks.Freshwater}); !slices.Equal(got, []chem.Analyte{chem.Temperature, chem.Hardness}) {
		t.Errorf("of fresh water %v", got)
	}
}
