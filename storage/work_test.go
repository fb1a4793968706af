package storage_test

import (
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

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

// plainWork is the rule itself: a completion counts when no newer one of its
// task makes it old, a done one only by a done one.
const plainWork = `SELECT id FROM completions c WHERE NOT EXISTS (
	SELECT 1 FROM completions n WHERE n.task_id IS c.task_id AND n.system_id IS c.system_id AND n.analyte_id IS c.analyte_id
	AND (n.outcome = 0 OR c.outcome <> 0) AND (n.done_at, n.id) > (c.done_at, c.id)) ORDER BY done_at, id`

func TestLatestCompletionsLaw(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		s, f := storagetest.Room(t)
		defer s.Close()
		ctx := t.Context()
		var chores []tasks.ID
		for _, chore := range []tasks.Task{{Title: "everywhere"}, {Title: "here", System: f.Systems[0].ID},
			{Title: "rack", Profile: f.ProfileID}} {
			chore.Every, chore.Start = 7, f.Now
			must(t, s.SaveTask(ctx, &chore))
			chores = append(chores, chore.ID)
		}
		var all []tasks.Completion
		for range rapid.IntRange(0, 40).Draw(r, "n") {
			c := tasks.Completion{
				System: tanks.SystemID(
					rapid.IntRange(0, 2).Draw(r, "system"),
				), At: f.Now.Add(-time.Duration(rapid.IntRange(0, 9).Draw(r, "ago")) * day),
				Outcome: tasks.Outcome(rapid.IntRange(0, 1).Draw(r, "outcome")), Reason: "r",
			}
			if what := rapid.IntRange(0, len(chores)).Draw(r, "what"); what < len(chores) {
				c.Task = chores[what]
				if c.Task == chores[1] && c.System != 0 {
					c.System = f.Systems[0].ID // a chore of one system is done there
				}
			} else {
				c.Analyte, c.System = int(chem.Calcium), max(1, c.System)
			}
			all = append(all, c)
		}
		must(t, s.CompleteAll(ctx, all))
		var got []int64
		for _, c := range value[[]tasks.Completion](t)(s.LatestCompletions(ctx)) {
			got = append(got, c.ID)
		}
		db := plain(t, s.Path())
		defer db.Close()
		rows, err := db.Query(plainWork)
		must(t, err)
		var want []int64
		for rows.Next() {
			var id int64
			must(t, rows.Scan(&id))
			want = append(want, id)
		}
		must(t, rows.Close())
		if !slices.Equal(got, want) {
			r.Fatalf("got %v, want %v", got, want)
		}
	})
}
