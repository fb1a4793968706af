package program

import (
	"context"
	"database/sql"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	_ "github.com/mattn/go-sqlite3"
)

// The program's exit codes: closed by the person, no display or wrong use.
const (
	exitOK    = 0
	exitUsage = 2
)

// needWindow skips a test of the real window where there is no virtual
// display, unless the set-up promised one.
func needWindow(t testing.TB) {
	t.Helper()
	for _, tool := range []string{"Xvfb", "xdotool"} {
		if _, err := exec.LookPath(tool); err != nil {
			if os.Getenv("WEIRKEEPER_WINDOW_TEST") == "required" {
				t.Fatalf("%s is missing; run .ci/setup test", tool)
			}
			t.Skipf("%s is not installed; make test installs it", tool)
		}
	}
}

// buildProgram compiles the program into a temporary folder.
func buildProgram(t testing.TB) string {
	t.Helper()
	binary := filepath.Join(t.TempDir(), "weirkeeper")
	buildInto(t, binary, "weirkeeper")
	return binary
}

// buildInto compiles a program, with flags of go build before its name.
func buildInto(t testing.TB, binary string, program ...string) {
	t.Helper()
	if out, err := exec.Command("go", append([]string{"build", "-buildvcs=false", "-o", binary},
		program...)...).CombinedOutput(); err != nil {
		t.Fatalf("building: %v\n%s", err, out)
	}
}

// desktop is a virtual display with the program running on it.
type desktop struct {
	t       testing.TB
	display string
	folder  string // where the display keeps its picture
	program *exec.Cmd
	ended   chan struct{} // closed when the program has ended
	output  string        // the file that it prints into
}

// startDisplay starts Xvfb on a display number that it chooses itself.
func startDisplay(t testing.TB, options ...string) string {
	t.Helper()
	read, write, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	server := exec.Command("Xvfb", append([]string{"-displayfd", "3", "-screen", "0", "1440x900x24", "-nolisten", "tcp"}, options...)...)
	server.ExtraFiles = []*os.File{write}
	if err := server.Start(); err != nil {
		t.Fatalf("starting Xvfb: %v", err)
	}
	write.Close()
	t.Cleanup(func() { server.Process.Kill(); server.Wait() })
	line := make([]byte, 16)
	n, err := read.Read(line)
	if err != nil {
		t.Fatalf("Xvfb named no display: %v", err)
	}
	return ":" + strings.TrimSpace(string(line[:n]))
}

// start runs the program on a new display, with a home folder of its own.
func start(t testing.TB, binary string, args ...string) *desktop {
	t.Helper()
	return startIn(t, binary, ownHome(t), args...)
}

// ownHome makes the environment of a program with a home folder of its own.
func ownHome(t testing.TB) func(display string) []string {
	return func(display string) []string { return desktopEnv(display, t.TempDir()) }
}

// startIn is start in an environment made for the display. A virtual display now and
// then refuses a first OpenGL context; then the program is begun anew on another one.
func startIn(t testing.TB, binary string, environment func(display string) []string, args ...string) *desktop {
	t.Helper()
	const attempts = 3
	for attempt := 1; ; attempt++ {
		d := startOnce(t, binary, environment, args...)
		if attempt == attempts || !d.refused() {
			return d
		}
		t.Logf("the display gave no window:\n%s", d.printed())
	}
}

// refused tells that the program ended within seconds since it got no window.
func (d *desktop) refused() bool {
	select {
	case <-d.ended:
		return strings.Contains(d.printed(), "window creation") || strings.Contains(d.printed(), "gives no window")
	case <-time.After(4 * time.Second):
		return false
	}
}

func startOnce(t testing.TB, binary string, environment func(display string) []string, args ...string) *desktop {
	t.Helper()
	d := &desktop{t: t, folder: t.TempDir(), ended: make(chan struct{})}
	d.display = startDisplay(t, "-fbdir", d.folder)
	d.program = exec.Command(binary, args...)
	d.program.Env = environment(d.display)
	d.output = filepath.Join(t.TempDir(), "printed.txt")
	out, err := os.Create(d.output) // a pipe would be waited for as long as a process it started has it
	if err != nil {
		t.Fatal(err)
	}
	defer out.Close()
	d.program.Stdout, d.program.Stderr = out, out
	if err := d.program.Start(); err != nil {
		t.Fatalf("starting the program: %v", err)
	}
	go func() {
		d.program.Wait()
		close(d.ended)
	}()
	t.Cleanup(func() {
		d.kill()
		if t.Failed() {
			t.Logf("the program printed:\n%s", d.printed())
		}
	})
	return d
}

