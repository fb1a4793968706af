// Command provoked is the program with a clock that panics when the file named by
// PROVOKE is there: a screen that reads the room when it is opened asks the clock. One
// that has what it shows already panics where it draws, a while later.
package main

import (
	"flag"
	"fmt"
	"os"
	"time"

	"fyne.io/fyne/v2"
	fyneapp "fyne.io/fyne/v2/app"

	"weirkeeper/app/crash"
	"weirkeeper/app/shell"
)

func main() {
	opts := shell.Options{Version: "provoked", Resume: crash.Given(), Clock: clock}
	flag.StringVar(&opts.Ledger, "ledger", "", "the ledger's `FILE`")
	flag.Parse()
	crash.Go(fyne.Do, watch)
	fyneapp.SetMetadata(fyne.AppMetadata{ID: "org.weirkeeper.provoked", Migrations: map[string]bool{"fyneDo": true}})
	if err := shell.Run(fyneapp.NewWithID("org.weirkeeper.provoked"), opts); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// unasked is how long the file may be there before the window panics by itself.
const unasked = 4 * time.Second

// watch panics on the window's goroutine when nobody asks the clock.
func watch() {
	for range time.Tick(unasked / 8) {
		info, err := os.Stat(os.Getenv("PROVOKE"))
		if err == nil && time.Since(info.ModTime()) > unasked {
			fyne.Do(func() { clock() })
		}
	}
}

// clock panics once for each time that the file is put there.
func clock() time.Time {
	if path := os.Getenv("PROVOKE"); path != "" && os.Remove(path) == nil {
		panic("provoked")
	}
	return time.Now()
}
