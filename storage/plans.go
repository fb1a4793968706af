package storage

import (
	"context"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

type planRow struct {
	ID      int64 `gorm:"primaryKey"`
	MadeAt  int64
	Caution float64
	Person  string
	Note    string
}

func (planRow) TableName() string { return "plans" }

type lineRow struct {
	ID         int64 `gorm:"primaryKey"`
	PlanID     int64
	SystemID   int64
	AnalyteID  int
	ProductID  int64
	NowValue   float64
	Aim        float64
	AfterValue float64
	Computed   float64
	How        string
	RetestAt   int64
}

func (lineRow) TableName() string { return "plan_lines" }

type doseRow struct {
	ID      int64 `gorm:"primaryKey"`
	LineID  int64
	DueAt   int64
	Amount  float64
	DoneAt  int64
	Given   float64
	Dropped bool
	Reason  string
}

func (doseRow) TableName() string { return "doses" }

func (r doseRow) dose() tanks.Dose {
	return tanks.Dose{
		ID:      tanks.DoseID(r.ID),
		Due:     instant(r.DueAt),
		Amount:  r.Amount,
		Done:    instant(r.DoneAt),
		Given:   r.Given,
		Dropped: r.Dropped,
		Reason:  r.Reason,
	}
}

// CommitPlan writes a plan with its lines and doses; all get their IDs.
func (s *Store) CommitPlan(ctx context.Context, p *tanks.DosingPlan) error {
	if err := p.Validate(); err != nil {
		return err
	}
	saved := *p
	saved.Lines = make([]tanks.PlanLine, len(p.Lines))
	notice := of(KindPlan)
	for i, l := range p.Lines {
		saved.Lines[i] = l
		saved.Lines[i].Doses = append([]tanks.Dose(nil), l.Doses...)
		notice.Systems = append(notice.Systems, l.System)
	}
	err := s.act(ctx, "committing the plan", notice, func(tx *act) error {
		row := planRow{MadeAt: stamp(saved.Made), Caution: saved.Caution, Person: saved.Person, Note: saved.Note}
		if err := tx.insert(&row); err != nil {
			return err
		}
		saved.ID = tanks.PlanID(row.ID)
		for i := range saved.Lines {
			if err := insertLine(tx, row.ID, &saved.Lines[i]); err != nil {
				return err
			}
		}
		return nil
	})
	if err == nil {
		*p = saved
	}
	return err
}

func insertLine(tx *act, plan int64, l *tanks.PlanLine) error {
	row := lineRow{
		PlanID: plan, SystemID: int64(l.System), AnalyteID: int(l.Analyte), ProductID: int64(l.Product), NowValue: l.Now, Aim: l.Aim,
		AfterValue: l.After, Computed: l.Computed, How: l.How.Keep(), RetestAt: stamp(l.Retest),
	}
	if err := tx.insert(&row); err != nil {
		return err
	}
	l.ID = tanks.LineID(row.ID)
	for i := range l.Doses {
		d := &l.Doses[i]
		dose := doseRow{LineID: row.ID, DueAt: stamp(d.Due), Amount: d.Amount}
		if err := tx.insert(&dose); err != nil {
			return err
		}
		d.ID = tanks.DoseID(dose.ID)
	}
	return nil
}

// Plans returns every committed plan with its lines and doses, newest first.
func (s *Store) Plans(ctx context.Context) ([]tanks.DosingPlan, error) {
	db := s.read.WithContext(ctx)
	var plans []planRow
	if err := db.Order("made_at DESC, id DESC").Find(&plans).Error; err != nil {
		return nil, words.Errorf("reading the plans: %w", err)
	}
	var lines []lineRow
	if err := db.Order("id").Find(&lines).Error; err != nil {
		return nil, words.Errorf("reading the plans' lines: %w", err)
	}
	var doses []doseRow
	if err := db.Order("due_at, id").Find(&doses).Error; err != nil {
		return nil, words.Errorf("reading the doses: %w", err)
	}
	byLine := map[int64][]tanks.Dose{}
	for _, d := range doses {
		byLine[d.LineID] = append(byLine[d.LineID], d.dose())
	}
	byPlan := map[int64][]tanks.PlanLine{}
	for _, l := range lines {
		byPlan[l.PlanID] = append(byPlan[l.PlanID], tanks.PlanLine{
			ID: tanks.LineID(
				l.ID,
			), System: tanks.SystemID(l.SystemID), Analyte: chem.Analyte(l.AnalyteID), Product: tanks.ProductID(l.ProductID),
			Now: l.NowValue, Aim: l.Aim, After: l.AfterValue, Computed: l.Computed, How: words.Kept(l.How), Retest: instant(l.RetestAt), Doses: byLine[l.ID],
		})
	}
	out := make([]tanks.DosingPlan, len(plans))
	for i, p := range plans {
		out[i] = tanks.DosingPlan{
			ID:      tanks.PlanID(p.ID),
			Made:    instant(p.MadeAt),
			Caution: p.Caution,
			Person:  p.Person,
			Note:    p.Note,
			Lines:   byPlan[p.ID],
		}
	}
	return out, nil
}

type runRow struct {
	Dose      doseRow `gorm:"embedded"`
	PlanID    int64
	SystemID  int64
	AnalyteID int
	ProductID int64
}

// RunItems returns the doses still waiting that are due by until, and those
// given since since, in walking order and order of time.
func (s *Store) RunItems(ctx context.Context, since, until time.Time) ([]tanks.RunItem, error) {
	_, high := bounds(time.Time{}, until)
	low, _ := bounds(since, time.Time{})
	var rows []runRow
	err := s.read.WithContext(ctx).Raw(`SELECT d.*, l.plan_id, l.system_id, l.analyte_id, l.product_id FROM doses d
		JOIN plan_lines l ON l.id = d.line_id JOIN systems s ON s.id = l.system_id
		WHERE (d.done_at = 0 AND d.dropped = 0 AND d.due_at <= ?) OR d.done_at >= ?
		ORDER BY s.walk, s.code, d.due_at, d.id`, high, max(low, 1)).Scan(&rows).Error
	if err != nil {
		return nil, words.Errorf("reading the run sheet: %w", err)
	}
	out := make([]tanks.RunItem, len(rows))
	for i, r := range rows {
		out[i] = tanks.RunItem{
			Dose: r.Dose.dose(), Plan: tanks.PlanID(r.PlanID), Line: tanks.LineID(r.Dose.LineID), System: tanks.SystemID(r.SystemID),
			Analyte: chem.Analyte(r.AnalyteID), Product: tanks.ProductID(r.ProductID),
		}
	}
	return out, nil
}
