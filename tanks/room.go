package tanks

import (
	"slices"
	"strings"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/chem/seawater"
)

// Room is the place. One ledger holds one room.
type Room struct {
	Name string
	Zone string // IANA name of the time zone in which the room lives, such as "Europe/Paris"
	Note string
	Demo bool // invented data, to be said on every screen and export
	// Height above the sea: air is thinner higher up.
	Height Height
	// Constants of the carbon dioxide system, with the sea's borate, that the room's
	// chemistry goes by.
	Constants seawater.Set
}

// HighestRoom is how high above the sea a room may lie, in m.
const HighestRoom = 4500

// Height is how far above the sea a room lies. The zero value is not said and counts
// as at the sea.
type Height struct {
	metres float64
	said   bool
}

// HeightOf is a height in m above the sea.
func HeightOf(metres float64) Height { return Height{metres, true} }

// Metres returns the height in m, and whether it was said.
func (h Height) Metres() (metres float64, said bool) { return h.metres, h.said }

// Conventions returns what computations of the room's water go by, for a pH on a
// scale. The air's pressure is that of the standard atmosphere at the room's height.
func (r Room) Conventions(scale seawater.PHScale) chem.Conventions {
	return chem.Conventions{Scale: scale, Set: r.Constants, Pressure: r.pressure()}
}

// pressure is that of the air in atm, zero at the sea.
func (r Room) pressure() float64 {
	if r.Height.metres <= 0 {
		return 0
	}
	pressure, err := seawater.PressureAtAltitude(r.Height.metres)
	if err != nil {
		return 0
	}
	return pressure
}

// Location returns the room's time zone.
func (r Room) Location() (*time.Location, error) {
	if r.Zone == "" {
		return time.UTC, nil
	}
	loc, err := time.LoadLocation(r.Zone)
	if err == nil && loc == time.Local {
		err = words.New("it changes with the computer")
	}
	if err != nil {
		return nil, words.Errorf("room's time zone %q: %w", r.Zone, err)
	}
	return loc, nil
}

// Validate returns Faults of the fields "name", "zone", "height" and "constants", nil when r can be saved.
func (r Room) Validate() error {
	var fs Faults
	if strings.TrimSpace(r.Name) == "" {
		fs.add("name", "The room has no name", "give it the name that you call it by")
	}
	if _, err := r.Location(); err != nil {
		fs.add("zone", words.T("No time zone is called %q", r.Zone), "use a name such as Europe/Paris or America/Chicago")
	}
	if m := r.Height.metres; !(m >= 0) || m > HighestRoom {
		fs.add("height", words.T("A height of %g m above the sea cannot be", m),
			words.T("give 0 to %d m, or leave it empty if it is not known", HighestRoom))
	}
	if !slices.Contains(seawater.Sets(), r.Constants) {
		fs.add("constants", "The constants of carbon dioxide are not chosen", "choose a published set from the list")
	}
	return fs.Err()
}
