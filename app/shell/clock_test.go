package shell

import (
	"context"
	"strings"
	"testing"
	"time"

	"weirkeeper/app/session"
	"weirkeeper/chem"
	"weirkeeper/storage/storagetest"
)

// A clock that was far ahead and is set back keeps no backup from being made, and
// entries of the future keep nothing from being saved.
func TestClockSetBack(t *testing.T) {
	store, f := storagetest.Room(t)
	path := store.Path()
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
	now := f.Now.AddDate(1, 0, 0)
	k := newKeeper(t, func() time.Time { return now })
	k.w.openFile(path)
	k.settle()
	save(t, k.w.Session().Store, f, 0, chem.Calcium, map[int]float64{0: 421})
	now = f.Now // right again
	k.w.backUpIfDue()
	k.settle()
	if n := len(k.backups()); n != 2 {
		t.Errorf("%d backups, want one of each clock", n)
	}
	now = now.Add(time.Hour)
	k.w.backUpIfDue()
	k.settle()
	if n := len(k.backups()); n != 2 {
		t.Errorf("%d backups an hour later", n)
	}
	k.w.Session().Store.TrustClock()
	save(t, k.w.Session().Store, f, 0, chem.Calcium, map[int]float64{1: 418})
	if _, err := k.w.Session().Store.Undo(context.Background(), ""); err != nil {
		t.Error(err)
	}
	k.w.Show(session.Route{Place: session.Rounds})
	k.settle()
	if said := k.noticed(); strings.Contains(said, "not done") {
		t.Error(said)
	}
}

// Instants stay what they are when the room moves to another zone or the clocks
// change; only the days that are shown follow.
func TestRoomMovesToAnotherZone(t *testing.T) {
	k, store, f := openRoom(t)
	ctx := context.Background()
	// Half an hour before the clocks in Paris go forward on 29 March 2026, and half
	// an hour after: 01:30 and 03:30 there.
	before := time.Date(2026, 3, 29, 0, 30, 0, 0, time.UTC)
	if got := before.In(k.w.Session().Zone).Format("15:04"); got != "01:30" {
		t.Fatalf("the room's zone says %s", got)
	}
	if got := before.Add(time.Hour).In(k.w.Session().Zone).Format("15:04"); got != "03:30" {
		t.Errorf("after the change it says %s", got)
	}
	save(t, store, f, 0, chem.Calcium, map[int]float64{1: 421})
	all, err := store.Series(ctx, f.Systems[0].ID, chem.Calcium, time.Time{}, time.Time{})
	if err != nil || len(all) != 1 {
		t.Fatal(all, err)
	}
	room, err := store.Room(ctx)
	if err != nil {
		t.Fatal(err)
	}
	room.Zone = "Pacific/Auckland"
	if err := store.SaveRoom(ctx, room); err != nil {
		t.Fatal(err)
	}
	k.w.reloadRoom()
	k.settle()
	after, err := store.Series(ctx, f.Systems[0].ID, chem.Calcium, time.Time{}, time.Time{})
	if err != nil || !after[0].At.Equal(all[0].At) {
		t.Errorf("the reading was of %v and is of %v, %v", all[0].At, after[0].At, err)
	}
	// 08:02 in UTC is 21:02 of the same day in Auckland's summer.
	if got := k.w.Session().Minute(f.Now); !strings.HasSuffix(got, "21:02") {
		t.Errorf("now is shown as %s", got)
	}
}
