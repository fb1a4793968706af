package shell

import "runtime/debug"

// garbage is how much may be left behind, in percent of what is in use, before it is
// collected (our choice). Go's own hundred doubles the memory of a large room; half of
// that costs some per cent of the work of going from screen to screen.
const garbage = 50

// keepLean lets the program take less memory than Go would take by itself; an
// environment that says otherwise (GOGC) is heeded.
func keepLean(getenv func(string) string) {
	if getenv("GOGC") == "" {
		debug.SetGCPercent(garbage)
	}
}

// rest gives back what a program at rest does not need: what was collected, and what
// the C library keeps of what drawing has freed.
func rest() {
	debug.FreeOSMemory()
	trimC()
}
