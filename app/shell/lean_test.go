package shell

import (
	"runtime/debug"
	"testing"
)

// Less garbage is kept than Go would keep, unless the environment says how much.
func TestKeepLean(t *testing.T) {
	before := debug.SetGCPercent(100)
	t.Cleanup(func() { debug.SetGCPercent(before) })
	for gogc, want := range map[string]int{"": garbage, "200": 100, "off": 100} {
		debug.SetGCPercent(100)
		keepLean(func(name string) string {
			if name != "GOGC" {
				t.Errorf("asks for %s", name)
			}
			return gogc
		})
		if got := debug.SetGCPercent(100); got != want {
			t.Errorf("with GOGC=%q it is %d %%, want %d", gogc, got, want)
		}
	}
	rest() // whatever C library this machine has
}
