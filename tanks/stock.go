package tanks

import (
	"time"

	"weirkeeper/assets/words"
)

// MovementKind tells why the stock of a product changed.
type MovementKind int

// The kinds of movement. Counted sets the stock to what was found on the shelf;
// Returned is what a withdrawn addition had taken.
const (
	Bought MovementKind = iota + 1
	Used
	Counted
	Discarded
	Returned
)

// String returns the kind's word.
func (k MovementKind) String() string {
	switch k {
	case Bought:
		return "bought"
	case Used:
		return "used"
	case Counted:
		return "counted"
	case Discarded:
		return "discarded"
	case Returned:
		return "returned"
	}
	return "no kind"
}

// Movement is one change of the stock of a product, in mL of a liquid or g of
// a solid.
type Movement struct {
	ID      MovementID
	Product ProductID
	At      time.Time
	Kind    MovementKind
	// Change is what the stock changed by: above zero for what came. Of a
	// count it is found less expected, and is computed when it is saved.
	Change float64
	// Left is the stock after it; of a count what was found.
	Left     float64
	Addition AdditionID // that used or returned it; zero: none
	Price    float64    // paid for what was bought, in the room's currency; zero: not known
	Person   string
	Note     string
}

// Validate returns Faults of "product", "at", "kind", "change", "left",
// "price".
func (m Movement) Validate(now time.Time) error {
	var fs Faults
	if m.Product == 0 {
		fs.add("product", "The movement names no product", "choose one from the shelf")
	}
	if m.At.IsZero() || m.At.After(now.Add(clockSlack)) {
		fs.add("at", "The movement has no time, or one still to come", "say when it was")
	}
	switch m.Kind {
	case Bought:
		if !(m.Change > 0) || !finite(m.Change) {
			fs.add("change", words.T("A purchase of %g cannot be", m.Change), "give an amount above zero")
		}
	case Discarded:
		if !(m.Change < 0) || !finite(m.Change) {
			fs.add("change", words.T("%g discarded cannot be", -m.Change), "give an amount above zero")
		}
	case Counted:
		if !(m.Left >= 0) || !finite(m.Left) {
			fs.add("left", words.T("A stock of %g cannot be", m.Left), "give zero or more")
		}
	default:
		fs.add("kind", "The kind of movement is not chosen", "choose bought, counted or discarded; use is recorded with the addition")
	}
	if !(m.Price >= 0) || !finite(m.Price) {
		fs.add("price", "The price is negative", "give zero or more")
	}
	return fs.Err()
}