// printed is what the program printed until now.
func (d *desktop) printed() string {
	data, err := os.ReadFile(d.output)
	if err != nil {
		return err.Error()
	}
	return string(data)
}

// desktopEnv is the environment of a program on a display, with a home folder of
// its own.
func desktopEnv(display, home string) []string {
	return append(os.Environ(), "DISPLAY="+display, "WAYLAND_DISPLAY=", "HOME="+home,
		"XDG_CONFIG_HOME="+home, "XDG_DATA_HOME="+home, "XDG_CACHE_HOME="+home, "LANG=en_GB.UTF-8", "LIBGL_ALWAYS_SOFTWARE=1")
}

// kill ends the program at once and waits until it has gone.
func (d *desktop) kill() {
	d.program.Process.Kill()
	<-d.ended
}

func (d *desktop) xdotool(args ...string) (string, error) {
	cmd := exec.Command("xdotool", args...)
	cmd.Env = append(os.Environ(), "DISPLAY="+d.display)
	out, err := cmd.CombinedOutput()
	return strings.TrimSpace(string(out)), err
}

// focus waits for a window whose title contains the text and gives it the
// keyboard; there is no window manager to do so.
func (d *desktop) focus(title string) {
	d.t.Helper()
	d.wait("a window titled "+title, func() bool {
		id, err := d.xdotool("search", "--onlyvisible", "--name", title)
		if err != nil || id == "" {
			return false
		}
		_, err = d.xdotool("windowfocus", "--sync", strings.Fields(id)[0])
		return err == nil
	})
}

func (d *desktop) keys(names ...string) {
	d.t.Helper()
	for _, name := range names {
		if out, err := d.xdotool("key", name); err != nil {
			d.t.Fatalf("pressing %s: %v %s", name, err, out)
		}
		time.Sleep(60 * time.Millisecond)
	}
}

// keepPicture saves the screen beside the test's failure.
func (d *desktop) keepPicture() {
	path := filepath.Join(os.TempDir(), strings.ReplaceAll(d.t.Name(), "/", "-")+".png")
	cmd := exec.Command("import", "-window", "root", path)
	cmd.Env = append(os.Environ(), "DISPLAY="+d.display)
	if cmd.Run() == nil {
		d.t.Logf("the screen is in %s", path)
	}
}

const patience = 60 * time.Second

func (d *desktop) wait(what string, ok func() bool) {
	d.t.Helper()
	deadline := time.Now().Add(patience)
	for !ok() {
		if time.Now().After(deadline) {
			d.keepPicture()
			d.t.Fatalf("waited %v for %s\n%s", patience, what, d.printed())
		}
		time.Sleep(200 * time.Millisecond)
	}
}

// query reads one number from the ledger with plain SQL, by a connection of
// its own; -1 when the file is not readable yet.
func query(path, question string, args ...any) int {
	db, err := sql.Open("sqlite3", "file:"+path+"?mode=ro&_busy_timeout=2000")
	if err != nil {
		return -1
	}
	defer db.Close()
	ctx, cancel := context.WithTimeout(context.Background(), 3*time.Second)
	defer cancel()
	var n int
	if err := db.QueryRowContext(ctx, question, args...).Scan(&n); err != nil {
		return -1
	}
	return n
}

// typeAlkalinity goes to the Test sheet and types a value for the first
// system's alkalinity, again if the machine was too slow to have the sheet
// ready; the sheet keeps in the ledger what is typed, so that shows it.
func (d *desktop) typeAlkalinity(ledger string, digits ...string) {
	d.t.Helper()
	for attempt := 1; attempt <= 5; attempt++ {
		d.keys("ctrl+3")
		time.Sleep(time.Duration(attempt) * 1500 * time.Millisecond)
		d.keys("ctrl+Home", "Right", "Right", "Right", "Right") // past temperature, salinity, conductivity, pH
		d.keys(digits...)
		d.keys("Return")
		for range 20 {
			if query(ledger, "SELECT count(*) FROM drafts WHERE CAST(data AS TEXT) LIKE '%8.3%'") == 1 {
				return
			}
			time.Sleep(200 * time.Millisecond)
		}
	}
	d.keepPicture()
	d.t.Fatal("the sheet does not keep what is typed")
}

