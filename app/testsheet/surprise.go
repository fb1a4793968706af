package testsheet

import (
	"weirkeeper/app/say"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// surprise asks about a value far from what the fit, or else the last values,
// let expect. instead is what a slip of the decimal point would have been, in
// the column's unit and the water that the value is of.
func (s *sheet) surprise(c column, r tanks.Reading, water chem.Water) (ask, instead string) {
	if doubt := s.room.Mistaken(r); doubt != "" {
		return say.L(doubt), ""
	}
	finding := s.room.Surprise(r, s.recent[r.Cell()])
	if !finding.Surprising {
		return "", ""
	}
	show := func(v float64) words.Text { return chem.Format(c.analyte, v, c.unit, water) }
	if finding.Places != 0 {
		instead = say.L(show(finding.Slip))
	}
	return say.L(finding.Sentence(show)), instead
}
