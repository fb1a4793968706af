package power

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"strings"
)

// Seen are the calls that are written down: all that can change a file or a name.
// Those that are not understood end the trace with an error.
const seen = "openat,open,creat,close,lseek,write,writev,pwrite64,pwritev,pwritev2,truncate,ftruncate,fallocate,fsync,fdatasync,sync_file_range," +
	"rename,renameat,renameat2,unlink,unlinkat,mkdir,mkdirat,rmdir,link,linkat,symlink,symlinkat,copy_file_range,sendfile,dup,dup2,dup3"

// Record runs a program and returns what it did to the files of a folder. What it
// writes to the file said, outside of the folder, is what it said: one [Said] a
// write.
func Record(program *exec.Cmd, folder, said string) (*Trace, error) {
	log, err := os.CreateTemp("", "strace")
	if err != nil {
		return nil, err
	}
	defer os.Remove(log.Name())
	defer log.Close()
	strace, err := exec.LookPath("strace")
	if err != nil {
		return nil, fmt.Errorf("power cuts are tried on what strace writes down (make setup-test installs it): %w", err)
	}
	r, err := newReader(folder, said)
	if err != nil {
		return nil, err
	}
	watch := []string{strace, "-f", "-xx", "-s", "100000000", "-o", log.Name(), "-e", "signal=none", "-e", "trace=" + seen}
	watch = append(watch, program.Args...)
	watched := exec.Command(watch[0], watch[1:]...)
	watched.Env, watched.Dir = program.Env, program.Dir
	if out, err := watched.CombinedOutput(); err != nil {
		return nil, fmt.Errorf("the program that is traced: %w\n%s", err, out)
	}
	lines := bufio.NewReaderSize(log, 1<<20)
	waiting := map[string]call{}
	for {
		line, err := lines.ReadString('\n')
		if err != nil {
			break
		}
		c, whole := parse(strings.TrimSuffix(line, "\n"), waiting, len(r.trace.Ops))
		if !whole || c.failed {
			continue
		}
		if err := r.read(c); err != nil {
			return nil, fmt.Errorf("%s(%s): %w", c.name, short(c.args), err)
		}
	}
	return &r.trace, nil
}

func short(args []string) string {
	text := strings.Join(args, ", ")
	return text[:min(len(text), 300)]
}

// call is one call of the system.
type call struct {
	name   string
	args   []string
	result int64
	failed bool
	before int // how many operations were known when it began
}

// parse reads a line: process, call, arguments, result. Of a call that other
// threads' calls interrupt there are two lines; waiting holds the first.
func parse(line string, waiting map[string]call, known int) (c call, whole bool) {
	pid, text, _ := strings.Cut(line, " ")
	text = strings.TrimLeft(text, " ")
	if rest, ok := strings.CutPrefix(text, "<... "); ok {
		c, ok = waiting[pid]
		if !ok {
			return c, false
		}
		delete(waiting, pid)
		_, rest, _ = strings.Cut(rest, " resumed>")
		c.finish(rest)
		return c, true
	}
	name, rest, ok := strings.Cut(text, "(")
	if !ok || strings.ContainsAny(name, " +-") {
		return c, false
	}
	c = call{name: name, before: known}
	if args, unfinished := strings.CutSuffix(rest, " <unfinished ...>"); unfinished {
		c.addArgs(args)
		waiting[pid] = c
		return c, false
	}
	c.finish(rest)
	return c, true
}

func (c *call) addArgs(text string) {
	for _, arg := range strings.Split(text, ", ") {
		if arg = strings.Trim(arg, ", "); arg != "" {
			c.args = append(c.args, arg)
		}
	}
}

// finish reads what is left of the arguments, and the result.
func (c *call) finish(rest string) {
	end := strings.LastIndex(rest, ")")
	for end > 0 && !strings.HasPrefix(strings.TrimLeft(rest[end+1:], " "), "= ") { // an error is explained in brackets
		end = strings.LastIndex(rest[:end], ")")
	}
	if end < 0 {
		c.failed = true
		return
	}
	c.addArgs(rest[:end])
	result, _, _ := strings.Cut(strings.TrimPrefix(strings.TrimLeft(rest[end+1:], " "), "= "), " ")
	n, err := strconv.ParseInt(result, 0, 64)
	c.result, c.failed = n, err != nil || n < 0
}

// text decodes a string of strace, in which every byte is in hexadecimal.
func text(arg string) ([]byte, error) {
	inner, ok := strings.CutPrefix(arg, `"`)
	inner, closed := strings.CutSuffix(inner, `"`)
	if !ok || !closed {
		return nil, fmt.Errorf("no whole string: %s", arg[:min(len(arg), 60)])
	}
	out := make([]byte, 0, len(inner)/4)
	for len(inner) > 0 {
		if len(inner) < 4 || inner[0] != '\\' || inner[1] != 'x' {
			return nil, fmt.Errorf("no byte in hexadecimal: %s", inner[:min(len(inner), 8)])
		}
		b, err := strconv.ParseUint(inner[2:4], 16, 8)
		if err != nil {
			return nil, err
		}
		out, inner = append(out, byte(b)), inner[4:]
	}
	return out, nil
}
