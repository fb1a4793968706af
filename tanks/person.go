package tanks

import (
	"strings"

	"weirkeeper/assets/words"
)

// Person is someone who works in the room.
type Person struct {
	ID       PersonID
	Initials string // short, unique in the room regardless of case; they stand beside entries
	Name     string // in full; may be empty
	Gone     bool   // works here no more: kept for the record, not offered
}

// longestInitials bounds what stands beside every entry.
const longestInitials = 12

// Validate returns Faults of "initials".
func (p Person) Validate() error {
	var fs Faults
	switch {
	case strings.TrimSpace(p.Initials) == "":
		fs.add("initials", "The person has no initials", "give the letters that stand beside their entries")
	case len([]rune(p.Initials)) > longestInitials:
		fs.add("initials", words.T("The initials %q are too long", p.Initials),
			words.T("use up to %d letters; the whole name has a field of its own", longestInitials))
	}
	return fs.Err()
}
