package setup

import (
	"testing"

	"weirkeeper/tasks"
)

func TestOften(t *testing.T) {
	for want, task := range map[string]tasks.Task{
		"once": {}, "every day": {Every: 1}, "every 7 days": {Every: 7}, "FREQ=WEEKLY;BYDAY=MO": {Rule: "FREQ=WEEKLY;BYDAY=MO"},
	} {
		if got := often(task); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
