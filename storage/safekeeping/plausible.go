package safekeeping

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/tanks"
)

// The times that a record may hold: what lies outside was never written by a keeper.
var (
	earliest = time.Date(1900, 1, 1, 0, 0, 0, 0, time.UTC)
	latest   = time.Date(2200, 1, 1, 0, 0, 0, 0, time.UTC)
)

// plausible refuses a ledger of which the structure is sound, but what it says is
// not: a room that has no zone, times of other centuries, photos that are not in
// their folder or are others.
func plausible(ctx context.Context, path, photos string) error {
	db, err := ledgerfile.OpenToRead(path, ledgerfile.Alone)
	if err != nil {
		return ledgerfile.OpenFailed(path, err)
	}
	defer db.Close()
	var room tanks.Room
	if err := db.QueryRowContext(ctx, "SELECT name, zone FROM room").Scan(&room.Name, &room.Zone); err != nil {
		return words.Errorf("reading the room: %w", err)
	}
	if err := room.Validate(); err != nil {
		return err
	}
	if err := likelyTimes(ctx, db); err != nil {
		return err
	}
	tables, err := ledgerfile.RowsOf(ctx, db)
	if err != nil {
		return err
	}
	if _, has := tables["photos"]; !has {
		return nil
	}
	lost, err := checkPhotos(ctx, photos, db)
	if err == nil && len(lost) > 0 {
		err = words.New(words.Text(strings.Join(lost, "; ")))
	}
	return err
}

// likelyTimes looks at every column of times, of which the names end alike.
func likelyTimes(ctx context.Context, db ledgerfile.Querier) error {
	tables, err := ledgerfile.AllColumns(ctx, db)
	if err != nil {
		return err
	}
	for _, table := range slices.Sorted(maps.Keys(tables)) {
		for _, c := range tables[table] {
			if !strings.HasSuffix(c.Name, "_at") {
				continue
			}
			var wrong int
			query := fmt.Sprintf(`SELECT count(*) FROM "%s" WHERE "%s" <> 0 AND "%s" NOT BETWEEN ? AND ?`, table, c.Name, c.Name)
			if err := db.QueryRowContext(ctx, query, earliest.UnixMilli(), latest.UnixMilli()).Scan(&wrong); err != nil {
				return err
			}
			if wrong > 0 {
				return words.Errorf("%s", words.N(
					wrong, "%d time in the column %s of %s is not of the years 1900 to 2200",
					"%d times in the column %s of %s are not of the years 1900 to 2200", c.Name, table,
				))
			}
		}
	}
	return nil
}
