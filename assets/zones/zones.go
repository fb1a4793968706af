// Package zones lists the time zones of the world by their IANA names.
package zones

import (
	_ "embed"
	"strings"

	_ "time/tzdata" // so that a machine without zone files knows them too
)

//go:embed zones.tsv
var table string

// Zone is a time zone and where it is used.
type Zone struct {
	Name    string // IANA, such as America/New_York
	Country string // in English, as the database names it; empty for UTC
}

// UTC is the zone without an offset.
const UTC = "UTC"

// All lists UTC and the zones of each country, by name.
func All() []Zone {
	all := []Zone{{Name: UTC}}
	for line := range strings.Lines(table) {
		name, country, ok := strings.Cut(strings.TrimSpace(line), "\t")
		if ok && !strings.HasPrefix(name, "#") {
			all = append(all, Zone{name, country})
		}
	}
	return all
}

// City is the place that the zone is named after, as one writes it: New York.
func (z Zone) City() string {
	return strings.ReplaceAll(z.Name[strings.LastIndex(z.Name, "/")+1:], "_", " ")
}
