package safekeeping

import (
	"cmp"
	"context"
	"slices"
	"time"

	"weirkeeper/assets/words"
)

// loss is a number of rows of a table that are lost, in words.
type loss struct {
	table string
	rows  int
	text  words.Text
}

// foremost are the tables whose rows matter most to a keeper, the first the most; the
// account matters least.
var (
	foremost = []string{"room", "systems", "readings", "additions", "water_changes", "observations", "lots", "photos", "samples",
		"corrections"}
	hindmost = []string{"actions", "versions", "drafts"}
)

func (s *salvage) lose(table string, rows int, text words.Text) {
	s.lost = append(s.lost, loss{table, rows, text})
}

// tell puts what is lost in order: by table, and within one the most rows first.
func (s *salvage) tell() {
	slices.SortFunc(s.lost, func(a, b loss) int {
		return cmp.Or(cmp.Compare(rank(a.table), rank(b.table)), cmp.Compare(a.table, b.table), cmp.Compare(b.rows, a.rows),
			cmp.Compare(a.text, b.text))
	})
	for _, l := range s.lost {
		s.Losses = append(s.Losses, l.text)
	}
}

// rank is the place of a table in the order of a report.
func rank(table string) int {
	if at := slices.Index(foremost, table); at >= 0 {
		return at
	}
	return len(foremost) + 1 + slices.Index(hindmost, table)
}

// zone is that of the room, UTC when that is lost.
func (s *salvage) zone(ctx context.Context) *time.Location {
	if s.local != nil {
		return s.local
	}
	var name string
	if s.tx.QueryRowContext(ctx, "SELECT zone FROM room").Scan(&name) != nil {
		return time.UTC
	}
	zone, err := time.LoadLocation(name)
	if err != nil {
		return time.UTC
	}
	s.local = zone
	return zone
}
