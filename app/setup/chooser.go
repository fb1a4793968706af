package setup

import "weirkeeper/app/widgets"

// chooser is a list whose cursor goes to what was just saved, as soon as the list
// shows it.
type chooser[K comparable, R any] struct {
	*widgets.List[K, R]
	key   func(R) K
	saved *K // not shown yet, nil: none
}

func newChooser[K comparable, R any](model widgets.ListModel[K, R], memory widgets.Memory) *chooser[K, R] {
	return &chooser[K, R]{List: widgets.NewList(model, memory), key: model.Key}
}

// choose moves the cursor to a record, now or when it is shown.
func (c *chooser[K, R]) choose(key K) {
	c.saved = &key
	c.seek()
}

// show changes the records.
func (c *chooser[K, R]) show(records []R) { c.showGroups([]widgets.Group[R]{{Records: records}}) }

// showGroups changes the records of a list in groups.
func (c *chooser[K, R]) showGroups(groups []widgets.Group[R]) {
	c.SetGroups(groups)
	c.seek()
}

func (c *chooser[K, R]) seek() {
	if c.saved == nil {
		return
	}
	c.SetCurrent(*c.saved)
	if r, ok := c.Current(); ok && c.key(r) == *c.saved {
		c.saved = nil
	}
}
