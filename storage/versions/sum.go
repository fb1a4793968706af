package versions

import (
	"encoding/binary"
	"math"

	"github.com/cespare/xxhash/v2"
)

// Sum makes the sum of a row: xxHash (64 bits) of its table's name and of the
// values of its columns in the schema's order, each behind a letter for its type.
// The sum of several rows is the sum of theirs modulo 2^64, so that it depends on
// no order and a row can be taken out of it. Sums are kept in ledgers.
type Sum struct{ written []byte }

// Begin begins a row of a table; its values follow, one by one.
func (r *Sum) Begin(table string) {
	r.written = append(r.written[:0], table...)
}

// Null writes a value that is missing.
func (r *Sum) Null() { r.written = append(r.written, 'n') }

// Integer writes a whole number.
func (r *Sum) Integer(v int64) {
	r.written = binary.LittleEndian.AppendUint64(append(r.written, 'i'), uint64(v))
}

// Real writes a number; SQLite keeps no sign of zero.
func (r *Sum) Real(v float64) {
	if v == 0 {
		v = 0
	}
	r.written = binary.LittleEndian.AppendUint64(append(r.written, 'r'), math.Float64bits(v))
}

// Text writes a text, or bytes.
func (r *Sum) Text(v string) {
	r.written = binary.LittleEndian.AppendUint64(append(r.written, 't'), uint64(len(v)))
	r.written = append(r.written, v...)
}

// Reference writes a whole number that may be missing.
func (r *Sum) Reference(v *int64) {
	if v == nil {
		r.Null()
	} else {
		r.Integer(*v)
	}
}

// value writes what a column of a strict table holds.
func (r *Sum) value(v any) {
	switch v := v.(type) {
	case nil:
		r.Null()
	case int64:
		r.Integer(v)
	case float64:
		r.Real(v)
	case string:
		r.Text(v)
	case []byte:
		r.Text(string(v))
	}
}

// End returns the sum.
func (r *Sum) End() int64 { return int64(xxhash.Sum64(r.written)) }

// Own returns the sum of a row without its column sum, which keeps it.
func (r *Sum) Own(t *Table, row []any) int64 {
	r.Begin(t.Name)
	for i, v := range row {
		if t.Columns[i].Name != "sum" {
			r.value(v)
		}
	}
	return r.End()
}

// Of returns the sum of a row.
func (r *Sum) Of(t *Table, row []any) int64 {
	r.Begin(t.Name)
	for _, v := range row {
		r.value(v)
	}
	return r.End()
}
