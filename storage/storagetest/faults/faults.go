// Package faults helps tests to do to a ledger what the program never would: plain
// SQL on its file, a child process that is killed or has no rights. It says how
// long such tests go on.
package faults

import (
	"flag"
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
// child for it. Laws are tried few times, from a seed that stays the same; in a
// soak often, and from another seed each time.
func Main(m *testing.M, jobs map[string]func(path string)) {
	if job, ok := jobs[os.Getenv(jobName)]; ok {
		job(os.Getenv(jobPath))
		return
	}
	laws := map[string]string{"rapid.checks": "30", "rapid.seed": "20260310"}
	if n := Rounds(); n > 0 {
		laws = map[string]string{"rapid.checks": strconv.Itoa(200 * n)}
	}
	for name, value := range laws {
		if flag.Lookup(name) != nil { // not every test program has laws
			if err := flag.Set(name, value); err != nil {
				panic(err)
			}
		}
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

// Rounds is how long the tests of faults go on, in rounds of 200 kills and
// 500 power cuts; zero: they are short. `make soak` sets it.
func Rounds() int {
	n, err := strconv.Atoi(os.Getenv(soak))
	if err != nil {
		return 0
	}
	return n
}
