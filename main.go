// Weirkeeper keeps the water of a fish room: what is due for testing, what the
// readings mean, what to dose, and the record that goes with a system.
package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"os"
	"time"

	"fyne.io/fyne/v2"
	fyneapp "fyne.io/fyne/v2/app"

	"weirkeeper/app/crash"
	"weirkeeper/app/headless"
	"weirkeeper/app/shell"
	"weirkeeper/assets"
)

const (
	appID   = "org.weirkeeper.desktop"
	version = "0.1.0"
)

// Exit codes: 0 closed by the person, 1 an error, 2 no display or wrong use.
const (
	exitOK    = 0
	exitError = 1
	exitUsage = 2
)

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

func run(args []string, stdout, stderr io.Writer) int {
	if len(args) > 0 && headless.Knows(args[0]) {
		return headless.Run(context.Background(), args, time.Now, stdout, stderr)
	}
	opts, code, done := parse(args, stderr)
	if done {
		return code
	}
	if err := shell.CheckDisplay(os.Getenv); err != nil {
		fmt.Fprintf(stderr, "weirkeeper: %v\n", err)
		return exitUsage
	}
	fyneapp.SetMetadata(fyne.AppMetadata{
		ID:         appID,
		Name:       "Weirkeeper",
		Version:    version,
		Icon:       fyne.NewStaticResource("weirkeeper.png", assets.Icon),
		Migrations: map[string]bool{"fyneDo": true},
	})
	if err := shell.MakeCacheFolder(); err != nil {
		fmt.Fprintf(stderr, "weirkeeper: %v\n", err)
	}
	desk := fyneapp.NewWithID(appID)
	if err := shell.Run(desk, opts); err != nil {
		fmt.Fprintf(stderr, "weirkeeper: %v\n", err)
		return exitError
	}
	return exitOK
}

// parse reads the flags. done tells that the program ends with code.
func parse(args []string, stderr io.Writer) (opts shell.Options, code int, done bool) {
	flags := flag.NewFlagSet("weirkeeper", flag.ContinueOnError)
	flags.SetOutput(stderr)
	flags.BoolVar(&opts.Demo, "demo", false, "open a fresh copy of the demo room (invented data)")
	flags.StringVar(&opts.Ledger, "ledger", "", "open the ledger in `FILE`; with -demo, put the demo room's copy there")
	at := flags.String("at", "", "pretend that the clock stands at this `TIME` (RFC 3339), for pictures and tests")
	showVersion := flags.Bool("version", false, "print the version and end")
	flags.Usage = func() {
		fmt.Fprintf(
			stderr,
			"usage: weirkeeper [-demo] [-ledger FILE]\n       weirkeeper COMMAND --ledger FILE ...\n\nWithout flags it opens the ledger "+
				"that was open last.\n\n",
		)
		flags.PrintDefaults()
		fmt.Fprintln(stderr)
		headless.Usage(stderr)
	}
	if err := flags.Parse(args); err != nil {
		if err == flag.ErrHelp {
			return opts, exitOK, true
		}
		return opts, exitUsage, true
	}
	if flags.NArg() > 0 {
		fmt.Fprintf(stderr, "weirkeeper: %q is not understood; to open a ledger use -ledger FILE\n", flags.Arg(0))
		return opts, exitUsage, true
	}
	if *showVersion {
		fmt.Fprintln(stderr, "weirkeeper", version)
		return opts, exitOK, true
	}
	opts.Clock, opts.At, opts.Version, opts.Resume = time.Now, *at, version, crash.Given()
	if *at != "" {
		t, err := time.Parse(time.RFC3339, *at)
		if err != nil {
			fmt.Fprintf(stderr, "weirkeeper: -at %q is no time such as 2026-03-10T09:20:00Z\n", *at)
			return opts, exitUsage, true
		}
		opts.Clock = func() time.Time { return t }
	}
	return opts, exitOK, false
}
