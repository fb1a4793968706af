package tanks

import (
	"fmt"
	"strings"
	"time"

	"weirkeeper/assets/words"
)

// Pump is a dosing pump with its heads.
type Pump struct {
	ID      PumpID
	Name    string
	Place   string
	Note    string
	Retired bool
	Heads   []Head // by number
}

// Head is one channel of a pump.
type Head struct {
	ID       HeadID
	Number   int // from 1, unique in the pump
	Name     string
	Smallest float64 // mL, the smallest dose that it gives reliably; zero: not known
	Step     float64 // mL, by which a dose can be set; zero: not known
}

// Validate returns Faults of "name", and "heads.N.number", ".smallest",
// ".step" with N counted from 0.
func (p Pump) Validate() error {
	var fs Faults
	if strings.TrimSpace(p.Name) == "" {
		fs.add("name", "The pump has no name", "name it as it is labelled in the room")
	}
	seen := map[int]bool{}
	for i, h := range p.Heads {
		field := fmt.Sprintf("heads.%d.", i)
		if h.Number < 1 || seen[h.Number] {
			fs.add(field+"number", words.T("The head's number %d is below 1, or there is another one", h.Number),
				"number the heads as on the pump")
		}
		seen[h.Number] = true
		if !(h.Smallest >= 0) || !finite(h.Smallest) {
			fs.add(field+"smallest", words.T("A smallest dose of %g mL cannot be", h.Smallest), "give zero (not known) or more")
		}
		if !(h.Step >= 0) || !finite(h.Step) {
			fs.add(field+"step", words.T("A step of %g mL cannot be", h.Step), "give zero (not known) or more")
		}
	}
	return fs.Err()
}

// Calibration is a set of timed runs of a head into a measuring vessel.
type Calibration struct {
	ID     CalibrationID
	Head   HeadID
	At     time.Time
	Runs   []Run
	Person string
	Note   string
	Status Status
}

// Run is one timed run.
type Run struct {
	Seconds     float64
	Millilitres float64 // as read
	Graduation  float64 // mL, the smallest mark of the vessel
}

// Validate returns Faults of "head", "at", "runs", and "runs.N.seconds",
// ".millilitres", ".graduation" with N counted from 0.
func (c Calibration) Validate(now time.Time) error {
	var fs Faults
	if c.Head == 0 {
		fs.add("head", "The calibration names no head", "choose one")
	}
	if c.At.IsZero() || c.At.After(now.Add(clockSlack)) {
		fs.add("at", "The calibration has no time, or one still to come", "say when it was made")
	}
	if len(c.Runs) == 0 {
		fs.add("runs", "The calibration has no run", "let the head run for a known time and read the vessel")
	}
	for i, r := range c.Runs {
		field := fmt.Sprintf("runs.%d.", i)
		if !(r.Seconds > 0) || !finite(r.Seconds) {
			fs.add(field+"seconds", words.T("A run of %g s cannot be", r.Seconds), "give seconds above zero")
		}
		if !(r.Millilitres >= 0) || !finite(r.Millilitres) {
			fs.add(field+"millilitres", words.T("%g mL cannot be", r.Millilitres), "give what stands in the vessel")
		}
		if !(r.Graduation > 0) || !finite(r.Graduation) {
			fs.add(field+"graduation", words.T("A graduation of %g mL cannot be", r.Graduation), "give the smallest mark of the vessel")
		}
	}
	return fs.Err()
}

// Container is a vessel that heads draw from.
type Container struct {
	ID       ContainerID
	Name     string
	Product  ProductID
	Capacity float64 // mL
	Contents float64 // mL, at AsOf
	AsOf     time.Time
	Note     string
	Retired  bool
}

// Validate returns Faults of "name", "product", "capacity", "contents",
// "as_of".
func (c Container) Validate(now time.Time) error {
	var fs Faults
	if strings.TrimSpace(c.Name) == "" {
		fs.add("name", "The container has no name", "name it as it is labelled in the room")
	}
	if c.Product == 0 {
		fs.add("product", "What the container holds is not said", "choose a product from the shelf")
	}
	if !(c.Capacity > 0) || !finite(c.Capacity) {
		fs.add("capacity", words.T("A container of %g mL cannot be", c.Capacity), "give millilitres above zero")
	}
	if !(c.Contents >= 0) || !finite(c.Contents) || c.Contents > c.Capacity {
		fs.add("contents", words.T("%g mL in a container of %g mL cannot be", c.Contents, c.Capacity), "give what is in it")
	}
	if c.AsOf.IsZero() || c.AsOf.After(now.Add(clockSlack)) {
		fs.add("as_of", "When the contents were read is not said, or still to come", "say when")
	}
	return fs.Err()
}

// Program is what a head is set to: a daily volume in a number of doses within
// a part of the day. A change ends one program and begins another, so that the
// record knows what ran when.
type Program struct {
	ID        ProgramID
	Head      HeadID
	System    SystemID // that it doses
	Container ContainerID
	From      time.Time
	Until     time.Time // zero: it still runs
	Daily     float64   // mL a day
	Doses     int       // a day
	// Start and End bound the doses in minutes after midnight in the room's
	// zone, 0 to 1440; a Start after End passes midnight.
	Start, End int
	Person     string
	Note       string
}

// minutesADay is the most doses that a program may give.
const minutesADay = 1440

// Validate returns Faults of "head", "system", "container", "from", "until",
// "daily", "doses", "window".
func (p Program) Validate() error {
	var fs Faults
	if p.Head == 0 {
		fs.add("head", "The program names no head", "choose one")
	}
	if p.System == 0 {
		fs.add("system", "The program names no system", "choose the one that it doses")
	}
	if p.Container == 0 {
		fs.add("container", "The program names no container", "choose the one that it draws from")
	}
	if p.From.IsZero() {
		fs.add("from", "The program has no beginning", "say from when it runs")
	}
	if !p.Until.IsZero() && !p.Until.After(p.From) {
		fs.add("until", "The program ends before it begins", "correct one of the two times")
	}
	if !(p.Daily > 0) || !finite(p.Daily) {
		fs.add("daily", words.T("A daily volume of %g mL cannot be", p.Daily), "give millilitres above zero, or end the program")
	}
	if p.Doses < 1 || p.Doses > minutesADay {
		fs.add("doses", words.T("%d doses a day cannot be", p.Doses), "give 1 to 1440")
	}
	if p.Start < 0 || p.Start >= minutesADay || p.End < 1 || p.End > minutesADay || p.Start == p.End {
		fs.add("window", "The part of the day is not within a day, or empty", "give two different times of day")
	}
	return fs.Err()
}
