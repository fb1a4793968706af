package storage

import (
	"context"
	"slices"

	"weirkeeper/assets/words"
	"weirkeeper/tanks"
	"weirkeeper/tasks"
)

type taskRow struct {
	ID        int64 `gorm:"primaryKey"`
	SystemID  *int64
	ProfileID *int64
	Title     string
	Rule      string
	Every     int
	StartAt   int64
	Note      string
	Ended     bool
}

func (taskRow) TableName() string { return "tasks" }

// Tasks returns every task, ended ones too, oldest first.
func (s *Store) Tasks(ctx context.Context) ([]tasks.Task, error) {
	var rows []taskRow
	if err := s.read.WithContext(ctx).Order("id").Find(&rows).Error; err != nil {
		return nil, words.Errorf("reading the tasks: %w", err)
	}
	out := make([]tasks.Task, len(rows))
	for i, r := range rows {
		out[i] = tasks.Task{
			ID: tasks.ID(
				r.ID,
			), System: referred[tanks.SystemID](r.SystemID), Profile: referred[tanks.ProfileID](r.ProfileID), Title: r.Title,
			Rule: r.Rule, Every: r.Every, Start: instant(r.StartAt), Note: r.Note, Ended: r.Ended,
		}
	}
	return out, nil
}

// SaveTask writes a task; a new one (ID 0) gets its ID.
func (s *Store) SaveTask(ctx context.Context, t *tasks.Task) error {
	one := []tasks.Task{*t}
	if err := s.SaveTasks(ctx, one); err != nil {
		return err
	}
	*t = one[0]
	return nil
}

// SaveTasks writes several tasks, all or none; new ones (ID 0) get their IDs.
func (s *Store) SaveTasks(ctx context.Context, all []tasks.Task) error {
	var systems []tanks.SystemID
	for _, t := range all {
		if err := t.Validate(); err != nil {
			return err
		}
		systems = append(systems, t.System)
	}
	saved := slices.Clone(all)
	doing := words.Text("saving the task")
	if len(all) > 1 {
		doing = words.T("saving %d tasks", len(all))
	}
	err := s.act(ctx, doing, ofEach(KindTask, systems), func(tx *act) error {
		for i := range saved {
			if err := putTask(tx, &saved[i]); err != nil {
				return err
			}
		}
		return nil
	})
	if err == nil {
		copy(all, saved)
	}
	return err
}

// ofEach is a change of what belongs to systems; one of the whole room, which is zero,
// concerns all.
func ofEach(k Kind, systems []tanks.SystemID) Touched {
	if slices.Contains(systems, 0) {
		systems = nil
	}
	return of(k, systems...)
}

// putTask inserts or replaces a task; a new one gets its ID.
func putTask(tx *act, t *tasks.Task) error {
	row := taskRow{
		ID: int64(t.ID), SystemID: reference(t.System), ProfileID: reference(t.Profile), Title: t.Title, Rule: t.Rule, Every: t.Every,
		StartAt: stamp(t.Start), Note: t.Note, Ended: t.Ended,
	}
	if err := tx.put(&row, row.ID); err != nil {
		return err
	}
	t.ID = tasks.ID(row.ID)
	return nil
}

type completionRow struct {
	ID        int64
	TaskID    *int64
	SystemID  *int64
	AnalyteID *int64
	DoneAt    int64
	Outcome   int
	MovedTo   int64
	Reason    string
	Person    string
}

func (completionRow) TableName() string { return "completions" }

// Complete records what became of a due task or test.
func (s *Store) Complete(ctx context.Context, c *tasks.Completion) error {
	return s.CompleteAll(ctx, []tasks.Completion{*c})
}

// CompleteAll records what became of several due tasks and tests, all or none.
func (s *Store) CompleteAll(ctx context.Context, all []tasks.Completion) error {
	var systems []tanks.SystemID
	for _, c := range all {
		if err := c.Validate(s.clock()); err != nil {
			return err
		}
		systems = append(systems, c.System)
	}
	return s.act(ctx, "recording the work", ofEach(KindTask, systems), func(tx *act) error {
		for _, c := range all {
			row := completionRow{
				TaskID: reference(c.Task), SystemID: reference(c.System), AnalyteID: reference(int64(c.Analyte)), DoneAt: stamp(c.At),
				Outcome: int(c.Outcome), MovedTo: stamp(c.MovedTo), Reason: c.Reason, Person: c.Person,
			}
			if err := tx.insert(&row); err != nil {
				return err
			}
		}
		return nil
	})
}

// latestWork finds the newest completion of every task and test, and the newest
// that was done, each by its place in the index; to look at all completions would
// take the longer the older the room is.
const latestWork = `WITH work(task_id, system_id, analyte_id) AS (
		SELECT t.id, s.id, NULL FROM tasks t CROSS JOIN systems s WHERE t.system_id IS NULL OR t.system_id = s.id
		UNION ALL SELECT id, NULL, NULL FROM tasks
		UNION ALL SELECT DISTINCT NULL, system_id, analyte_id FROM completions WHERE task_id IS NULL),
	newest AS MATERIALIZED (
		SELECT c.* FROM work w JOIN completions c ON c.id = (SELECT id FROM completions x
			WHERE x.task_id IS w.task_id AND x.system_id IS w.system_id AND x.analyte_id IS w.analyte_id ORDER BY done_at DESC, id DESC LIMIT 1))
	SELECT id, task_id, system_id, analyte_id, done_at, outcome, moved_to, reason, person FROM newest
	UNION ALL
	SELECT d.id, d.task_id, d.system_id, d.analyte_id, d.done_at, d.outcome, d.moved_to, d.reason, d.person FROM newest n JOIN completions d ON d.id = (SELECT id FROM completions x
		WHERE x.task_id IS n.task_id AND x.system_id IS n.system_id AND x.analyte_id IS n.analyte_id AND x.outcome = 0 ORDER BY done_at DESC, id DESC LIMIT 1)
		WHERE n.outcome <> 0
	ORDER BY done_at, id`

// LatestCompletions returns the newest completion of every task and test: of a
// task in a system, or of a test of an analyte in a system; and beside it the
// newest that was done where that is another one.
func (s *Store) LatestCompletions(ctx context.Context) ([]tasks.Completion, error) {
	rows, err := s.read.WithContext(ctx).Raw(latestWork).Rows()
	if err != nil {
		return nil, words.Errorf("reading the work done: %w", err)
	}
	defer rows.Close()
	var out []tasks.Completion
	var r completionRow
	for rows.Next() {
		if err := rows.Scan(&r.ID, &r.TaskID, &r.SystemID, &r.AnalyteID, &r.DoneAt, &r.Outcome, &r.MovedTo, &r.Reason,
			&r.Person); err != nil {
			return nil, words.Errorf("reading the work done: %w", err)
		}
		out = append(out, tasks.Completion{
			ID: r.ID, Task: referred[tasks.ID](r.TaskID), System: referred[tanks.SystemID](r.SystemID), Analyte: int(referred[int64](r.AnalyteID)),
			At: instant(r.DoneAt), Outcome: tasks.Outcome(r.Outcome), MovedTo: instant(r.MovedTo), Reason: r.Reason, Person: r.Person,
		})
	}
	if err := rows.Err(); err != nil {
		return nil, words.Errorf("reading the work done: %w", err)
	}
	return out, nil
}
