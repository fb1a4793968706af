package shell

import (
	"fmt"

	"weirkeeper/app/dosing"
	"weirkeeper/app/handover"
	"weirkeeper/app/look"
	"weirkeeper/app/room"
	"weirkeeper/app/rounds"
	"weirkeeper/app/samples"
	"weirkeeper/app/session"
	"weirkeeper/app/setup"
	"weirkeeper/app/system"
	"weirkeeper/app/testsheet"
	"weirkeeper/app/trends"
)

// railPlaces are the places of the rail, from the top.
var railPlaces = []session.Place{
	session.Rounds, session.Room, session.TestSheet, session.Dosing,
	session.Samples, session.Trends, session.Handover, session.Setup,
}

// newPage builds the screen of a place.
func newPage(p session.Place, s *session.Session) Page {
	switch p {
	case session.Rounds:
		return rounds.New(s)
	case session.Room:
		return room.New(s)
	case session.TestSheet:
		return testsheet.New(s)
	case session.Dosing:
		return dosing.New(s)
	case session.Samples:
		return samples.New(s)
	case session.Trends:
		return trends.New(s)
	case session.Handover:
		return handover.New(s)
	case session.Setup:
		return setup.New(s)
	case session.System:
		return system.New(s)
	}
	panic(fmt.Sprintf("no screen for %v", p))
}

func placeIcon(p session.Place) look.Icon {
	switch p {
	case session.Rounds:
		return look.IconRounds
	case session.Room:
		return look.IconRoom
	case session.TestSheet:
		return look.IconTestSheet
	case session.Dosing:
		return look.IconDosing
	case session.Samples:
		return look.IconSamples
	case session.Trends:
		return look.IconTrends
	case session.Handover:
		return look.IconHandover
	}
	return look.IconSetup
}

// sections are the sections of places that the search knows: a system's own are
// reached from the system.
func sections() []session.Route {
	var all []session.Route
	for _, p := range railPlaces {
		for _, section := range p.Sections() {
			all = append(all, session.Route{Place: p, Section: section})
		}
	}
	return all
}
