package safekeeping

import (
	"fmt"
	"math/bits"

	"weirkeeper/storage/versions"
)

// keyOf writes the key of a row.
func keyOf(t *versions.Table, row []any) string {
	var key []any
	for _, k := range t.KeyOf() {
		key = append(key, row[k])
	}
	return fmt.Sprint(key...)
}

// mostFlipped bounds the records whose bits are tried, in bytes.
const mostFlipped = 2000

// flips returns the row that a reading becomes by changing one bit of it, the first
// that is accepted; nil: none.
func flips(s *shape, c candidate, accept func(row []any) bool) []any {
	if len(c.cell.Payload) > mostFlipped || c.cell.Payload == nil {
		return nil
	}
	cell := c.cell
	cell.Payload = append([]byte(nil), cell.Payload...)
	for i := range cell.Payload {
		for bit := range 8 {
			cell.Payload[i] ^= 1 << bit
			if row, ok := s.row(cell); ok && accept(row) {
				return row
			}
			cell.Payload[i] ^= 1 << bit
		}
	}
	if s.alias < 0 {
		return nil
	}
	for bit := range bits.UintSize - 1 {
		row := append([]any(nil), c.row...)
		row[s.alias] = c.cell.Row ^ 1<<bit
		if accept(row) {
			return row
		}
	}
	return nil
}
