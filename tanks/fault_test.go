package tanks

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"
)

var now = time.Date(2025, 6, 1, 12, 0, 0, 0, time.UTC)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %g, want %g ± %g", what, got, want, tol)
	}
}

// wantFaults checks that err has faults of exactly the named fields, in order
// and separated by spaces, each with a problem and a remedy.
func wantFaults(t *testing.T, err error, fields string) {
	t.Helper()
	var got []string
	for _, f := range FaultsOf(err) {
		got = append(got, f.Field)
		if f.Problem == "" || f.Remedy == "" {
			t.Errorf("fault of %s says %q, %q", f.Field, f.Problem, f.Remedy)
		}
	}
	if !slices.Equal(got, strings.Fields(fields)) {
		t.Errorf("faults of %q, want %q: %v", got, fields, err)
	}
	if (err == nil) != (fields == "") {
		t.Errorf("error %v for faults of %q", err, fields)
	}
}

func TestFaults(t *testing.T) {
	var fs Faults
	if fs.Err() != nil {
		t.Error("no fault is an error")
	}
	fs.add("low", "Low 9 is above high 8", "swap them")
	fs.add("aim", "No aim", "")
	err := fmt.Errorf("saving the band: %w", fs.Err())
	if got := FaultsOf(err).Error(); got != "Low 9 is above high 8: swap them\nNo aim" {
		t.Errorf("%q", got)
	}
	if f, ok := FaultsOf(err).Field("aim"); !ok || f.Problem != "No aim" {
		t.Errorf("aim: %v %v", f, ok)
	}
	if _, ok := FaultsOf(err).Field("high"); ok {
		t.Error("a fault of high that nobody added")
	}
	if got := FaultsOf(fmt.Errorf("one: %w", Fault{Field: "code"})); len(got) != 1 || got[0].Field != "code" {
		t.Errorf("single fault: %v", got)
	}
	if FaultsOf(errors.New("disk")) != nil || FaultsOf(nil) != nil {
		t.Error("another error has faults")
	}
}
