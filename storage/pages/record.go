package pages

import (
	"encoding/binary"
	"errors"
	"math"
)

// errRecord tells bytes that are no record.
var errRecord = errors.New("no record")

// varint reads a number of 1 to 9 bytes (section 1.6), and tells how many it took:
// none, when the text ends before it does.
func varint(data []byte) (v int64, n int) {
	var u uint64
	for n < len(data) && n < 8 {
		b := data[n]
		n++
		u = u<<7 | uint64(b&0x7f)
		if b < 0x80 {
			return int64(u), n
		}
	}
	if n == 8 && n < len(data) {
		return int64(u<<8 | uint64(data[8])), 9
	}
	return 0, 0
}

// mostColumns is more than any table of a ledger has, or ever will.
const mostColumns = 200

// Decode reads a record (section 2.1): nil, int64, float64, string and []byte by
// column. Bytes are copied. Whatever is not exactly a record is an error. A real
// number without fraction may stand as a whole one.
func Decode(payload []byte) ([]any, error) {
	size, n := varint(payload)
	if n == 0 || size < int64(n) || size > int64(len(payload)) {
		return nil, errRecord
	}
	head, body := payload[n:size], payload[size:]
	var row []any
	for len(head) > 0 {
		kind, n := varint(head)
		if n == 0 || len(row) == mostColumns {
			return nil, errRecord
		}
		head = head[n:]
		v, n, err := valueOf(kind, body)
		if err != nil {
			return nil, err
		}
		row, body = append(row, v), body[n:]
	}
	if len(body) > 0 {
		return nil, errRecord
	}
	return row, nil
}

// widths are the bytes of the kinds of whole numbers 1 to 6.
var widths = [...]int{1: 1, 2: 2, 3: 3, 4: 4, 5: 6, 6: 8}

// valueOf reads a value of a kind and tells how many bytes it took.
func valueOf(kind int64, body []byte) (v any, n int, err error) {
	switch {
	case kind == 0:
		return nil, 0, nil
	case kind == 8 || kind == 9:
		return kind - 8, 0, nil
	case kind >= 1 && kind <= 6:
		n = widths[kind]
	case kind == 7:
		n = 8
	case kind >= 12 && (kind-12)/2 <= int64(len(body)):
		n = int((kind - 12) / 2)
	default:
		return nil, 0, errRecord
	}
	if n > len(body) {
		return nil, 0, errRecord
	}
	data := body[:n]
	switch {
	case kind <= 6:
		return whole(data), n, nil
	case kind == 7:
		// A number that is none is no value.
		if f := math.Float64frombits(binary.BigEndian.Uint64(data)); f == f {
			return f, n, nil
		}
		return nil, n, nil
	case kind%2 == 1:
		return string(data), n, nil
	}
	return append([]byte{}, data...), n, nil
}

// whole reads a whole number with its sign.
func whole(data []byte) int64 {
	v := int64(int8(data[0]))
	for _, b := range data[1:] {
		v = v<<8 | int64(b)
	}
	return v
}
