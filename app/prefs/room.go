package prefs

import (
	"slices"
	"strconv"

	"weirkeeper/chem/seawater"
	"weirkeeper/tanks"
)

// The keys under which a person's settings held the height of every room and the
// constants of its chemistry, which are each room's own.
const (
	heightKey    = "place.height"
	constantsKey = "water.constants"
)

// setWords are the sets of constants as settings hold them.
var setWords = []string{"lueker-uppstrom", "lueker-lee", "guide-2007", "millero-uppstrom", "millero-lee"}

// ForRoom takes what a person's settings hold of every room into one that says no
// height; changed is false where there is nothing that the room has not.
func ForRoom(k Keeper, room tanks.Room) (_ tanks.Room, changed bool) {
	if _, said := room.Height.Metres(); said {
		return room, false
	}
	before := room
	if m, err := strconv.ParseFloat(k.String(heightKey), 64); err == nil && m > 0 && m <= tanks.HighestRoom {
		room.Height = tanks.HeightOf(m)
	}
	if n := slices.Index(setWords, k.String(constantsKey)); n > 0 && room.Constants == seawater.SetUppstrom {
		room.Constants = seawater.Set(n)
	}
	return room, room != before
}
