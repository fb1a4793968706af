package durable

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"
)

// watched runs work and tells what was done to files below a folder, in order: the
// kind and the name, a temporary's as "part".
func watched(t *testing.T, folder string, work func()) (did []string) {
	t.Helper()
	name := func(path string) string {
		rel, err := filepath.Rel(folder, path)
		must(t, err)
		if Unfinished(filepath.Base(path)) {
			return filepath.Join(filepath.Dir(rel), "part")
		}
		return rel
	}
	Watch = func(op Op) {
		text := string(op.Kind) + " " + name(op.Path)
		if op.To != "" {
			text += " " + name(op.To)
		}
		did = append(did, text)
	}
	defer func() { Watch = nil }()
	work()
	return did
}

// Each way of changing files does so in an order in which a cut at any instant leaves
// the old or the new, and ends with what makes it certain.
func TestOrderOfOperations(t *testing.T) {
	folder := t.TempDir()
	at := func(name string) string { return filepath.Join(folder, name) }
	must(t, os.Mkdir(at("sub"), 0o755))
	must(t, os.WriteFile(at("there"), nil, 0o600))
	must(t, os.WriteFile(at("gone"), nil, 0o600))
	must(t, os.WriteFile(at("finished"), nil, 0o600))
	must(t, os.MkdirAll(at("tree/below"), 0o755))
	must(t, os.WriteFile(at("tree/below/file"), nil, 0o600))
	for _, c := range []struct {
		name string
		do   func() error
		want []string
	}{
		{"a new file", func() error { return WriteData(at("a"), []byte("x"), Private) },
			[]string{"C part", "W part", "S part", "R part a", "F ."}},
		{"a copy", func() error { return Copy(t.Context(), at("b"), at("a"), 0o640) },
			[]string{"C part", "W part", "P part", "S part", "R part b", "F ."}},
		{"never over another", func() error { return PlaceNew(at("finished"), at("c"), Private) },
			[]string{"S finished", "L finished c", "F .", "U finished", "F ."}},
		{"a name elsewhere", func() error { return Rename(at("there"), at("sub/there")) },
			[]string{"R there sub/there", "F .", "F sub"}},
		{"a second name", func() error { return Link(at("a"), at("sub/a")) }, []string{"L a sub/a", "F sub"}},
		{"a removal", func() error { return Remove(at("gone")) }, []string{"U gone", "F ."}},
		{"folders", func() error { return MakeFolders(at("x/y"), 0o700) }, []string{"M x", "F .", "M x/y", "F x"}},
		{"a folder with all in it", func() error { return RemoveAll(at("tree")) }, []string{"U tree/below/file", "U tree", "F ."}},
		{"an empty file", func() error { return New(at("e"), Private) }, []string{"C e", "F ."}},
	} {
		got := watched(t, folder, func() { must(t, c.do()) })
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// A file keeps its mode when another takes its place; a new one is its owner's.
func TestModes(t *testing.T) {
	folder := t.TempDir()
	for name, c := range map[string]struct{ there, given, want fs.FileMode }{
		"new, private":      {0, Private, 0o600},
		"new, shared":       {0, 0o644, 0o644},
		"in place of 0640":  {0o640, Private, 0o640},
		"in place of 0600":  {0o600, 0o644, 0o600},
		"read only to all":  {0, 0o444, 0o444},
		"in place of a 444": {0o444, 0o600, 0o444},
	} {
		path := filepath.Join(folder, name)
		if c.there != 0 {
			must(t, os.WriteFile(path, nil, 0o600))
			must(t, os.Chmod(path, c.there))
		}
		must(t, WriteData(path, []byte("x"), c.given))
		if info, err := os.Stat(path); err != nil || info.Mode().Perm() != c.want {
			t.Errorf("%s has mode %v, %v", name, info.Mode(), err)
		}
	}
	if FolderMode(0o600) != 0o700 || FolderMode(0o640) != 0o750 || FolderMode(0o644) != 0o755 {
		t.Errorf("folders have %o, %o, %o", FolderMode(0o600), FolderMode(0o640), FolderMode(0o644))
	}
}

// While a file is being written nobody else can read it, and what fails leaves what
// was there, and nothing more.
func TestWriteThatFails(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "file")
	must(t, WriteData(path, []byte("former"), 0o644))
	broken := errors.New("broken")
	err := Write(path, Private, func(w io.Writer) error {
		io.WriteString(w, "half")
		entries, err := os.ReadDir(folder)
		must(t, err)
		for _, e := range entries {
			if info, err := e.Info(); Unfinished(e.Name()) && (err != nil || info.Mode().Perm() != 0o600) {
				t.Errorf("the unfinished file has %v, %v", info.Mode(), err)
			}
		}
		return broken
	})
	if !errors.Is(err, broken) || string(read(t, path)) != "former" {
		t.Errorf("%v, and the file holds %q", err, read(t, path))
	}
	if err := WriteData(folder, nil, Private); err == nil {
		t.Error("a folder was written over")
	}
	if entries, _ := os.ReadDir(folder); len(entries) != 1 {
		t.Errorf("left are %v", entries)
	}
}

// No link leads the program to another file.
func TestLinksAreNotFollowed(t *testing.T) {
	folder := t.TempDir()
	other, link := filepath.Join(folder, "other"), filepath.Join(folder, "link")
	must(t, os.WriteFile(other, []byte("another's"), 0o600))
	must(t, os.Symlink(other, link))
	if err := New(link, Private); !errors.Is(err, fs.ErrExist) {
		t.Errorf("made through a link: %v", err)
	}
	if _, err := Read(link, 100); err == nil {
		t.Error("read through a link")
	}
	part, err := Temporary(folder)
	must(t, err)
	if err := PlaceNew(part, link, Private); !errors.Is(err, fs.ErrExist) {
		t.Errorf("placed over a link: %v", err)
	}
	Drop(part)
	must(t, WriteData(link, []byte("ours"), Private))
	if string(read(t, other)) != "another's" || string(read(t, link)) != "ours" {
		t.Errorf("the other file holds %q, ours %q", read(t, other), read(t, link))
	}
}

func TestRead(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "file")
	must(t, os.WriteFile(path, []byte("12345"), 0o600))
	if data, err := Read(path, 5); err != nil || string(data) != "12345" {
		t.Errorf("%q, %v", data, err)
	}
	if _, err := Read(path, 4); err == nil {
		t.Error("a file that is too large is read")
	}
	if _, err := Read(folder, 4); err == nil {
		t.Error("a folder is read")
	}
	if _, _, err := SumOf(t.Context(), folder); err == nil {
		t.Error("a folder has a sum")
	}
	if _, err := Read(filepath.Join(folder, "none"), 4); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("of no file: %v", err)
	}
}

