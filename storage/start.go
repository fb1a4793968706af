package storage

import (
	"context"
	"time"

	"weirkeeper/tanks"
	"weirkeeper/tasks"
)

// Start is what a new room can begin with. Chores[i] belong to Profiles[i];
// profiles beyond them have none.
type Start struct {
	Profiles []tanks.Profile
	Chores   [][]tasks.Task
	Methods  []tanks.Method
	Products []tanks.Product
}

// SaveStart writes all of it in one transaction; everything in it is new.
func (s *Store) SaveStart(ctx context.Context, set Start) error {
	if err := set.validate(); err != nil {
		return err
	}
	notice := Touched{Kinds: []Kind{KindProfile, KindTask, KindMethod, KindProduct}}
	return s.act(ctx, "saving the starting set", notice, func(tx *act) error { return set.put(tx, s.clock()) })
}

// CopyProfile writes a new profile with chores of its own, which it gets its number
// for, in one transaction: the copy of another that can be changed freely.
func (s *Store) CopyProfile(ctx context.Context, p *tanks.Profile, chores []tasks.Task) error {
	set := Start{Profiles: []tanks.Profile{*p}, Chores: [][]tasks.Task{chores}}
	if err := set.validate(); err != nil {
		return err
	}
	saved := *p
	saved.ID = 0
	notice := Touched{Kinds: []Kind{KindProfile, KindTask}}
	err := s.act(ctx, "copying the profile", notice, func(tx *act) error { return putWithChores(tx, &saved, chores) })
	if err == nil {
		*p = saved
	}
	return err
}

// putWithChores writes a profile and gives it chores, which are new.
func putWithChores(tx *act, p *tanks.Profile, chores []tasks.Task) error {
	if err := putProfile(tx, p); err != nil {
		return err
	}
	for _, t := range chores {
		t.ID, t.Profile = 0, p.ID
		if err := putTask(tx, &t); err != nil {
			return err
		}
	}
	return nil
}

// put works on copies, so that a set that could not be saved can be tried
// again.
func (set Start) put(tx *act, now time.Time) error {
	for i, p := range set.Profiles {
		if err := putWithChores(tx, &p, set.chores(i)); err != nil {
			return err
		}
	}
	for _, m := range set.Methods {
		if err := putMethod(tx, &m); err != nil {
			return err
		}
	}
	for _, p := range set.Products {
		if err := putProduct(tx, &p, now); err != nil {
			return err
		}
	}
	return nil
}

func (set Start) chores(profile int) []tasks.Task {
	if profile >= len(set.Chores) {
		return nil
	}
	return set.Chores[profile]
}

func (set Start) validate() error {
	for i, p := range set.Profiles {
		if err := p.Validate(); err != nil {
			return err
		}
		for _, t := range set.chores(i) {
			if err := t.Validate(); err != nil {
				return err
			}
		}
	}
	for _, m := range set.Methods {
		if err := m.Validate(); err != nil {
			return err
		}
	}
	for _, p := range set.Products {
		if err := p.Validate(); err != nil {
			return err
		}
	}
	return nil
}