// The built program opens the demo room in a real window; keys alone lead to
// the Test sheet, a value is typed, saved, undone and redone, and plain SQL finds
// it, also after a kill that comes right behind.
func TestRealWindowKeepsAValue(t *testing.T) {
	needWindow(t)
	if testing.Short() {
		t.Skip("builds the program and opens a window")
	}
	ledger := filepath.Join(t.TempDir(), "demo.ledger")
	d := start(t, buildProgram(t), "-demo", "-ledger", ledger)
	d.wait("the demo room to be filled", func() bool {
		return query(ledger, "SELECT count(*) FROM readings") > 1000
	})
	d.focus("Frag Room")
	before := query(ledger, "SELECT count(*) FROM readings")
	d.typeAlkalinity(ledger, "8", "period", "3")
	d.keys("ctrl+s")
	d.wait("one reading more in the ledger", func() bool {
		return query(ledger, "SELECT count(*) FROM readings") == before+1
	})
	d.keys("ctrl+z")
	d.wait("the save to be undone", func() bool { return query(ledger, "SELECT count(*) FROM readings") == before })
	d.keys("ctrl+y")
	d.wait("the save to be redone", func() bool { return query(ledger, "SELECT count(*) FROM readings") == before+1 })
	d.kill()
	typed := query(ledger, "SELECT count(*) FROM readings WHERE typed = '8.3' AND id = (SELECT max(id) FROM readings)")
	if typed != 1 {
		d.keepPicture()
		t.Fatalf("the newest reading is not the one typed: %d found", typed)
	}
	if n := query(ledger, "SELECT count(*) FROM pragma_integrity_check WHERE integrity_check = 'ok'"); n != 1 {
		t.Fatal("the ledger does not pass its integrity check after the kill")
	}
}

// Without a display the program says so in one line and ends with code 2.
func TestWithoutDisplay(t *testing.T) {
	cmd := exec.Command(buildProgram(t), "-demo")
	for _, e := range os.Environ() {
		if !strings.HasPrefix(e, "DISPLAY=") && !strings.HasPrefix(e, "WAYLAND_DISPLAY=") {
			cmd.Env = append(cmd.Env, e)
		}
	}
	out, err := cmd.CombinedOutput()
	exit, ok := err.(*exec.ExitError)
	if !ok || exit.ExitCode() != exitUsage {
		t.Fatalf("ended with %v, want exit code %d\n%s", err, exitUsage, out)
	}
	text := strings.TrimSpace(string(out))
	if strings.Count(text, "\n") != 0 || !strings.Contains(text, "no display") || !strings.Contains(text, "xvfb-run") {
		t.Fatalf("printed %q, want one line that says what to do", text)
	}
}

func TestFlags(t *testing.T) {
	cases := map[string]struct {
		args []string
		code int
		text string
	}{
		"unknown flag":           {[]string{"-colour"}, exitUsage, "-colour"},
		"stray word":             {[]string{"room.ledger"}, exitUsage, "-ledger FILE"},
		"a time that is no time": {[]string{"-at", "yesterday"}, exitUsage, "2026-03-10"},
		"version":                {[]string{"-version"}, exitOK, "weirkeeper 0."},
		"help":                   {[]string{"-help"}, exitOK, "usage"},
	}
	binary := buildProgram(t)
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			cmd := exec.Command(binary, c.args...)
			cmd.Env = append(os.Environ(), "HOME="+t.TempDir(), "DISPLAY=", "WAYLAND_DISPLAY=")
			out, _ := cmd.CombinedOutput() // its code says how it went
			if code := cmd.ProcessState.ExitCode(); code != c.code || !strings.Contains(string(out), c.text) {
				t.Errorf("code %d, printed %q; want %d and %q", code, out, c.code, c.text)
			}
		})
	}
}
