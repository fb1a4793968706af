package headless

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"time"

	"weirkeeper/app/state"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage/safekeeping"
	"weirkeeper/tanks/board"
	"weirkeeper/tasks"
)

var dueCommand = command{
	name: "due", use: "--ledger FILE [--clock-is-right]",
	does: "tests and chores that are overdue, due today, and due in the next seven days", flags: clockFlag, run: due,
}

// dueItem is one chore, or the tests of one system and day, in the JSON of due.
type dueItem struct {
	When     string   `json:"when"` // "overdue", "today", "soon"
	Due      string   `json:"due"`  // the day, in the room's zone
	System   string   `json:"system,omitempty"`
	Tests    []string `json:"tests,omitempty"` // keys of analytes
	Chore    string   `json:"chore,omitempty"`
	LastDone string   `json:"last_done,omitempty"` // RFC 3339
}

func due(ctx context.Context, o options, out *output) (int, error) {
	store, zone, err := o.open(ctx)
	if err != nil {
		return Failed, err
	}
	defer store.Close()
	if err := o.checkClock(store); err != nil {
		return Failed, err
	}
	reads := state.NewReads(store)
	defer reads.Close()
	room, err := reads.Room(ctx, o.clock())
	if err != nil {
		return Failed, err
	}
	work, _, err := state.Work(ctx, reads, room, zone, func(a chem.Analyte) chem.Unit {
		info, _ := chem.Lookup(a)
		return info.Units[0]
	})
	if err != nil {
		return Failed, err
	}
	items := []dueItem{}
	for _, part := range []struct {
		when string
		work []tasks.Item
	}{{"overdue", work.Overdue}, {"today", work.Today}, {"soon", work.Soon}} {
		for _, item := range part.work {
			d := dueOf(part.when, item, room, zone)
			items = append(items, d)
			out.say("%s", d.line())
		}
	}
	if len(items) == 0 {
		out.say("nothing is due")
	}
	out.value = items
	return Done, nil
}

func dueOf(when string, item tasks.Item, room *board.Estimated, zone *time.Location) dueItem {
	d := dueItem{When: when, Due: item.Due.In(zone).Format(time.DateOnly), Chore: item.Title}
	if s, ok := room.System(item.System); ok {
		d.System = s.Code
	}
	for _, a := range item.Analytes {
		info, _ := chem.Lookup(a)
		d.Tests = append(d.Tests, info.Key)
	}
	if !item.LastDone.IsZero() {
		d.LastDone = item.LastDone.In(zone).Format(time.RFC3339)
	}
	return d
}

// line is the item for people, in columns that tabs divide.
func (d dueItem) line() string {
	what := d.Chore
	if len(d.Tests) > 0 {
		what = "test " + strings.Join(d.Tests, ", ")
	}
	return strings.Join([]string{d.When, d.Due, d.System, what}, "\t")
}

var backupCommand = command{
	name: "backup", use: "--ledger FILE --to FOLDER [--thin] [--clock-is-right]",
	does: "a verified copy of the ledger, which may be in use; --thin removes old copies by the usual rule",
	flags: func(f *flag.FlagSet, o *options) {
		f.StringVar(&o.to, "to", "", "the `FOLDER` for the copy")
		f.BoolVar(&o.thin, "thin", false,
			"keep the newest ten, one a day for 14 days, one a week for 8 weeks, one a month, and remove the others")
		clockFlag(f, o)
	},
	run: backup,
}

func backup(ctx context.Context, o options, out *output) (int, error) {
	if o.to == "" {
		return Misused, fmt.Errorf("say where to: --to FOLDER")
	}
	store, zone, err := o.open(ctx)
	if err != nil {
		return Failed, err
	}
	defer store.Close()
	if o.thin { // which copies go depends on the day
		if err := o.checkClock(store); err != nil {
			return Failed, err
		}
	}
	b, err := safekeeping.TakeBackup(ctx, store, o.to, o.clock(), nil)
	if err != nil {
		return Failed, err
	}
	out.say("%s", b.Path)
	removed := []string{}
	if o.thin {
		all, err := safekeeping.Backups(o.to, o.ledger)
		if err != nil {
			return Failed, err
		}
		for _, old := range safekeeping.UsualKeep.Surplus(all, o.clock().In(zone)) {
			if err := old.Remove(); err != nil {
				return Failed, err
			}
			removed = append(removed, old.Path)
			out.say("removed %s", old.Path)
		}
	}
	out.value = map[string]any{"path": b.Path, "taken": b.Taken, "size": b.Size, "sha256": b.SHA256, "rows": b.Rows, "removed": removed}
	return Done, nil
}

var restoreCommand = command{
	name: "restore", use: "--ledger FILE --from BACKUP",
	does:  "a backup in the place of the ledger, which must not be open; the files it replaces are kept beside it",
	flags: func(f *flag.FlagSet, o *options) { f.StringVar(&o.from, "from", "", "the backup's `FILE`") },
	run:   restore,
}