func TestPlaceNewNeverOver(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "file")
	must(t, os.WriteFile(path, []byte("former"), 0o600))
	part, err := Temporary(folder)
	must(t, err)
	if err := PlaceNew(part, path, Private); !errors.Is(err, fs.ErrExist) || string(read(t, path)) != "former" {
		t.Errorf("%v, the file holds %q", err, read(t, path))
	}
}

func TestSweep(t *testing.T) {
	folder, now := t.TempDir(), time.Now()
	part, err := Temporary(folder)
	must(t, err)
	must(t, os.WriteFile(filepath.Join(folder, "old.partial"), nil, 0o600))
	Sweep(folder, now.Add(23*time.Hour))
	if _, err := os.Lstat(part); err != nil {
		t.Errorf("a file of this day is gone: %v", err)
	}
	Sweep(folder, now.Add(25*time.Hour))
	if entries, _ := os.ReadDir(folder); len(entries) != 1 || entries[0].Name() != "old.partial" {
		t.Errorf("left are %v", entries)
	}
}

func TestShort(t *testing.T) {
	long := strings.Repeat("ä", 120)
	for name, c := range map[string]struct {
		name  string
		added int
	}{
		"fits": {"room", 35}, "just fits": {strings.Repeat("x", 220), 35}, "too long": {strings.Repeat("x", 221), 35},
		"of two bytes": {long + "b", 35}, "of two bytes, cut before": {"b" + long, 35},
	} {
		got := Short(c.name, c.added)
		if !utf8.ValidString(got) {
			t.Errorf("%s: a letter is cut: %q", name, got)
		}
		if len(got)+c.added > longestName || (len(c.name)+c.added <= longestName) != (got == c.name) ||
			!strings.HasPrefix(c.name, strings.Split(got, "~")[0]) {
			t.Errorf("%s: %q", name, got)
		}
	}
	if Short(long+"1", 35) == Short(long+"2", 35) {
		t.Error("two names have become one")
	}
}

func TestResolve(t *testing.T) {
	folder, err := filepath.EvalSymlinks(t.TempDir())
	must(t, err)
	at := func(name string) string { return filepath.Join(folder, name) }
	must(t, os.MkdirAll(at("real/sub"), 0o755))
	must(t, os.WriteFile(at("real/file"), nil, 0o600))
	for link, to := range map[string]string{
		"folder": "real", "direct": "real/file", "twice": "direct", "nothing": "real/none", "circle": "circle", "up": "real/sub/../file", "deep": "real/sub",
	} {
		must(t, os.Symlink(to, at(link)))
	}
	for name, want := range map[string]string{
		"real/file": "real/file", "folder/file": "real/file", "direct": "real/file", "twice": "real/file", "nothing": "real/none",
		"real/none": "real/none", "up": "real/file", "no/folder": "no/folder",
	} {
		if got, err := Resolve(at(name)); err != nil || got != at(want) {
			t.Errorf("%s leads to %s, %v", name, got, err)
		}
	}
	if _, err := Resolve(at("circle")); err == nil {
		t.Error("a circle leads somewhere")
	}
}

// Where a file system has no second names a copy stands in for one: of the same mode, and
// never in place of another file.
func TestCopyInPlaceOfALink(t *testing.T) {
	folder := t.TempDir()
	from, to := filepath.Join(folder, "from"), filepath.Join(folder, "to")
	must(t, os.WriteFile(from, []byte("whole"), 0o600))
	must(t, os.Chmod(from, 0o640))
	must(t, copyNew(from, to))
	if info, err := os.Stat(to); err != nil || info.Mode().Perm() != 0o640 || string(read(t, to)) != "whole" {
		t.Errorf("the copy has %v, %v", info.Mode(), err)
	}
	must(t, os.WriteFile(from, []byte("another"), 0o600))
	if err := copyNew(from, to); !errors.Is(err, fs.ErrExist) || string(read(t, to)) != "whole" {
		t.Errorf("over a file: %v, it holds %q", err, read(t, to))
	}
	if entries, _ := os.ReadDir(folder); len(entries) != 2 {
		t.Errorf("left are %v", entries)
	}
}
