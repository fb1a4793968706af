package storagetest

import (
	"context"
	"fmt"
	"os"
	"time"

	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// SaveForEver is the job of a child that saves into a ledger until it is killed.
const SaveForEver = "save for ever"

// SaveUntilKilled saves readings two at a time into a ledger made by [Room] and
// prints their ids once the save has returned.
func SaveUntilKilled(path string) {
	ctx := context.Background()
	s, err := storage.Open(ctx, path, Clock)
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	for n := 0; ; n++ {
		one := tanks.Reading{System: 1, Analyte: chem.Calcium, At: Now.Add(-time.Duration(n) * time.Second), Value: 420}
		two := one
		two.Analyte = chem.Magnesium
		ids, err := s.SaveReadings(ctx, []tanks.Reading{one, two})
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		fmt.Println(ids[0], ids[1])
	}
}
