package storage

import (
	"context"
	"fmt"

	"gorm.io/gorm"

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
		return nil, fmt.Errorf("reading the tasks: %w", err)
	}
	out := make([]tasks.Task, len(rows))
	for i, r := range rows {
		out[i] = tasks.Task{
			ID: tasks.ID(r.ID), System: referred[tanks.SystemID](r.SystemID), Profile: referred[tanks.ProfileID](r.ProfileID), Title: r.Title,
			Rule: r.Rule, Every: r.Every, Start: instant(r.StartAt), Note: r.Note, Ended: r.Ended,
		}
	}
	return out, nil
}

// SaveTask writes a task; a new one (ID 0) gets its ID.
func (s *Store) SaveTask(ctx context.Context, t *tasks.Task) error {
	if err := t.Validate(); err != nil {
		return err
	}
	saved := *t
	err := s.act(ctx, "saving the task", of(KindTask, t.System), func(tx *gorm.DB) error { return putTask(tx, &saved) })
	if err == nil {
		*t = saved
	}
	return err
}

// putTask inserts or replaces a task; a new one gets its ID.
func putTask(tx *gorm.DB, t *tasks.Task) error {
	row := taskRow{
		ID: int64(t.ID), SystemID: reference(t.System), ProfileID: reference(t.Profile), Title: t.Title, Rule: t.Rule, Every: t.Every,
		StartAt: stamp(t.Start), Note: t.Note, Ended: t.Ended,
	}
	if err := put(tx, &row, row.ID); err != nil {
		return err
	}
	t.ID = tasks.ID(row.ID)
	return nil
}

type completionRow struct {
	ID        int64 `gorm:"primaryKey"`
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

// Complete records what became of one piece of due work.
func (s *Store) Complete(ctx context.Context, c *tasks.Completion) error {
	return s.CompleteAll(ctx, []tasks.Completion{*c})
}

// CompleteAll records what became of several pieces of due work, all or none.
func (s *Store) CompleteAll(ctx context.Context, all []tasks.Completion) error {
	notice := of(KindTask)
	wholeRoom := false
	for _, c := range all {
		if err := c.Validate(s.clock()); err != nil {
			return err
		}
		notice.Systems = append(notice.Systems, c.System)
		wholeRoom = wholeRoom || c.System == 0
	}
	if wholeRoom {
		notice.Systems = nil
	}
	return s.act(ctx, "recording the work", notice, func(tx *gorm.DB) error {
		for _, c := range all {
			row := completionRow{
				TaskID: reference(c.Task), SystemID: reference(c.System), AnalyteID: reference(int64(c.Analyte)), DoneAt: stamp(c.At),
				Outcome: int(c.Outcome), MovedTo: stamp(c.MovedTo), Reason: c.Reason, Person: c.Person,
			}
			if err := tx.Create(&row).Error; err != nil {
				return err
			}
		}
		return nil
	})
}

// LatestCompletions returns the newest completion of every piece of work: of a
// task in a system, or of a test of an analyte in a system; and beside it the
// newest that was done where that is another one.
func (s *Store) LatestCompletions(ctx context.Context) ([]tasks.Completion, error) {
	var rows []completionRow
	err := s.read.WithContext(ctx).Raw(`SELECT * FROM completions c WHERE NOT EXISTS (
		SELECT 1 FROM completions n WHERE n.task_id IS c.task_id AND n.system_id IS c.system_id AND n.analyte_id IS c.analyte_id
		AND (n.outcome = 0 OR c.outcome <> 0) AND (n.done_at, n.id) > (c.done_at, c.id)) ORDER BY done_at, id`).Scan(&rows).Error
	if err != nil {
		return nil, fmt.Errorf("reading the work done: %w", err)
	}
	out := make([]tasks.Completion, len(rows))
	for i, r := range rows {
		out[i] = tasks.Completion{
			ID: r.ID, Task: referred[tasks.ID](r.TaskID), System: referred[tanks.SystemID](r.SystemID), Analyte: int(referred[int64](r.AnalyteID)),
			At: instant(r.DoneAt), Outcome: tasks.Outcome(r.Outcome), MovedTo: instant(r.MovedTo), Reason: r.Reason, Person: r.Person,
		}
	}
	return out, nil
}
