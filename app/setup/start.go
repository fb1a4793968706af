package setup

import (
	"time"

	"weirkeeper/assets"
	"weirkeeper/storage"
)

// startingSet is what comes with the program, with chores due from now on.
func startingSet(now time.Time) storage.Start {
	var set storage.Start
	for _, p := range assets.Profiles() {
		for i := range p.Chores {
			p.Chores[i].Start = now
		}
		set.Profiles = append(set.Profiles, p.Profile)
		set.Chores = append(set.Chores, p.Chores)
	}
	set.Methods, set.Products = assets.Methods(), assets.Products()
	for i := range set.Products {
		set.Products[i].Stock = 0
	}
	return set
}