func restore(ctx context.Context, o options, out *output) (int, error) {
	if o.from == "" {
		return Misused, fmt.Errorf("say which backup: --from BACKUP")
	}
	b, err := safekeeping.BackupAt(o.from)
	undescribed := errors.Is(err, fs.ErrNotExist)
	if undescribed {
		b, err = safekeeping.Undescribed(ctx, o.from)
	}
	if err != nil {
		return Failed, err
	}
	glance, err := safekeeping.Look(ctx, o.from)
	if err != nil {
		return Failed, err
	}
	kept, lost := safekeeping.Restore(ctx, b, o.ledger, o.clock())
	if lost != nil && !withoutPhotos(lost) {
		return Failed, lost
	}
	last := ""
	if !glance.Last.IsZero() {
		last = ", the last of " + glance.Last.Format(time.DateOnly)
	}
	out.say("restored %s: %s and %s%s", glance.Room, systems(glance.Systems), readings(glance.Readings), last)
	if undescribed {
		out.say("its description, which lies beside a backup, is missing: it was proved by a check of the whole file alone")
	}
	if kept != "" {
		out.say("the former files are in %s", kept)
	}
	out.value = map[string]any{"room": glance.Room, "systems": glance.Systems, "readings": glance.Readings, "kept": kept,
		"described": !undescribed}
	if lost != nil {
		return Unsound, lost
	}
	return Done, nil
}

// withoutPhotos tells an error behind which the ledger is in its place, and only
// photos are missing.
func withoutPhotos(err error) bool {
	photos := new(safekeeping.PhotosError)
	return errors.As(err, &photos)
}

var exportCommand = command{
	name: "export", use: "--ledger FILE --to FOLDER", does: "everything in the ledger as CSV files, into a new or empty folder",
	flags: func(f *flag.FlagSet, o *options) { f.StringVar(&o.to, "to", "", "the `FOLDER` for the files") },
	run:   export,
}

func export(ctx context.Context, o options, out *output) (int, error) {
	if o.to == "" {
		return Misused, fmt.Errorf("say where to: --to FOLDER")
	}
	store, _, err := o.open(ctx)
	if err != nil {
		return Failed, err
	}
	defer store.Close()
	tables := []string{}
	if err := safekeeping.ExportAll(ctx, store, o.to, o.clock(), func(table string) { tables = append(tables, table) }); err != nil {
		return Failed, err
	}
	out.say("%s in %s", words.N(len(tables), "%d file", "%d files"), o.to)
	out.value = map[string]any{"folder": o.to, "tables": tables}
	return Done, nil
}

var salvageCommand = command{
	name: "salvage", use: "--ledger DAMAGED --to FILE [--backups FOLDER]",
	does: "a new ledger of what can be read of a damaged one, which is not touched, and of its newest backup where that is sure; says " +
		"what is lost",
	flags: func(f *flag.FlagSet, o *options) {
		f.StringVar(&o.to, "to", "", "the new ledger's `FILE`")
		f.StringVar(&o.from, "backups", "", "the `FOLDER` of its backups")
	},
	run: salvage,
}

func salvage(ctx context.Context, o options, out *output) (int, error) {
	if o.to == "" {
		return Misused, fmt.Errorf("say where to: --to FILE")
	}
	backups, err := o.backups()
	if err != nil {
		return Failed, err
	}
	got, err := safekeeping.Salvage(ctx, o.ledger, o.to, o.clock(), nil, backups...)
	if err != nil && !withoutPhotos(err) {
		return Failed, err
	}
	out.say("%s and %s in %s", systems(got.Kept["systems"]), readings(got.Kept["readings"]), o.to)
	if got.Whole() {
		out.say("nothing is lost as far as can be told")
	}
	for _, lost := range got.Losses {
		out.say("lost: %s", lost)
	}
	if got.Unnamed > 0 {
		out.say("%d pages cannot be read; at the most %d more entries stood in them", got.Unread, got.Unnamed)
	}
	for _, one := range got.Doubtful {
		out.say("kept, but not as it was written: %s", one)
	}
	for _, what := range got.Invented {
		out.say("made up, since others refer to them: %s", what)
	}
	if got.Repaired > 0 || got.FromBackup > 0 {
		out.say("put right: %d, from the backup: %d", got.Repaired, got.FromBackup)
	}
	out.value = map[string]any{
		"kept": got.Kept, "lost": got.Lost, "losses": texts(got.Losses), "unread_pages": got.Unread, "unnamed_at_most": got.Unnamed,
		"doubtful": texts(got.Doubtful), "put_right": got.Repaired, "from_backup": got.FromBackup, "invented": slices.Concat([]string{},
			got.Invented),
	}
	if err != nil || !got.Whole() {
		return Unsound, err
	}
	return Done, nil
}

// texts are sentences as a script reads them.
func texts(all []words.Text) []string {
	out := []string{}
	for _, one := range all {
		out = append(out, one.String())
	}
	return out
}

// backups are those in the folder that was named; none: no folder was.
func (o options) backups() ([]safekeeping.Backup, error) {
	if o.from == "" {
		return nil, nil
	}
	return safekeeping.Backups(o.from, o.ledger)
}

var checkCommand = command{
	name: "check", use: "--ledger FILE [--backups FOLDER]",
	does: "reads the ledger's file from end to end and says what is wrong in it; it never writes. Newest entries that were cut off " +
		"whole show by backups alone",
	flags: func(f *flag.FlagSet, o *options) { f.StringVar(&o.from, "backups", "", "the `FOLDER` of its backups") },
	run:   check,
}

func check(ctx context.Context, o options, out *output) (int, error) {
	backups, err := o.backups()
	if err != nil {
		return Failed, err
	}
	r, err := safekeeping.Check(ctx, o.ledger, backups...)
	if err != nil {
		return Failed, err
	}
	out.value = map[string]any{"sound": r.Sound(), "version": r.Version, "rows": r.Rows, "faults": slices.Concat([]string{}, r.Faults)}
	if r.Sound() {
		out.say("sound: %s, %s", systems(r.Rows["systems"]), readings(r.Rows["readings"]))
		return Done, nil
	}
	for _, fault := range r.Faults {
		out.say("%s", fault)
	}
	return Unsound, nil
}
