// Package headless holds the commands for scripts: what is due, a backup, a
// restore, a check, everything out as CSV and back. They need no display.
package headless

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/storage"
)

// Exit codes of every command.
const (
	Done    = 0 // it did what was asked, and all is well
	Failed  = 1 // it could not; standard error says why
	Misused = 2 // the command line is not understood
	Unsound = 3 // it came to its end, and not all is well: what was found, lost or wrong is printed
)

// command is one command with its flags. Its run returns what to print: lines
// for people, and a value for --json.
type command struct {
	name, use, does string
	flags           func(*flag.FlagSet, *options)
	run             func(ctx context.Context, o options, out *output) (code int, err error)
}

// options are the flags of all commands.
type options struct {
	ledger, to, from string
	csv, columns     string // import of readings: the file, and the column map's name
	zone, person     string
	thin, json       bool
	dry, skip, slips bool
	clockRight       bool
	clock            storage.Clock
}

// output collects what a command tells.
type output struct {
	lines []string
	value any
}

func (o *output) say(format string, args ...any) {
	o.lines = append(o.lines, fmt.Sprintf(format, args...))
}

// systems and readings say how many there are.
func systems(n int) words.Text  { return words.N(n, "%d system", "%d systems") }
func readings(n int) words.Text { return words.N(n, "%d reading", "%d readings") }

var errNoLedger = errors.New("say which ledger: --ledger FILE")

func commands() []command {
	return []command{dueCommand, backupCommand, restoreCommand, checkCommand, salvageCommand, exportCommand, importCommand}
}

// Knows tells whether a name is that of a command.
func Knows(name string) bool {
	for _, c := range commands() {
		if c.name == name {
			return true
		}
	}
	return false
}

// Usage lists the commands for the program's help.
func Usage(w io.Writer) {
	fmt.Fprintln(w, "Commands for scripts, which need no display:")
	for _, c := range commands() {
		fmt.Fprintf(w, "  weirkeeper %-8s %s\n", c.name, c.use)
		fmt.Fprintf(w, "      %s\n", c.does)
	}
	fmt.Fprintln(w, "Each takes --json for a result that programs read. They end with 0 when done, 1 when it could not\n"+
		"be done, 2 on wrong use, and 3 when not all is well: check found faults, salvage could not bring all back as it\n"+
		"was, not all photos came with a restore or salvage, lines of a file of readings are wrong or may be slips.")
}

// Run runs the command named by args[0] with its flags and returns the exit
// code. Results go to stdout, errors to stderr.
func Run(ctx context.Context, args []string, clock storage.Clock, stdout, stderr io.Writer) int {
	for _, c := range commands() {
		if c.name == args[0] {
			return c.execute(ctx, args[1:], clock, stdout, stderr)
		}
	}
	fmt.Fprintf(stderr, "weirkeeper: there is no command %q\n", args[0])
	return Misused
}

func (c command) execute(ctx context.Context, args []string, clock storage.Clock, stdout, stderr io.Writer) int {
	o := options{clock: clock}
	flags := flag.NewFlagSet("weirkeeper "+c.name, flag.ContinueOnError)
	flags.SetOutput(stderr)
	flags.StringVar(&o.ledger, "ledger", "", "the ledger's `FILE`")
	flags.BoolVar(&o.json, "json", false, "print the result as JSON")
	if c.flags != nil {
		c.flags(flags, &o)
	}
	if err := flags.Parse(args); err != nil {
		if errors.Is(err, flag.ErrHelp) {
			return Done
		}
		return Misused
	}
	if flags.NArg() > 0 {
		fmt.Fprintf(stderr, "weirkeeper %s: %q is not understood\n", c.name, flags.Arg(0))
		return Misused
	}
	if o.ledger == "" {
		fmt.Fprintf(stderr, "weirkeeper %s: %v\n", c.name, errNoLedger)
		return Misused
	}
	var out output
	code, err := c.run(ctx, o, &out)
	if err != nil {
		fmt.Fprintf(stderr, "weirkeeper %s: %v\n", c.name, err)
		if out.value == nil && o.json {
			return code
		}
		// What was done all the same is said.
	}
	if err := out.write(stdout, o.json); err != nil {
		fmt.Fprintf(stderr, "weirkeeper %s: %v\n", c.name, err)
		return Failed
	}
	return code
}

func (o *output) write(w io.Writer, asJSON bool) error {
	if asJSON {
		e := json.NewEncoder(w)
		e.SetIndent("", "  ")
		return e.Encode(o.value)
	}
	for _, line := range o.lines {
		if _, err := fmt.Fprintln(w, line); err != nil {
			return err
		}
	}
	return nil
}

// clockFlag lets a person say that the clock is right.
func clockFlag(f *flag.FlagSet, o *options) {
	f.BoolVar(&o.clockRight, "clock-is-right", false, "go on although the clock does not go with the newest entry")
}

// checkClock refuses what depends on a clock that does not go with what the ledger
// holds, unless the person says that it is right.
func (o options) checkClock(store *storage.Store) error {
	if o.clockRight {
		store.TrustClock()
		return nil
	}
	if err := store.CheckClock(); err != nil {
		return fmt.Errorf("%w, with --clock-is-right", err)
	}
	return nil
}

// open opens the ledger beside the program that may be writing it.
func (o options) open(ctx context.Context) (*storage.Store, *time.Location, error) {
	store, err := storage.OpenToLook(ctx, o.ledger, o.clock)
	if err != nil {
		return nil, nil, err
	}
	room, err := store.Room(ctx)
	if err == nil {
		var zone *time.Location
		if zone, err = time.LoadLocation(room.Zone); err == nil {
			return store, zone, nil
		}
	}
	store.Close()
	return nil, nil, fmt.Errorf("reading the room: %w", err)
}
