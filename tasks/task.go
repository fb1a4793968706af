// Package tasks says what work is due: tests by the bands of a system and
// chores by their own recurrence. It knows no database and no window.
package tasks

import (
	"strings"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/tanks"
)

// ID identifies a task. Zero means not saved yet.
type ID int64

// Task is work that comes back, or that is to be done once. A task of a profile
// is a template: every system of that profile has it, each with its own
// completions.
type Task struct {
	ID      ID
	System  tanks.SystemID  // zero: see Profile
	Profile tanks.ProfileID // zero: see System; both zero: the whole room
	Title   string
	// Exactly one of Rule and Every is set, or neither for what is to be done
	// once. Rule is an RFC 5545 RRULE (daily or slower), stepped in the room's
	// zone from Start; Every counts days from when it was last done.
	Rule  string
	Every int // days
	Start time.Time
	Note  string
	// Ended tasks keep their completions but are due no more.
	Ended bool
}

// Outcome tells how due work ended.
type Outcome int

// The outcomes. Moved puts the work off to Completion.MovedTo.
const (
	Done Outcome = iota
	Skipped
	Moved
)

// Words implements words.Worded: the outcome's word.
func (o Outcome) Words() words.Text {
	switch o {
	case Done:
		return "done"
	case Skipped:
		return "skipped"
	case Moved:
		return "moved"
	}
	return words.T("outcome %d", int(o))
}

// String returns the word in English.
func (o Outcome) String() string { return o.Words().String() }

// Completion records what became of a due task, or of a due test when Task is
// zero and Analyte says which.
type Completion struct {
	ID      int64
	Task    ID
	System  tanks.SystemID // zero for work on the whole room
	Analyte int            // of a skipped or moved test; zero for chores
	At      time.Time
	Outcome Outcome
	MovedTo time.Time // with Moved
	Reason  string    // required with Skipped
	Person  string
}

// Validate returns tanks.Faults of "title", "every", "rule", "start".
func (t Task) Validate() error {
	var fs tanks.Faults
	add := func(field string, problem, remedy words.Text) {
		fs = append(fs, tanks.Fault{Field: field, Problem: problem, Remedy: remedy})
	}
	if strings.TrimSpace(t.Title) == "" {
		add("title", "The task has no title", "say what is to be done")
	}
	if t.Every < 0 {
		add("every", words.T("Every %d days cannot be", t.Every), "give a number of days above zero")
	}
	if t.Every > 0 && t.Rule != "" {
		add("every", "The task has both an interval and a rule", "keep one of them")
	}
	if t.Rule != "" {
		if _, err := parseRule(t.Rule, t.Start); err != nil {
			add("rule", words.T("The recurrence is not understood: %v", err), "use a rule such as FREQ=WEEKLY;BYDAY=MO")
		}
	}
	if t.Start.IsZero() {
		add("start", "The task has no first day", "say when it is due first")
	}
	return fs.Err()
}

// Validate returns tanks.Faults of "at", "reason", "moved_to".
func (c Completion) Validate(now time.Time) error {
	var fs tanks.Faults
	if c.At.IsZero() || c.At.After(now.Add(5*time.Minute)) {
		fs = append(fs, tanks.Fault{Field: "at", Problem: "The work has no time, or one still to come", Remedy: "say when it was done"})
	}
	if c.Outcome == Skipped && strings.TrimSpace(c.Reason) == "" {
		fs = append(fs, tanks.Fault{Field: "reason", Problem: "Work is skipped without a reason", Remedy: "say why in a word or two"})
	}
	if c.Outcome == Moved && !c.MovedTo.After(c.At) {
		fs = append(fs, tanks.Fault{Field: "moved_to", Problem: "Work is moved to a day that is past", Remedy: "choose a later day"})
	}
	return fs.Err()
}
