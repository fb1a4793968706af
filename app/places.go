package app

import (
	"fmt"

	"fyne.io/fyne/v2"

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

func placeIcon(p session.Place) fyne.Resource {
	switch p {
	case session.Rounds:
		return look.IconRounds.Resource()
	case session.Room:
		return look.IconRoom.Resource()
	case session.TestSheet:
		return look.IconTestSheet.Resource()
	case session.Dosing:
		return look.IconDosing.Resource()
	case session.Samples:
		return look.IconSamples.Resource()
	case session.Trends:
		return look.IconTrends.Resource()
	case session.Handover:
		return look.IconHandover.Resource()
	}
	return look.IconSetup.Resource()
}
