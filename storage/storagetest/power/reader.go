package power

import (
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// reader turns calls of the system into operations on files. It keeps how the
// folder looks to the program meanwhile.
type reader struct {
	trace  Trace
	folder string // its path
	said   string
	now    disk
	last   node
	open   map[int64]*handle
}

// handle is an open file or folder.
type handle struct {
	node    node
	said    bool
	at      int64
	appends bool
	folder  string // its path, of a folder
}

func newReader(folder, said string) (*reader, error) {
	r := &reader{folder: folder, said: said, open: map[int64]*handle{}}
	r.now = disk{map[node][]byte{}, map[node]bool{}, map[node]bool{}, map[place]node{}}
	r.trace.root = r.newNode(true)
	err := filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		if err != nil || path == folder {
			return err
		}
		at, err := r.place(path)
		if err != nil {
			return err
		}
		r.now.names[at] = r.newNode(d.IsDir())
		if d.IsDir() {
			return nil
		}
		r.now.bytes[r.now.names[at]], err = os.ReadFile(path)
		return err
	})
	r.trace.start = r.now.clone()
	return r, err
}

func (r *reader) newNode(folder bool) node {
	r.last++
	if folder {
		r.now.folders[r.last] = true
	}
	return r.last
}

// errElsewhere tells a path outside of the folder.
var errElsewhere = fmt.Errorf("outside of the folder")

// place finds where a path's last name stands.
func (r *reader) place(path string) (place, error) {
	rest, err := filepath.Rel(r.folder, path)
	if err != nil || rest == ".." || strings.HasPrefix(rest, "../") {
		return place{}, errElsewhere
	}
	at := place{r.trace.root, "."}
	for i, name := range strings.Split(rest, "/") {
		if i > 0 {
			at.folder = r.now.names[at]
			if at.folder == none {
				return at, fmt.Errorf("%s lies in a folder that nobody made", path)
			}
		}
		at.name = name
	}
	return at, nil
}

// node is what a place names; the folder itself is named by ".".
func (r *reader) node(at place) node {
	if at.name == "." {
		return at.folder
	}
	return r.now.names[at]
}

// path reads a path from two arguments: the folder from which it counts, and itself.
func (r *reader) path(folder, path string) (string, error) {
	name, err := text(path)
	if err != nil || filepath.IsAbs(string(name)) {
		return filepath.Clean(string(name)), err
	}
	if folder == "AT_FDCWD" {
		at, err := os.Getwd()
		return filepath.Join(at, string(name)), err
	}
	n, err := strconv.ParseInt(folder, 10, 64)
	if err != nil {
		return "", err
	}
	if h := r.open[n]; h != nil && h.folder != "" {
		return filepath.Join(h.folder, string(name)), nil
	}
	return "", errElsewhere
}

func (r *reader) placeOf(folder, path string) (place, error) {
	p, err := r.path(folder, path)
	if err != nil {
		return place{}, err
	}
	return r.place(p)
}

func (r *reader) do(o Op) {
	r.now.apply(o, len(o.Data))
	r.trace.Ops = append(r.trace.Ops, o)
}

func (r *reader) rename(names map[place]node) {
	r.do(Op{Kind: Names, names: maps.Clone(names)})
}

// read takes one call. What happens elsewhere is nothing to us.
func (r *reader) read(c call) error {
	err := r.readNames(c)
	if err == errElsewhere {
		return nil
	}
	return err
}

func (r *reader) readNames(c call) error {
	const cwd = "AT_FDCWD"
	switch c.name {
	case "open", "creat":
		return r.opened(c, cwd, c.args)
	case "openat":
		return r.opened(c, c.args[0], c.args[1:])
	case "mkdir":
		return r.made(cwd, c.args[0])
	case "mkdirat":
		return r.made(c.args[0], c.args[1])
	case "unlink", "rmdir":
		return r.removed(cwd, c.args[0])
	case "unlinkat":
		return r.removed(c.args[0], c.args[1])
	case "rename":
		return r.renamed(cwd, c.args[0], cwd, c.args[1], "0")
	case "renameat":
		return r.renamed(c.args[0], c.args[1], c.args[2], c.args[3], "0")
	case "renameat2":
		return r.renamed(c.args[0], c.args[1], c.args[2], c.args[3], c.args[4])
	case "link":
		return r.linked(cwd, c.args[0], cwd, c.args[1])
	case "linkat":
		return r.linked(c.args[0], c.args[1], c.args[2], c.args[3])
	case "symlink", "symlinkat", "truncate":
		at, err := r.placeOf(cwd, c.args[len(c.args)-1])
		if err == nil {
			err = fmt.Errorf("%s at %s is not understood", c.name, at.name)
		}
		return err
	}
	return r.readBytes(c)
}

