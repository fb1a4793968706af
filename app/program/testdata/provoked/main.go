// Command provoked is the program with a clock that panics when the file named by
// PROVOKE is there: every screen asks the clock when it is opened.
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
	fyneapp.SetMetadata(fyne.AppMetadata{ID: "org.weirkeeper.provoked", Migrations: map[string]bool{"fyneDo": true}})
	if err := shell.Run(fyneapp.NewWithID("org.weirkeeper.provoked"), opts); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// clock panics once for each time that the file is put there.
func clock() time.Time {
	if path := os.Getenv("PROVOKE"); path != "" && os.Remove(path) == nil {
		panic("provoked")
	}
	return time.Now()
}
