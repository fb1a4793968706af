package storage

import (
	"context"

	"weirkeeper/assets/words"
	"weirkeeper/tanks"
)

type containerRow struct {
	ID                 int64 `gorm:"primaryKey"`
	Name               string
	ProductID          int64
	Capacity, Contents float64
	AsOf               int64
	Note               string
	Retired            bool
}

func (containerRow) TableName() string { return "containers" }

// Containers returns every container, retired ones too, oldest first.
func (s *Store) Containers(ctx context.Context) ([]tanks.Container, error) {
	var rows []containerRow
	if err := s.read.WithContext(ctx).Order("id").Find(&rows).Error; err != nil {
		return nil, words.Errorf("reading the containers: %w", err)
	}
	out := make([]tanks.Container, len(rows))
	for i, r := range rows {
		out[i] = tanks.Container{
			ID: tanks.ContainerID(r.ID), Name: r.Name, Product: tanks.ProductID(r.ProductID), Capacity: r.Capacity, Contents: r.Contents,
			AsOf: instant(r.AsOf), Note: r.Note, Retired: r.Retired,
		}
	}
	return out, nil
}

// SaveContainer writes a container; a new one (ID 0) gets its ID.
func (s *Store) SaveContainer(ctx context.Context, c *tanks.Container) error {
	if err := c.Validate(s.clock()); err != nil {
		return err
	}
	row := containerRow{
		ID: int64(
			c.ID,
		), Name: c.Name, ProductID: int64(c.Product), Capacity: c.Capacity, Contents: c.Contents, AsOf: stamp(c.AsOf), Note: c.Note, Retired: c.Retired,
	}
	err := s.act(ctx, "saving the container", of(KindPump), func(tx *act) error { return tx.put(&row, row.ID) })
	if err == nil {
		c.ID = tanks.ContainerID(row.ID)
	}
	return err
}

type programRow struct {
	ID                            int64 `gorm:"primaryKey"`
	HeadID, SystemID, ContainerID int64
	FromAt, UntilAt               int64
	Daily                         float64
	Doses, WindowStart, WindowEnd int
	Person, Note                  string
}

func (programRow) TableName() string { return "programs" }

// Programs returns what every head is and was set to, in order of time.
func (s *Store) Programs(ctx context.Context) ([]tanks.Program, error) {
	var rows []programRow
	if err := s.read.WithContext(ctx).Order("from_at, id").Find(&rows).Error; err != nil {
		return nil, words.Errorf("reading the programs: %w", err)
	}
	out := make([]tanks.Program, len(rows))
	for i, r := range rows {
		out[i] = tanks.Program{
			ID: tanks.ProgramID(
				r.ID,
			), Head: tanks.HeadID(r.HeadID), System: tanks.SystemID(r.SystemID), Container: tanks.ContainerID(r.ContainerID),
			From: instant(
				r.FromAt,
			), Until: instant(r.UntilAt), Daily: r.Daily, Doses: r.Doses, Start: r.WindowStart, End: r.WindowEnd, Person: r.Person, Note: r.Note,
		}
	}
	return out, nil
}

// SaveProgram writes a program; a new one (ID 0) gets its ID and ends the one
// that its head runs till then. A head cannot run two at once: what would make
// it do so is a tanks.Fault of "from".
func (s *Store) SaveProgram(ctx context.Context, p *tanks.Program) error {
	if err := p.Validate(); err != nil {
		return err
	}
	row := programRow{
		ID: int64(
			p.ID,
		), HeadID: int64(p.Head), SystemID: int64(p.System), ContainerID: int64(p.Container), FromAt: stamp(p.From), UntilAt: stamp(p.Until),
		Daily: p.Daily, Doses: p.Doses, WindowStart: p.Start, WindowEnd: p.End, Person: p.Person, Note: p.Note,
	}
	err := s.act(ctx, "saving the program", of(KindPump, p.System), func(tx *act) error {
		if row.ID == 0 {
			if err := endProgram(tx, row.HeadID, row.FromAt); err != nil {
				return err
			}
		}
		var clash int64
		err := tx.Model(&programRow{}).Where("head_id = ? AND id <> ? AND (until_at = 0 OR until_at > ?) AND (? = 0 OR from_at < ?)",
			row.HeadID, row.ID, row.FromAt, row.UntilAt, row.UntilAt).Count(&clash).Error
		if err != nil {
			return err
		}
		if clash > 0 {
			return tanks.Fault{
				Field:   "from",
				Problem: "The head runs another program in this time",
				Remedy:  "begin after it, or end that one first",
			}
		}
		return tx.put(&row, row.ID)
	})
	if err == nil {
		p.ID = tanks.ProgramID(row.ID)
	}
	return err
}

// endProgram ends what a head runs until another program begins.
func endProgram(tx *act, head, at int64) error {
	var running []int64
	if err := tx.Model(&programRow{}).Where("head_id = ? AND until_at = 0 AND from_at < ?", head, at).Pluck("id",
		&running).Error; err != nil {
		return err
	}
	for _, id := range running {
		if err := tx.set("programs", id, "until_at", at); err != nil {
			return err
		}
	}
	return nil
}
