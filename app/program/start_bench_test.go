//go:build linux

package program

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
)

const (
	starts   = 5               // of each program
	settled  = 2 * time.Second // without a change on the screen
	lookEach = 4 * time.Millisecond
)

// BenchmarkStart starts an empty Fyne window and the program with the demo room's
// ledger in turn, and reports from start to the last change on the screen, which
// for the program is Rounds in full, and the resident memory then.
func BenchmarkStart(b *testing.B) {
	needWindow(b)
	folder := b.TempDir()
	home := filepath.Join(folder, "home") // of the starts before, with what libraries keep there
	if err := os.Mkdir(home, 0o700); err != nil {
		b.Fatal(err)
	}
	ledger := filepath.Join(folder, "demo.ledger")
	empty, program := filepath.Join(folder, "empty"), buildProgram(b)
	buildInto(b, empty, "./testdata/emptywindow")
	at := "2026-03-10T08:02:00Z"
	measureStart(b, home, program, "-demo", "-ledger", ledger, "-at", at) // fills the demo room
	for b.Loop() {
		var times, memories [2][]float64
		for range starts {
			for n, command := range [][]string{{empty}, {program, "-ledger", ledger, "-at", at}} {
				took, memory := measureStart(b, home, command[0], command[1:]...)
				times[n], memories[n] = append(times[n], took.Seconds()*1000), append(memories[n], memory)
			}
		}
		b.ReportMetric(median(times[0]), "empty-ms")
		b.ReportMetric(median(times[1]), "rounds-ms")
		b.ReportMetric(median(times[1])/median(times[0]), "x-empty")
		b.ReportMetric(median(memories[0]), "empty-MiB")
		b.ReportMetric(median(memories[1])-median(memories[0]), "MiB-over-empty")
	}
}

func median(of []float64) float64 {
	slices.Sort(of)
	return of[len(of)/2]
}

// measureStart runs a program on a display of its own until its window stays as
// it is.
func measureStart(b *testing.B, home, program string, args ...string) (took time.Duration, residentMiB float64) {
	b.Helper()
	const attempts = 3
	for range attempts {
		if took, residentMiB, ok := startOnScreen(b, home, program, args...); ok {
			return took, residentMiB
		}
	}
	b.Fatalf("%s shows no window", program)
	return 0, 0
}

func startOnScreen(b *testing.B, home, program string, args ...string) (took time.Duration, residentMiB float64, ok bool) {
	b.Helper()
	folder := b.TempDir()
	display := startDisplay(b, "-fbdir", folder)
	screen := mapped(b, filepath.Join(folder, "Xvfb_screen0"))
	last := digest(screen)
	var output bytes.Buffer
	cmd := exec.Command(program, args...)
	cmd.Env = desktopEnv(display, home)
	cmd.Stdout, cmd.Stderr = &output, &output
	begun := time.Now()
	if err := cmd.Start(); err != nil {
		b.Fatal(err)
	}
	defer func() { cmd.Process.Kill(); cmd.Wait() }()
	for changed := begun; ; time.Sleep(lookEach) {
		now := time.Now()
		switch {
		case digest(screen) != last:
			changed, ok, last = now, true, digest(screen)
		case ok && now.Sub(changed) > settled:
			return changed.Sub(begun), resident(b, cmd.Process.Pid), true
		case now.Sub(begun) > patience:
			b.Logf("no window after %v\n%s", patience, output.String())
			return 0, 0, false
		}
	}
}

// resident is the memory of a process that lies in RAM.
func resident(b *testing.B, pid int) float64 {
	b.Helper()
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		b.Fatal(err)
	}
	for line := range strings.Lines(string(status)) {
		if f := strings.Fields(line); len(f) == 3 && f[0] == "VmRSS:" {
			kib, err := strconv.ParseFloat(f[1], 64)
			if err != nil {
				b.Fatal(err)
			}
			return kib / 1024
		}
	}
	b.Fatal("the process has no memory")
	return 0
}
