package versions

import "testing"

// The sums of single rows are taken only when there is one of each row, in their
// place, and they add up.
func TestJoin(t *testing.T) {
	whole := Version{Place: 1, Entity: "every", First: 5, Last: 204, Event: Found}
	for n := range int64(200) {
		whole.Sums = append(whole.Sums, n*n)
		whole.HashAfter += n * n
	}
	parts := whole.split(9)
	short := append([]Part{}, parts...)
	short[0].First, short[0].Sums = short[0].First+1, short[0].Sums[8:] // its first sum is 0
	last := append([]Part{}, parts[:len(parts)-1]...)
	for name, c := range map[string]struct {
		parts []Part
		after int64
		want  bool
	}{
		"whole":                  {parts, whole.HashAfter, true},
		"of another sum":         {parts, whole.HashAfter + 1, false},
		"without the first row":  {short, whole.HashAfter, false},
		"without the last part":  {last, sumOf(whole.Sums[:100]), false},
		"parts changed places":   {[]Part{parts[1], parts[0]}, whole.HashAfter, false},
		"a part cut in a number": {[]Part{parts[0], {First: parts[1].First, Sums: parts[1].Sums[:3]}}, whole.HashAfter, false},
		"nothing":                {nil, 0, false},
	} {
		v := whole
		v.Sums, v.HashAfter = nil, c.after
		if v.Join(c.parts) != c.want {
			t.Errorf("%s: %t", name, !c.want)
		}
	}
}

func sumOf(all []int64) (sum int64) {
	for _, one := range all {
		sum += one
	}
	return sum
}
