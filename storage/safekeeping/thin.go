package safekeeping

import (
	"errors"
	"fmt"
	"io/fs"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/storage/durable"
)

// Keep says which backups are kept: the newest few, and the newest of each day,
// week and month as far back as said. Months are kept for ever.
type Keep struct {
	Newest, Days, Weeks int
}

// UsualKeep keeps ten, a fortnight of days and eight weeks, and every month.
var UsualKeep = Keep{Newest: 10, Days: 14, Weeks: 8}

// Surplus returns the backups that the rule does not keep, in the order given,
// which must be the newest first. Days, weeks and months are those of the zone of
// now. Backups that are dated after now were made before the clock was set back:
// they stay, and count for nothing.
func (k Keep) Surplus(backups []Backup, now time.Time) []Backup {
	var surplus []Backup
	days, weeks, months := map[string]bool{}, map[string]bool{}, map[string]bool{}
	first := func(seen map[string]bool, key string, most int) bool {
		if seen[key] || (most >= 0 && len(seen) >= most) {
			return false
		}
		seen[key] = true
		return true
	}
	newest := 0
	for _, b := range backups {
		if b.Taken.After(now) {
			continue
		}
		newest++
		t := b.Taken.In(now.Location())
		year, week := t.ISOWeek()
		day := first(days, t.Format("2006-01-02"), k.Days)
		ofWeek := first(weeks, fmt.Sprint(year, " ", week), k.Weeks)
		month := first(months, t.Format("2006-01"), -1)
		if newest > k.Newest && !day && !ofWeek && !month {
			surplus = append(surplus, b)
		}
	}
	return surplus
}

// Remove deletes a backup with what stands beside it.
func (b Backup) Remove() error {
	for _, path := range []string{b.Path, b.aboutFile(), b.sumFile()} {
		if err := durable.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return words.Errorf("removing an old backup: %w", err)
		}
	}
	return nil
}
