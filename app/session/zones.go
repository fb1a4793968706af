package session

import (
	"strings"

	"weirkeeper/app/widgets"
	"weirkeeper/assets/zones"
)

// ZoneOptions offers the world's time zones, which are found by name, city or
// country. current is offered too where it goes by another name.
func ZoneOptions(current string) []widgets.Option[string] {
	var options []widgets.Option[string]
	known := current == ""
	for _, z := range zones.All() {
		known = known || z.Name == current
		options = append(options, widgets.Option[string]{Value: z.Name, Name: z.Name, Detail: zoneDetail(z)})
	}
	if known {
		return options
	}
	return append([]widgets.Option[string]{{Value: current, Name: current}}, options...)
}

// zoneDetail is the country, with the city where its name has several words: the
// zone's name joins them.
func zoneDetail(z zones.Zone) string {
	if city := z.City(); strings.Contains(city, " ") {
		return city + ", " + z.Country
	}
	return z.Country
}
