package tanks

import (
	"strings"
	"time"

	"weirkeeper/assets/words"
)

// Lot is livestock kept together: a colony, its frags, a group of fish.
type Lot struct {
	ID      LotID
	System  SystemID
	Parent  LotID // that it was split from; zero: none
	Species string
	Name    string // the room's own, such as a trade name
	Place   string // in the system
	Watch   string // what to look out for
	Note    string
}

// Validate returns Faults of "system", "parent", "species".
func (l Lot) Validate() error {
	var fs Faults
	if l.System == 0 {
		fs.add("system", "The lot names no system", "choose where it lives")
	}
	if l.ID != 0 && l.Parent == l.ID {
		fs.add("parent", "The lot is its own parent", "choose another, or none")
	}
	if strings.TrimSpace(l.Species) == "" {
		fs.add("species", "The species is missing", "give its name; a genus with sp. will do")
	}
	return fs.Err()
}

// LotEventKind tells what happened to a lot.
type LotEventKind int

// The kinds of event. SplitOff takes individuals out of a lot into another
// one; Moved takes the whole lot to another system.
const (
	CameIn LotEventKind = iota + 1
	WentOut
	SplitOff
	Sold
	Died
	Moved
	CountedLot
)

// String returns the kind's word.
func (k LotEventKind) String() string {
	switch k {
	case CameIn:
		return "came in"
	case WentOut:
		return "went out"
	case SplitOff:
		return "split off"
	case Sold:
		return "sold"
	case Died:
		return "died"
	case Moved:
		return "moved"
	case CountedLot:
		return "counted"
	}
	return "no kind"
}

// LotEvent is something that happened to a lot at a time.
type LotEvent struct {
	ID     LotEventID
	Lot    LotID
	System SystemID // where the lot was then; filled in when it is saved
	At     time.Time
	Kind   LotEventKind
	Count  int      // individuals or frags concerned; of a count all that there are
	Into   LotID    // of SplitOff
	To     SystemID // of Moved
	Price  float64  // in the room's currency; zero: not known
	Person string
	Note   string
	Status Status
}

// Validate returns Faults of "lot", "at", "kind", "count", "into", "to",
// "price".
func (e LotEvent) Validate(now time.Time) error {
	var fs Faults
	if e.Lot == 0 {
		fs.add("lot", "The event names no lot", "choose one")
	}
	if e.At.IsZero() || e.At.After(now.Add(clockSlack)) {
		fs.add("at", "The event has no time, or one still to come", "say when it was")
	}
	if e.Kind < CameIn || e.Kind > CountedLot {
		fs.add("kind", "What happened is not chosen", "choose one from the list")
	}
	if e.Count < 0 || e.Count == 0 && e.Kind != Moved && e.Kind != CountedLot {
		fs.add("count", words.T("%d cannot be", e.Count), "give how many, above zero")
	}
	if (e.Kind == SplitOff) != (e.Into != 0) || e.Into != 0 && e.Into == e.Lot {
		fs.add("into", "A split names the lot that it made, and nothing else does", "choose the new lot")
	}
	if (e.Kind == Moved) != (e.To != 0) {
		fs.add("to", "A move names the system that it went to, and nothing else does", "choose the system")
	}
	if !(e.Price >= 0) || !finite(e.Price) {
		fs.add("price", "The price is negative", "give zero or more")
	}
	return fs.Err()
}

// CountOf returns how many there are of a lot by its live events, in order of
// time, those that split off into it included. It is negative when more went
// than came.
func CountOf(lot LotID, events []LotEvent) int {
	n := 0
	for _, e := range events {
		switch {
		case e.Status != Live:
		case e.Kind == SplitOff && e.Into == lot:
			n += e.Count
		case e.Lot != lot:
		case e.Kind == CameIn:
			n += e.Count
		case e.Kind == CountedLot:
			n = e.Count
		case e.Kind != Moved:
			n -= e.Count
		}
	}
	return n
}
