package storage_test

import (
	"slices"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
	"weirkeeper/tasks"
)

func TestLatestCompletions(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	one, two := f.Systems[0].ID, f.Systems[1].ID
	chore := tasks.Task{Profile: f.ProfileID, Title: "Rinse", Every: 7, Start: f.Now.Add(-90 * day)}
	must(t, s.SaveTask(ctx, &chore))
	ago := func(days int) time.Time { return f.Now.Add(-time.Duration(days) * day) }
	done := func(sys tanks.SystemID, days int) tasks.Completion {
		return tasks.Completion{Task: chore.ID, System: sys, At: ago(days), Outcome: tasks.Done, Person: "AB"}
	}
	skipped := func(sys tanks.SystemID, days int) tasks.Completion {
		return tasks.Completion{Task: chore.ID, System: sys, At: ago(days), Outcome: tasks.Skipped, Reason: "away"}
	}
	test := tasks.Completion{System: one, Analyte: int(chem.Calcium), At: ago(1), Outcome: tasks.Moved, MovedTo: f.Now.Add(day)}
	older := test
	older.At = ago(2)
	room := tasks.Completion{Task: chore.ID, At: ago(30), Outcome: tasks.Done}
	must(t, s.CompleteAll(ctx, []tasks.Completion{
		done(one, 20), done(one, 10), skipped(one, 12), skipped(one, 5), skipped(one, 3), // newest, and newest that was done
		skipped(two, 9), done(two, 4), // the newest was done
		older, test, room,
	}))
	got := value[[]tasks.Completion](t)(s.LatestCompletions(ctx))
	for i := range got {
		if got[i].ID == 0 {
			t.Errorf("no id: %+v", got[i])
		}
		got[i].ID = 0
	}
	want := []tasks.Completion{room, done(one, 10), done(two, 4), skipped(one, 3), test}
	if !slices.Equal(got, want) {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
}

func TestOfOneInstantTheLaterEntryCounts(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	chore := tasks.Task{System: f.Systems[0].ID, Title: "Rinse", Every: 7, Start: f.Now.Add(-90 * day)}
	must(t, s.SaveTask(ctx, &chore))
	for _, person := range []string{"AB", "CD"} {
		must(t, s.Complete(ctx, &tasks.Completion{Task: chore.ID, System: chore.System, At: f.Now, Person: person}))
	}
	if got := value[[]tasks.Completion](t)(s.LatestCompletions(ctx)); len(got) != 1 || got[0].Person != "CD" {
		t.Errorf("got %+v", got)
	}
}
