package zones_test

import (
	"testing"
	"time"

	"weirkeeper/assets/zones"
)

// Every zone of the list can be used, none is there twice, and the list is whole:
// zone.tab of release 2025b has 418 zones.
func TestEveryZoneIsKnown(t *testing.T) {
	all := zones.All()
	if len(all) != 418+1 {
		t.Errorf("%d zones", len(all))
	}
	seen := map[string]bool{}
	for _, z := range all {
		if _, err := time.LoadLocation(z.Name); err != nil {
			t.Errorf("%s: %v", z.Name, err)
		}
		if seen[z.Name] {
			t.Errorf("%s is there twice", z.Name)
		}
		seen[z.Name] = true
		if z.Country == "" && z.Name != zones.UTC {
			t.Errorf("%s is used nowhere", z.Name)
		}
	}
	// From memory: these are used by many.
	for _, name := range []string{"UTC", "Europe/Paris", "Europe/Amsterdam", "America/New_York", "Asia/Kolkata", "Australia/Sydney"} {
		if !seen[name] {
			t.Errorf("%s is missing", name)
		}
	}
}

func TestCity(t *testing.T) {
	for name, want := range map[string]string{"America/New_York": "New York", "America/Argentina/Buenos_Aires": "Buenos Aires",
		"UTC": "UTC"} {
		if got := (zones.Zone{Name: name}).City(); got != want {
			t.Errorf("%s: %q, want %q", name, got, want)
		}
	}
}
