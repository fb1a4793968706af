package samples

import (
	"encoding/json"
	"strings"
	"time"

	"weirkeeper/app/say"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// result is one analyte of a lab's report as it is typed.
type result struct {
	analyte chem.Analyte
	method  tanks.Method // the zero Method: it is not known by which one
	typed   string
	problem string // why it cannot be saved; empty: it can
}

// resultSheet is the grid that a lab's results are typed into: a row for each
// analyte that a laboratory measures and that has no result yet.
type resultSheet struct {
	sample  tanks.Sample
	labs    tanks.Laboratories
	results []result
	water   chem.Water
	person  string
	clock   func() time.Time
}

// newResultSheet leaves out what is measured already.
func newResultSheet(s tanks.Sample, l tanks.Laboratories, measured map[chem.Analyte]bool) *resultSheet {
	r := &resultSheet{sample: s, labs: l}
	for _, a := range l.Analytes() {
		if !measured[a] {
			m, _ := l.MethodOf(s.Lab, a)
			r.results = append(r.results, result{analyte: a, method: m})
		}
	}
	return r
}

// Rows implements widgets.GridModel.
func (r *resultSheet) Rows() int { return len(r.results) }

// Columns implements widgets.GridModel.
func (r *resultSheet) Columns() int { return 1 }

// ColumnHead implements widgets.GridModel.
func (r *resultSheet) ColumnHead(int) (title, subtitle string) {
	return say.L("Result"), say.L("as on the report")
}

// RowHead implements widgets.GridModel: the analyte and the unit of the report.
func (r *resultSheet) RowHead(row int) (bold, text string) {
	one := r.results[row]
	if one.method.ID == 0 {
		return say.Of(one.analyte), say.L("method not known")
	}
	return say.Of(one.analyte), string(one.method.Unit)
}

// Cell implements widgets.GridModel.
func (r *resultSheet) Cell(row, _ int) widgets.GridCell {
	one := r.results[row]
	return widgets.GridCell{Text: one.typed, Due: true, Bad: one.problem != "", Message: one.problem}
}

// typeIn takes over a result as typed and says what is wrong with it.
func (r *resultSheet) typeIn(row int, text string) {
	one := &r.results[row]
	one.typed, one.problem = strings.TrimSpace(text), ""
	if one.typed == "" {
		return
	}
	if _, err := r.read(*one); err != nil {
		one.problem = say.Of(err)
	}
}

// setMethod says by which method a row is measured; the same name holds for the
// rows of which nothing was known.
func (r *resultSheet) setMethod(row int, m tanks.Method) {
	r.results[row].method = m
	for n := range r.results {
		if r.results[n].method.ID != 0 {
			continue
		}
		for _, other := range r.labs.Offered(r.results[n].analyte) {
			if other.Name == m.Name {
				r.results[n].method = other
			}
		}
	}
	for n, one := range r.results {
		r.typeIn(n, one.typed)
	}
}

var errNoMethod = words.New("it is not known by which method this laboratory measures it: choose one below the results")

// read turns a result into a reading of the sample, taken when it was drawn.
func (r *resultSheet) read(one result) (tanks.Reading, error) {
	if one.method.ID == 0 {
		return tanks.Reading{}, errNoMethod
	}
	v, err := tanks.ReadTyped(tanks.Typed{Analyte: one.analyte, Text: one.typed, Unit: one.method.Unit, Water: r.water})
	if err != nil {
		return tanks.Reading{}, err
	}
	reading := v.In(tanks.Reading{
		System: r.sample.System, Analyte: one.analyte, At: r.sample.Drawn, Method: one.method.ID, Sample: r.sample.ID, Person: r.person,
	})
	return reading, reading.Validate(r.clock())
}

// readings returns what was typed, or what is wrong with it and the row of the
// first that is.
func (r *resultSheet) readings() (out []tanks.Reading, faults []widgets.Fault, first int) {
	for row, one := range r.results {
		if one.typed == "" {
			continue
		}
		reading, err := r.read(one)
		if err != nil {
			if len(faults) == 0 {
				first = row
			}
			faults = append(faults, widgets.Fault{Field: "results", Problem: say.F("%s: %v", one.analyte, err)})
			continue
		}
		out = append(out, reading)
	}
	if len(out)+len(faults) == 0 {
		faults = []widgets.Fault{{
			Field: "results", Problem: say.L("No result is typed"), Remedy: say.L("type those of the report, and leave empty what it lacks"),
		}}
	}
	return out, faults, first
}

// keptResult is a typed result as it is kept in the ledger until it is saved.
type keptResult struct {
	Analyte chem.Analyte
	Method  tanks.MethodID
	Typed   string
}

// draft returns the sheet for keeping; under is what is being typed into a row,
// nil for nothing.
func (r *resultSheet) draft(under *widgets.Edit) ([]byte, error) {
	var kept []keptResult
	for row, one := range r.results {
		if under != nil && under.Row == row {
			one.typed = under.Text
		}
		kept = append(kept, keptResult{one.analyte, one.method.ID, one.typed})
	}
	data, err := json.Marshal(kept)
	if err != nil {
		return nil, words.Errorf("writing the results: %w", err)
	}
	return data, nil
}

// take puts kept results back; those that have been saved since are left out.
func (r *resultSheet) take(data []byte) error {
	var kept []keptResult
	if len(data) == 0 {
		return nil
	}
	if err := json.Unmarshal(data, &kept); err != nil {
		return words.Errorf("reading the kept results: %w", err)
	}
	for _, k := range kept {
		for row := range r.results {
			if r.results[row].analyte != k.Analyte {
				continue
			}
			for _, m := range r.labs.Offered(k.Analyte) {
				if m.ID == k.Method {
					r.results[row].method = m
				}
			}
			r.typeIn(row, k.Typed)
		}
	}
	return nil
}
