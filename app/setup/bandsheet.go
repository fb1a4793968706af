package setup

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"weirkeeper/app/say"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// Columns of the grid of bands.
const (
	colLow = iota
	colAim
	colHigh
	colRise
	colStep
	colEvery
	colSalinity
	bandColumns
)

var bandHeads = [bandColumns][2]words.Text{
	{
		"Low",
		"in the unit shown",
	}, {"Aim", ""}, {"High", ""}, {"Safe change", "a day"}, {"Largest step", "one dose"}, {"Test every", "days"}, {"At salinity", "for major ions"},
}

// bandFields are the columns' names in a band's faults.
var bandFields = [bandColumns]string{"low", "aim", "high", "max_rise", "max_step", "test_every", "at_salinity"}

// bandRow is one band as typed, in the unit shown.
type bandRow struct {
	analyte chem.Analyte
	unit    chem.Unit
	psu     chem.Unit  // in which its salinity is typed
	of      chem.Water // that the band is for, where it names no salinity
	typed   [bandColumns]string
	fault   [bandColumns]string
}

// bandSheet is the grid of the bands of a profile or a system.
type bandSheet struct {
	rows     []bandRow
	saved    []bandRow  // as the ledger has them
	salinity chem.Unit  // in which the salinity of a band is typed
	kind     tanks.Kind // of the water that they are for
	edits    int        // how often something was typed
}

// changed tells whether the bands differ from those of the ledger.
func (s *bandSheet) changed() bool {
	return !slices.EqualFunc(s.rows, s.saved, func(a, b bandRow) bool { return a.analyte == b.analyte && a.typed == b.typed })
}

func newBandSheet(bands []tanks.Band, unit func(chem.Analyte) chem.Unit, kind tanks.Kind) *bandSheet {
	s := &bandSheet{salinity: unit(chem.Salinity), kind: kind}
	for _, b := range bands {
		s.rows = append(s.rows, rowOf(b, unit(b.Analyte), s.salinity, s.water()))
	}
	return s
}

// water is what the kind tells of it.
func (s *bandSheet) water() chem.Water {
	return tanks.System{Kind: s.kind}.Water(func(chem.Analyte) (tanks.Reading, bool) { return tanks.Reading{}, false })
}

// newRow is a row for an analyte that has no band yet: with the usual limits of its
// change.
func (s *bandSheet) newRow(a chem.Analyte, unit chem.Unit) bandRow {
	b := tanks.Band{Analyte: a}
	if limits, known := tanks.DefaultLimits(s.kind, a); known {
		b.MaxRise, b.MaxStep = limits.Day, limits.Step
	}
	return rowOf(b, unit, s.salinity, s.water())
}

// limits says the usual limits of a row's change, and what holds where no step is given.
func (s *bandSheet) limits(row int) string {
	if row < 0 || row >= len(s.rows) {
		return ""
	}
	r := &s.rows[row]
	limits, known := tanks.DefaultLimits(s.kind, r.analyte)
	if !known {
		return say.F("%s, %s: no usual limit of its change is known.", r.analyte, s.kind)
	}
	text := say.F("%s, %s: usually at most %s %s a day, %s %s in one dose or water change (%s).", r.analyte, s.kind,
		r.change(limits.Day), r.unit, r.change(limits.Step), r.unit, limits.Source)
	if step, _ := r.band().Step(s.kind); r.typed[colStep] == "" && r.clean() {
		text = say.F("%s Left empty, the largest step is %s %s.", text, r.change(step), r.unit)
	}
	return text
}

// change writes a canonical change in the row's unit.
func (r *bandRow) change(canonical float64) string {
	info, _ := chem.Lookup(r.analyte)
	in, err := chem.ConvertDelta(r.analyte, max(info.Low, 0), canonical, info.Unit, r.unit, r.water())
	if err != nil {
		return ""
	}
	return widgets.PlainNumber(round(in))
}

// rowOf writes a band in a unit.
func rowOf(b tanks.Band, unit, salinity chem.Unit, of chem.Water) bandRow {
	r := bandRow{analyte: b.Analyte, unit: unit, psu: salinity, of: of}
	info, _ := chem.Lookup(b.Analyte)
	water := of
	if b.AtSalinity > 0 {
		water = chem.WaterOf(b.AtSalinity)
	}
	if b.HasEdges() {
		for col, v := range map[int]float64{colLow: b.Low, colAim: b.Aim, colHigh: b.High} {
			if in, err := chem.Convert(b.Analyte, v, info.Unit, unit, water); err == nil {
				r.typed[col] = widgets.PlainNumber(round(in))
			}
		}
	}
	for col, change := range map[int]float64{colRise: b.MaxRise, colStep: b.MaxStep} {
		if change <= 0 {
			continue
		}
		if in, err := chem.ConvertDelta(b.Analyte, b.Low, change, info.Unit, unit, water); err == nil {
			r.typed[col] = widgets.PlainNumber(round(in))
		}
	}
	if b.TestEvery > 0 {
		r.typed[colEvery] = widgets.PlainNumber(b.TestEvery.Hours() / 24)
	}
	if b.AtSalinity > 0 {
		if in, err := chem.Convert(chem.Salinity, b.AtSalinity, chem.PSU, salinity, chem.Water{}); err == nil {
			r.typed[colSalinity] = widgets.PlainNumber(round(in))
		}
	}
	return r
}

// round takes the dust of a conversion away: seven digits.
func round(v float64) float64 {
	if v == 0 {
		return 0
	}
	scale := math.Pow(10, 7-math.Ceil(math.Log10(math.Abs(v))))
	return math.Round(v*scale) / scale
}

// Rows implements widgets.GridModel.
func (s *bandSheet) Rows() int { return len(s.rows) }

