package storage

import (
	"context"
	"fmt"

	"gorm.io/gorm"

	"weirkeeper/tanks"
)

// FoldEvery makes the log be folded into the ledger's file every so many pages.
func (s *Store) FoldEvery(pages int) error {
	return s.write.Exec(fmt.Sprintf("PRAGMA wal_autocheckpoint = %d", pages)).Error
}

// Sync sets how durable the writing is, which only a test may weaken.
func (s *Store) Sync(how string) error { return s.write.Exec("PRAGMA synchronous = " + how).Error }

// LargestFile bounds the ledger's file, in pages, as a full disk does.
func (s *Store) LargestFile(pages int) error {
	return s.write.Exec(fmt.Sprintf("PRAGMA max_page_count = %d", pages)).Error
}

// Reading runs work on what an action reads through.
func (s *Store) Reading(ctx context.Context, work func(tx *gorm.DB) error) error {
	return s.act(ctx, "reading", Touched{}, func(tx *act) error { return work(tx.DB) })
}

// Kinds tells of each table what it holds.
var Kinds = kinds

// ErrUnversioned tells a write that no version would be kept of.
var ErrUnversioned = errUnversioned

// Within saves readings and does something before they are committed.
func (s *Store) Within(ctx context.Context, do func() error, readings []tanks.Reading) error {
	return s.act(ctx, "saving the readings", of(KindReading), func(tx *act) error {
		if _, err := insertReadings(tx, readings, s.clock()); err != nil {
			return err
		}
		return do()
	})
}
