// Command makebench writes the bench room, a ledger of the size that the program
// is built for, for measurements.
package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"time"

	"weirkeeper/storage/demoroom"
)

const seed = 20

func main() {
	out := flag.String("out", "bench.ledger", "the ledger's `FILE`; it must not be there yet")
	systems := flag.Int("systems", demoroom.FullBench.Systems, "how many systems")
	days := flag.Int("days", demoroom.FullBench.Days, "how many days")
	flag.Parse()
	if err := run(*out, demoroom.BenchSize{Systems: *systems, Days: *days, Often: demoroom.FullBench.Often}); err != nil {
		fmt.Fprintln(os.Stderr, "makebench:", err)
		os.Exit(1)
	}
}

func run(path string, size demoroom.BenchSize) error {
	begun := time.Now()
	store, err := demoroom.CreateBench(context.Background(), path, time.Now, seed, size, func(done int) {
		if done%10 == 0 {
			fmt.Printf("%d of %d systems, %.0f s\n", done, size.Systems, time.Since(begun).Seconds())
		}
	})
	if err != nil {
		return err
	}
	return store.Close()
}
