package program

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// changing are the calls that make, change or remove files in a way of their own.
var changing = []string{
	"WriteFile", "Create", "CreateTemp", "OpenFile", "Rename", "Remove", "RemoveAll", "Mkdir", "MkdirAll", "MkdirTemp", "Link", "Symlink",
	"Truncate", "Chmod",
}

// theirOwn may do so: the room that does it for all, the lock of a file that is
// already there, scratch folders, and what is for tests and pictures alone.
var theirOwn = map[string][]string{
	"storage/durable":                  changing,
	"storage/ledgerfile/hold_linux.go": {"OpenFile"},
	"app/ledgers":                      {"MkdirTemp", "RemoveAll"},
	"app/shell/window.go":              {"RemoveAll"},
	"app/shots":                        changing,
	"app/apptest":                      changing,
	"app/program/testdata":             changing,
}

// filesChanged returns the forbidden calls in a source.
func filesChanged(path string, source any) ([]string, error) {
	file, err := parser.ParseFile(token.NewFileSet(), path, source, 0)
	if err != nil {
		return nil, err
	}
	var found []string
	ast.Inspect(file, func(n ast.Node) bool {
		call, ok := n.(*ast.SelectorExpr)
		if !ok {
			return true
		}
		from, ok := call.X.(*ast.Ident)
		if !ok || from.Name != "os" || !slices.Contains(changing, call.Sel.Name) {
			return true
		}
		for room, may := range theirOwn {
			if (path == room || strings.HasPrefix(path, room+"/")) && slices.Contains(may, call.Sel.Name) {
				return true
			}
		}
		found = append(found, call.Sel.Name)
		return true
	})
	return found, nil
}

// Every file of the program comes, changes and goes through one room, which makes it
// outlast a power cut.
func TestFilesGoThroughOneRoom(t *testing.T) {
	root := filepath.Join("..", "..")
	seen := 0
	err := filepath.WalkDir(root, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		if strings.Contains(filepath.ToSlash(path), "/storagetest/") {
			return nil // helps tests alone
		}
		name, err := filepath.Rel(root, path)
		if err != nil {
			return err
		}
		source, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		found, err := filesChanged(filepath.ToSlash(name), source)
		seen++
		for _, call := range found {
			t.Errorf("%s calls os.%s: files are written by storage/durable", name, call)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if seen < 300 {
		t.Errorf("only %d sources are read, there are more", seen)
	}
	for path, want := range map[string]int{"storage/photos.go": 2, "storage/durable/new.go": 0, "storage/durables.go": 2,
		"app/ledgers/new.go": 1} {
		found, err := filesChanged(path, `package p; import "os"; func f() { os.WriteFile("", nil, 0); os.RemoveAll(""); os.Stat("") }`)
		if err != nil || len(found) != want {
			t.Errorf("in %s it finds %v, %v", path, found, err)
		}
	}
}