func (r *reader) opened(c call, folder string, args []string) error {
	delete(r.open, c.result)
	path, err := r.path(folder, args[0])
	if err != nil {
		return err
	}
	if path == r.said {
		r.open[c.result] = &handle{said: true}
		return nil
	}
	at, err := r.place(path)
	if err != nil {
		return err
	}
	flags := "O_CREAT|O_TRUNC|O_WRONLY"
	if c.name != "creat" {
		flags = args[1]
	}
	has := func(flag string) bool { return strings.Contains("|"+flags+"|", "|"+flag+"|") }
	what := r.node(at)
	if what == none {
		if !has("O_CREAT") {
			return fmt.Errorf("%s was opened and nobody made it", path)
		}
		what = r.newNode(false)
		r.rename(map[place]node{at: what})
	} else if has("O_TRUNC") && len(r.now.bytes[what]) > 0 {
		r.do(Op{Kind: Truncate, Node: what})
	}
	h := &handle{node: what, appends: has("O_APPEND")}
	if r.now.folders[what] {
		h.folder = path
	}
	r.open[c.result] = h
	return nil
}

func (r *reader) made(folder, path string) error {
	at, err := r.placeOf(folder, path)
	if err == nil {
		r.rename(map[place]node{at: r.newNode(true)})
	}
	return err
}

func (r *reader) removed(folder, path string) error {
	at, err := r.placeOf(folder, path)
	if err == nil {
		r.rename(map[place]node{at: none})
	}
	return err
}

func (r *reader) renamed(fromFolder, fromPath, toFolder, toPath, flags string) error {
	from, err := r.placeOf(fromFolder, fromPath)
	if err != nil {
		return err
	}
	to, err := r.placeOf(toFolder, toPath)
	if err != nil {
		return err
	}
	old := none
	if strings.Contains(flags, "RENAME_EXCHANGE") {
		old = r.node(to)
	}
	r.rename(map[place]node{from: old, to: r.node(from)})
	return nil
}

func (r *reader) linked(fromFolder, fromPath, toFolder, toPath string) error {
	from, err := r.placeOf(fromFolder, fromPath)
	if err != nil {
		return err
	}
	to, err := r.placeOf(toFolder, toPath)
	if err == nil {
		r.rename(map[place]node{to: r.node(from)})
	}
	return err
}

// readBytes takes a call on an open file.
func (r *reader) readBytes(c call) error {
	number, err := strconv.ParseInt(c.args[0], 10, 64)
	if err != nil {
		return err
	}
	if c.name == "copy_file_range" || c.name == "sendfile" {
		return r.copied(c)
	}
	h := r.open[number]
	if h == nil {
		return nil
	}
	switch c.name {
	case "close":
		delete(r.open, number)
	case "lseek":
		h.at = c.result
	case "fsync", "fdatasync":
		kind := SyncFile
		if r.now.folders[h.node] {
			kind = SyncFolder
		}
		r.trace.Ops = append(r.trace.Ops, Op{Kind: kind, Node: h.node, before: c.before})
	case "ftruncate":
		size, err := strconv.ParseInt(c.args[1], 0, 64)
		r.do(Op{Kind: Truncate, Node: h.node, Offset: size})
		return err
	case "pwrite64":
		at, err := strconv.ParseInt(c.args[3], 0, 64)
		if err != nil {
			return err
		}
		return r.wrote(h, c, at)
	case "write":
		if h.appends {
			h.at = int64(len(r.now.bytes[h.node]))
		}
		if err := r.wrote(h, c, h.at); err != nil {
			return err
		}
		h.at += c.result
	default:
		return fmt.Errorf("it is not understood")
	}
	return nil
}

func (r *reader) wrote(h *handle, c call, at int64) error {
	data, err := text(c.args[1])
	if err != nil {
		return err
	}
	if int64(len(data)) < c.result {
		return fmt.Errorf("only %d of %d bytes were written down", len(data), c.result)
	}
	if h.said {
		r.trace.Ops = append(r.trace.Ops, Op{Kind: Said, Data: data})
		return nil
	}
	r.do(Op{Kind: Write, Node: h.node, Offset: at, Data: data[:c.result]})
	return nil
}

// copied takes bytes that went from file to file within the system.
func (r *reader) copied(c call) error {
	// copy_file_range(from, at, to, at, ...); sendfile(to, from, at, ...)
	fromArg, toArg, offsets := c.args[0], c.args[2], []string{c.args[1], c.args[3]}
	if c.name == "sendfile" {
		fromArg, toArg, offsets = c.args[1], c.args[0], []string{c.args[2]}
	}
	from, err := strconv.ParseInt(fromArg, 10, 64)
	if err != nil {
		return err
	}
	to, err := strconv.ParseInt(toArg, 10, 64)
	if err != nil {
		return err
	}
	source, target := r.open[from], r.open[to]
	for _, offset := range offsets {
		if offset != "NULL" && target != nil {
			return fmt.Errorf("a copy at %s is not understood", offset)
		}
	}
	if target == nil || c.result == 0 {
		if source != nil {
			source.at += c.result
		}
		return nil
	}
	if source == nil {
		return fmt.Errorf("copied from outside of the folder")
	}
	data := slices.Clone(r.now.bytes[source.node][source.at : source.at+c.result])
	r.do(Op{Kind: Write, Node: target.node, Offset: target.at, Data: data})
	source.at += c.result
	target.at += c.result
	return nil
}
