package tanks

import "time"

// Photo is a picture of a system, kept in the folder beside the ledger.
type Photo struct {
	ID      PhotoID
	System  SystemID
	Note    NoteID // the observation that it belongs to; zero: none
	Lot     LotID  // the lot that it shows; zero: none
	At      time.Time
	File    string // name in the folder, given by the ledger
	SHA256  string // of the file, hexadecimal
	Size    int64  // bytes
	Caption string
	Person  string
	Status  Status
}

// Validate returns Faults of "system", "at".
func (p Photo) Validate(now time.Time) error {
	var fs Faults
	if p.System == 0 {
		fs.add("system", "The photo names no system", "choose the one that it shows")
	}
	if p.At.IsZero() || p.At.After(now.Add(clockSlack)) {
		fs.add("at", "The photo has no time, or one still to come", "say when it was taken")
	}
	return fs.Err()
}
