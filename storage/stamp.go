package storage

import "time"

// stamp keeps an instant as milliseconds since 1970, UTC; zero is no instant.
func stamp(t time.Time) int64 {
	if t.IsZero() {
		return 0
	}
	return t.UnixMilli()
}

// instant turns a stamp back into a UTC time.
func instant(ms int64) time.Time {
	if ms == 0 {
		return time.Time{}
	}
	return time.UnixMilli(ms).UTC()
}

// reference keeps a reference that may be missing; zero is none.
func reference[ID ~int64](id ID) *int64 {
	if id == 0 {
		return nil
	}
	n := int64(id)
	return &n
}

func referred[ID ~int64](n *int64) ID {
	if n == nil {
		return 0
	}
	return ID(*n)
}

// earliest and latest are the bounds of a query whose ends are open.
func bounds(from, to time.Time) (int64, int64) {
	low, high := int64(-1<<62), int64(1<<62)
	if !from.IsZero() {
		low = from.UnixMilli()
	}
	if !to.IsZero() {
		high = to.UnixMilli()
	}
	return low, high
}

func millis(n int64) time.Duration { return time.Duration(n) * time.Millisecond }
