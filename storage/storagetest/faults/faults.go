// Package faults helps tests to do to a ledger what the program never would: plain
// SQL on its file, a child process that is killed or has no rights. It says how
// long such tests go on.
package faults

import (
	"os"
	"os/exec"
	"strconv"
	"testing"
)

const (
	jobName = "WEIRKEEPER_TEST_JOB"
	jobPath = "WEIRKEEPER_TEST_PATH"
	soak    = "WEIRKEEPER_SOAK"
)

// Main runs the tests, or one of the jobs when this test program was started as a
// child for it.
func Main(m *testing.M, jobs map[string]func(path string)) {
	if job, ok := jobs[os.Getenv(jobName)]; ok {
		job(os.Getenv(jobPath))
		return
	}
	os.Exit(m.Run())
}

// Child prepares a program, this test program when it is empty, as a child that
// does a job with a file.
func Child(program, job, path string) *exec.Cmd {
	if program == "" {
		program = os.Args[0]
	}
	child := exec.Command(program)
	child.Env = append(os.Environ(), jobName+"="+job, jobPath+"="+path)
	return child
}

// Rounds is how long the tests of faults go on, in rounds of a hundred kills and
// 250 power cuts; zero: they are short. `make soak` sets it.
func Rounds() int {
	n, err := strconv.Atoi(os.Getenv(soak))
	if err != nil {
		return 0
	}
	return n
}
