package documents

import (
	"cmp"
	"encoding/csv"
	"fmt"
	"io"
	"slices"
	"strconv"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage/csvread"
	"weirkeeper/tanks"
)

// Columns of the handover's CSV: UTF-8 with a byte order mark, RFC 4180 with
// CRLF, text that a spreadsheet would run as a formula behind an apostrophe, times in ISO 8601 with offset, a point as decimal sign. sign
// is "<" or
// ">" where value is only a bound.
var csvColumns = []string{
	"time", "kind", "system", "subject", "sign", "value", "unit", "canonical_value", "canonical_unit", "state", "method", "sample",
	"person", "note", "status",
}

type csvRow struct {
	at    time.Time
	cells []string
}

// WriteCSV writes everything that happened, in order of time, one event a row.
func WriteCSV(out io.Writer, h History) error {
	if _, err := io.WriteString(out, "\ufeff"); err != nil {
		return words.Errorf("writing the CSV: %w", err)
	}
	rows := h.csvRows()
	slices.SortStableFunc(rows, func(a, b csvRow) int { return cmp.Or(a.at.Compare(b.at), cmp.Compare(a.cells[1], b.cells[1])) })
	w := csv.NewWriter(out)
	w.UseCRLF = true
	if err := w.Write(csvColumns); err != nil {
		return words.Errorf("writing the CSV: %w", err)
	}
	for _, r := range rows {
		if err := w.Write(r.cells); err != nil {
			return words.Errorf("writing the CSV: %w", err)
		}
	}
	w.Flush()
	if err := w.Error(); err != nil {
		return words.Errorf("writing the CSV: %w", err)
	}
	return nil
}

func (h History) csvRows() []csvRow {
	var rows []csvRow
	amended := h.amended()
	for _, r := range h.Readings {
		rows = append(rows, h.readingRow(r, len(amended[int64(r.ID)]) > 0))
	}
	for _, a := range h.Additions {
		p := h.Products[a.Product]
		rows = append(rows, h.row(a.At, "addition", p.Name, number(a.Amount), p.Unit(), a.Person,
			join(h.changesList(a.Changes, a.At).String(), a.Note), status(a.Status, false)))
	}
	for _, c := range h.Changes {
		note := join(fmt.Sprintf("%.1f %% of the water", c.Share*100), c.Note)
		rows = append(rows, h.row(c.At, "water change", "water", number(c.Litres), "L", c.Person, note, status(c.Status, false)))
	}
	for _, o := range h.Observations {
		rows = append(rows, h.row(o.At, "note", "", "", "", o.Person, o.Text, status(o.Status, false)))
	}
	for _, a := range h.Amendments {
		rows = append(rows, h.row(a.At, "amendment", amendedEntry(a).String(), "", "", a.Person,
			join(a.Reason.String(), "before: "+h.before(a).String()), ""))
	}
	return rows
}

func (h History) readingRow(r tanks.Reading, amended bool) csvRow {
	info, known := chem.Lookup(r.Analyte)
	unit := h.unit(r.Analyte)
	shown, err := chem.Convert(r.Analyte, r.Value, info.Unit, unit, h.waterFor(r.Analyte, r.At))
	value := ""
	if err == nil {
		value = strconv.FormatFloat(shown, 'f', chem.Decimals(r.Analyte, unit), 64)
	}
	if !known {
		unit, value = r.Unit, r.Typed
	}
	state := ""
	if _, banded := h.band(r.Analyte); banded && h.Judge != nil {
		state = h.Judge(r).Word.String()
	}
	return csvRow{r.At, []string{
		h.iso(r.At), "reading", csvread.Guard(h.System.Code), info.Key, sign(r.Limit), value, string(unit), number(r.Value), string(info.Unit),
		state, csvread.Guard(h.Methods[r.Method].Name), csvread.Guard(h.sampleCode(r.Sample)), csvread.Guard(r.Person), csvread.Guard(r.Note), status(r.Status, amended),
	}}
}

func (h History) sampleCode(id tanks.SampleID) string {
	for _, s := range h.Samples {
		if s.ID == id && id != 0 {
			return s.Code
		}
	}
	return ""
}

func (h History) row(at time.Time, kind, subject, value, unit, person, note, status string) csvRow {
	return csvRow{at, []string{
		h.iso(at), kind, csvread.Guard(h.System.Code), csvread.Guard(subject), "", value, unit, "", "", "", "", "", csvread.Guard(person), csvread.Guard(note), status,
	}}
}

func (h History) iso(t time.Time) string { return t.In(h.zone()).Format(time.RFC3339) }

func number(v float64) string { return strconv.FormatFloat(v, 'g', 10, 64) }

func status(s tanks.Status, amended bool) string {
	switch {
	case s == tanks.Withdrawn:
		return "withdrawn"
	case amended:
		return "amended"
	}
	return "live"
}

func join(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + "; " + b
}
