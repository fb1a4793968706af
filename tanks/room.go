package tanks

import (
	"strings"
	"time"

	"weirkeeper/assets/words"
)

// Room is the place. One ledger holds one room.
type Room struct {
	Name string
	Zone string // IANA name of the time zone in which the room lives, such as "Europe/Paris"
	Note string
	Demo bool // invented data, to be said on every screen and export
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

// Validate returns Faults of the fields "name" and "zone", nil when r can be saved.
func (r Room) Validate() error {
	var fs Faults
	if strings.TrimSpace(r.Name) == "" {
		fs.add("name", "The room has no name", "give it the name that you call it by")
	}
	if _, err := r.Location(); err != nil {
		fs.add("zone", words.T("No time zone is called %q", r.Zone), "use a name such as Europe/Paris or America/Chicago")
	}
	return fs.Err()
}
