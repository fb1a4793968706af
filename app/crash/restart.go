package crash

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"weirkeeper/storage/durable"
)

// Typed is what stood in a field of an open form.
type Typed struct{ Field, Text string }

// Resume is what a new process goes on with.
type Resume struct {
	Ledger string // empty: none was open
	// Screen is the open screen, in the program's own way of remembering it.
	Screen json.RawMessage `json:",omitempty"`
	Report string          // file of the report; empty: it could not be written
	Form   string          `json:",omitempty"` // title of the open form
	Typed  []Typed         `json:",omitempty"`
	Faults []time.Time     // of this process and those before it
}

const (
	// resumeVariable names the file of a Resume to a new process.
	resumeVariable = "WEIRKEEPER_RESUME"
	// shortly is the time within which faults count as coming from the same cause.
	shortly = time.Minute
	// mostFaults is how many within that time end the program.
	mostFaults = 3
)

// Again tells whether a fault at now shall start the program anew.
func (r Resume) Again(now time.Time) bool { return r.recent(now) < mostFaults }

// Quiet tells that the new process had better open no ledger by itself: a second
// fault came soon after the first.
func (r Resume) Quiet() bool {
	return len(r.Faults) > 1 && r.recent(r.Faults[len(r.Faults)-1]) > 1
}

func (r Resume) recent(now time.Time) int {
	n := 0
	for _, at := range r.Faults {
		if now.Sub(at) < shortly {
			n++
		}
	}
	return n
}

// Given returns what this process was started to go on with, nil for nothing. It
// is given once.
func Given() *Resume {
	path := os.Getenv(resumeVariable)
	if path == "" {
		return nil
	}
	os.Unsetenv(resumeVariable)
	data, err := os.ReadFile(path)
	durable.Drop(path)
	var r Resume
	if err != nil || json.Unmarshal(data, &r) != nil {
		return nil
	}
	return &r
}

// Start starts a new process of this program that goes on with r, with the flags
// args.
func (r Resume) Start(args []string) error {
	data, err := json.Marshal(r)
	if err != nil {
		return fmt.Errorf("writing what to go on with: %w", err)
	}
	path := filepath.Join(os.TempDir(), fmt.Sprintf("weirkeeper-resume-%d-%d.json", os.Getpid(), time.Now().UnixNano()))
	if err := durable.WriteData(path, data, durable.Private); err != nil {
		return fmt.Errorf("writing what to go on with: %w", err)
	}
	program, err := os.Executable()
	if err != nil {
		return fmt.Errorf("finding the program: %w", err)
	}
	cmd := exec.Command(program, args...)
	cmd.Env = append(
		slices.DeleteFunc(os.Environ(), func(v string) bool { return strings.HasPrefix(v, resumeVariable+"=") }),
		resumeVariable+"="+path,
	)
	cmd.Stdout, cmd.Stderr = os.Stdout, os.Stderr
	if err := cmd.Start(); err != nil {
		return fmt.Errorf("starting the program anew: %w", err)
	}
	return nil
}

// Write writes the report beside a ledger, else into a folder, and returns its
// file.
func (r Report) Write(ledger, folder string) (string, error) {
	name := "weirkeeper"
	if ledger != "" {
		folder, name = filepath.Dir(ledger), strings.TrimSuffix(filepath.Base(ledger), filepath.Ext(ledger))
	}
	if err := durable.MakeFolders(folder, 0o755); err != nil {
		return "", fmt.Errorf("making the folder of the report: %w", err)
	}
	path := filepath.Join(folder, name+"-fault-"+r.At.Format("20060102-150405")+".txt")
	if err := durable.WriteData(path, []byte(r.String()), durable.Private); err != nil {
		return "", fmt.Errorf("writing the report: %w", err)
	}
	return path, nil
}