// Columns implements widgets.GridModel.
func (s *bandSheet) Columns() int { return bandColumns }

// ColumnHead implements widgets.GridModel.
func (s *bandSheet) ColumnHead(col int) (title, subtitle string) {
	if col == colSalinity {
		return say.L(bandHeads[col][0]), say.F("%s, %s", s.salinity, bandHeads[col][1])
	}
	return say.L(bandHeads[col][0]), say.L(bandHeads[col][1])
}

// RowHead implements widgets.GridModel.
func (s *bandSheet) RowHead(row int) (bold, text string) {
	return say.Of(s.rows[row].analyte), string(s.rows[row].unit)
}

// Cell implements widgets.GridModel.
func (s *bandSheet) Cell(row, col int) widgets.GridCell {
	r := s.rows[row]
	return widgets.GridCell{Text: r.typed[col], Due: true, Bad: r.fault[col] != "", Message: r.fault[col]}
}

// typeIn takes over a cell and looks at its row.
func (s *bandSheet) typeIn(row, col int, text string) {
	s.rows[row].typed[col] = strings.TrimSpace(text)
	s.rows[row].band()
}

// bands returns what was typed; an error names the first fault and where it is.
func (s *bandSheet) bands() ([]tanks.Band, error) {
	var out []tanks.Band
	for i := range s.rows {
		r := &s.rows[i]
		b := r.band()
		for col, fault := range r.fault {
			if fault != "" {
				return nil, tanks.Fault{
					Field:   fmt.Sprintf("bands.%d.%s", i, bandFields[col]),
					Problem: words.T("%s, %s: %s", r.analyte, bandHeads[col][0], fault),
				}
			}
		}
		out = append(out, b)
	}
	return out, nil
}

// firstFault returns the first cell that is wrong.
func (s *bandSheet) firstFault() (row, col int, ok bool) {
	for row, r := range s.rows {
		for col, fault := range r.fault {
			if fault != "" {
				return row, col, true
			}
		}
	}
	return 0, 0, false
}

// band reads the row and notes what is wrong with each cell.
func (r *bandRow) band() tanks.Band {
	r.fault = [bandColumns]string{}
	b := tanks.Band{Analyte: r.analyte}
	level := func(col int) (float64, bool) {
		if r.typed[col] == "" {
			return 0, false
		}
		v, err := r.read(col)
		if err != nil {
			r.fault[col] = say.Of(err)
			return 0, false
		}
		return v, true
	}
	low, hasLow := level(colLow)
	aim, hasAim := level(colAim)
	high, hasHigh := level(colHigh)
	if !hasAim && hasLow && hasHigh && r.fault[colAim] == "" {
		aim, hasAim = (low+high)/2, true
	}
	b.Low, b.Aim, b.High = low, aim, high
	if (hasLow || hasAim || hasHigh) && r.clean() {
		for col, has := range map[int]bool{colLow: hasLow, colHigh: hasHigh} {
			if !has {
				r.fault[col] = say.L("A band needs low and high: give both, or leave all three empty.")
			}
		}
	}
	b.MaxRise, b.MaxStep = r.typedChange(colRise, low), r.typedChange(colStep, low)
	if r.typed[colStep] != "" && b.MaxStep == 0 && r.fault[colStep] == "" {
		r.fault[colStep] = say.L("A step of nothing allows no dose: give more, or leave it empty.")
	}
	if every, ok := level(colEvery); ok {
		b.TestEvery = time.Duration(every * 24 * float64(time.Hour))
	}
	b.AtSalinity, _ = level(colSalinity)
	if r.clean() {
		for _, f := range tanks.FaultsOf(b.Validate()) {
			for col, field := range bandFields {
				if field == f.Field {
					r.fault[col] = say.Of(f)
				}
			}
		}
	}
	return b
}

// typedChange reads a change at a level; less than nothing stays so, for its fault.
func (r *bandRow) typedChange(col int, low float64) float64 {
	if r.typed[col] == "" {
		return 0
	}
	typed, err := r.read(col)
	if err != nil {
		r.fault[col] = say.Of(err)
		return 0
	}
	info, _ := chem.Lookup(r.analyte)
	d, err := chem.ConvertDelta(r.analyte, math.Max(0, inUnit(r, low)), typed, r.unit, info.Unit, r.water())
	if err != nil {
		return 0
	}
	return math.Copysign(d, typed)
}

// read reads a cell: a level of the analyte or a salinity, else a plain number.
func (r *bandRow) read(col int) (float64, error) {
	typed := tanks.Typed{Analyte: r.analyte, Text: r.typed[col], Unit: r.unit}
	switch col {
	case colSalinity:
		typed.Analyte, typed.Unit = chem.Salinity, cmp.Or(r.psu, chem.PSU)
	case colLow, colAim, colHigh:
		typed.Water = r.water()
	default:
		return chem.ParseExact(r.typed[col])
	}
	v, err := tanks.ReadTyped(typed)
	if err != nil {
		return 0, err
	}
	return v.Exact()
}

// water is that of the salinity which the row names, else that of its system.
func (r *bandRow) water() chem.Water {
	if psu, err := r.read(colSalinity); err == nil && r.typed[colSalinity] != "" {
		return chem.WaterOf(psu)
	}
	return r.of
}

func (r *bandRow) clean() bool { return r.fault == [bandColumns]string{} }

// inUnit is a canonical level in the row's unit.
func inUnit(r *bandRow, v float64) float64 {
	info, _ := chem.Lookup(r.analyte)
	in, err := chem.Convert(r.analyte, v, info.Unit, r.unit, r.water())
	if err != nil {
		return 0
	}
	return in
}
