package program

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

// On a home with nothing in it the program opens its window and prints nothing; it
// makes its folders itself.
func TestFreshHome(t *testing.T) {
	needWindow(t)
	if testing.Short() {
		t.Skip("builds the program and opens a window")
	}
	home := filepath.Join(t.TempDir(), "home")
	if err := os.Mkdir(home, 0o700); err != nil {
		t.Fatal(err)
	}
	running := t.TempDir() // what the desktop gives a person while they are logged in
	d := startIn(t, buildProgram(t), func(display string) []string {
		bare := slices.DeleteFunc(
			os.Environ(),
			func(e string) bool { return strings.HasPrefix(e, "XDG_") || strings.HasPrefix(e, "HOME=") },
		)
		return append(
			bare,
			"DISPLAY="+display,
			"WAYLAND_DISPLAY=",
			"HOME="+home,
			"XDG_RUNTIME_DIR="+running,
			"LANG=en_GB.UTF-8",
			"LIBGL_ALWAYS_SOFTWARE=1",
		)
	})
	d.focus("Weirkeeper")
	time.Sleep(time.Second) // for what is said after the window is there
	d.kill()
	for _, line := range strings.Split(withoutBus(d.printed()), "\n") {
		if strings.TrimSpace(line) != "" {
			t.Errorf("it printed %q", line)
		}
	}
	if _, err := os.Stat(filepath.Join(home, ".cache", "fyne")); err != nil {
		t.Errorf("the folder of caches: %v", err)
	}
}

// withoutBus leaves out what Fyne says of a machine without a session bus, as those
// are that tests run on: a heading, its cause and its place in the source.
func withoutBus(printed string) string {
	lines := strings.Split(printed, "\n")
	for i := range lines {
		if strings.Contains(lines[i], "failed to watch theme settings") {
			return strings.Join(slices.Delete(lines, i, min(i+3, len(lines))), "\n")
		}
	}
	return printed
}
