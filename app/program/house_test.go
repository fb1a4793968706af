package program

import (
	"encoding/json"
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"io/fs"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

const module = "weirkeeper"

// floors orders the rooms of the house: a package may import packages of its
// own floor or of a lower one, never of a higher one.
var floors = []struct {
	prefix string
	floor  int
}{
	{"assets/words", -1},
	{"chem", 0},
	{"tanks", 1},
	{"tasks", 2},
	{"assets", 2},
	{"storage", 3},
	{"app", 4},
	{"", 5},
}

type listed struct {
	ImportPath string
	Imports    []string
	Deps       []string
}

func inside(path, room string) bool {
	return path == module+"/"+room || strings.HasPrefix(path, module+"/"+room+"/")
}

func floorOf(path string) (int, bool) {
	if path != module && !strings.HasPrefix(path, module+"/") {
		return 0, false
	}
	for _, f := range floors {
		if f.prefix == "" || inside(path, f.prefix) {
			return f.floor, true
		}
	}
	return 0, false
}

func listPackages(t *testing.T) []listed {
	t.Helper()
	out, err := exec.Command("go", "list", "-json=ImportPath,Imports,Deps", module+"/...").Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	var packages []listed
	decoder := json.NewDecoder(strings.NewReader(string(out)))
	for {
		var p listed
		err := decoder.Decode(&p)
		if errors.Is(err, io.EOF) {
			return packages
		}
		if err != nil {
			t.Fatalf("reading go list: %v", err)
		}
		packages = append(packages, p)
	}
}

// upward returns the imports of p that run to a higher floor.
func upward(p listed) []string {
	own, _ := floorOf(p.ImportPath)
	var wrong []string
	for _, path := range p.Imports {
		if floor, ours := floorOf(path); ours && floor > own {
			wrong = append(wrong, path)
		}
	}
	return wrong
}

// windowless are the rooms of app that reach no window.
var windowless = []string{"app/chart", "app/typeset", "app/documents", "app/ledgers", "app/state", "app/crash"}

// misplaced returns the libraries that p reaches, through whatever, and must
// not: Fyne outside app, GORM by import outside the record, SQL by import outside
// the rooms of storage, either of them in the reading of CSV, the record in the
// rooms below it, and the driver that opens real windows outside the two programs
// that do.
func misplaced(p listed) []string {
	var wrong []string
	free := inside(p.ImportPath, "app") && !slices.ContainsFunc(windowless, func(room string) bool { return inside(p.ImportPath, room) })
	if p.ImportPath != module && !free {
		for _, path := range p.Deps {
			if path == "fyne.io/fyne/v2" || strings.HasPrefix(path, "fyne.io/fyne/v2/") {
				wrong = append(wrong, path)
			}
		}
	}
	if p.ImportPath != module && p.ImportPath != module+"/app/widgets/gallery" {
		for _, path := range p.Imports {
			if path == "fyne.io/fyne/v2/app" {
				wrong = append(wrong, path)
			}
		}
	}
	for _, path := range p.Imports {
		if p.ImportPath != module+"/storage" && strings.HasPrefix(path, "gorm.io/") ||
			path == "database/sql" && !inside(p.ImportPath, "storage") {
			wrong = append(wrong, path)
		}
	}
	if inside(p.ImportPath, "storage/csvread") {
		for _, path := range p.Deps {
			if strings.HasPrefix(path, "gorm.io/") || path == "database/sql" {
				wrong = append(wrong, path)
			}
		}
	}
	if inside(p.ImportPath, "storage/csvread") || inside(p.ImportPath, "storage/ledgerfile") {
		for _, path := range p.Deps {
			if path == module+"/storage" {
				wrong = append(wrong, path)
			}
		}
	}
	return wrong
}

func TestImportsRunDownwards(t *testing.T) {
	packages := listPackages(t)
	if len(packages) < 10 {
		t.Fatalf("go list found %d packages, the house has more", len(packages))
	}
	for _, p := range packages {
		for _, path := range upward(p) {
			t.Errorf("%s imports %s, which lies above it", p.ImportPath, path)
		}
		for _, path := range misplaced(p) {
			t.Errorf("%s reaches %s, which is not for this room", p.ImportPath, path)
		}
	}
}

// The guard itself must see a fault.
func TestGuardSeesFaults(t *testing.T) {
	cases := map[string]struct {
		p    listed
		want string
	}{
		"chem imports tanks": {listed{ImportPath: "weirkeeper/chem", Imports: []string{"weirkeeper/tanks"}}, "weirkeeper/tanks"},
		"tanks imports storage": {
			listed{ImportPath: "weirkeeper/tanks/plan", Imports: []string{"weirkeeper/storage"}},
			"weirkeeper/storage",
		},
		"tasks imports app":    {listed{ImportPath: "weirkeeper/tasks", Imports: []string{"weirkeeper/app/look"}}, "weirkeeper/app/look"},
		"storage reaches Fyne": {listed{ImportPath: "weirkeeper/storage", Deps: []string{"fyne.io/fyne/v2"}}, "fyne.io/fyne/v2"},
		"chart reaches Fyne": {
			listed{ImportPath: "weirkeeper/app/chart", Deps: []string{"fyne.io/fyne/v2/canvas"}},
			"fyne.io/fyne/v2/canvas",
		},
		"app imports GORM":     {listed{ImportPath: "weirkeeper/app/rounds", Imports: []string{"gorm.io/gorm"}}, "gorm.io/gorm"},
		"backup imports GORM":  {listed{ImportPath: "weirkeeper/storage/safekeeping", Imports: []string{"gorm.io/gorm"}}, "gorm.io/gorm"},
		"app imports SQL":      {listed{ImportPath: "weirkeeper/app/rounds", Imports: []string{"database/sql"}}, "database/sql"},
		"csvread reaches GORM": {listed{ImportPath: "weirkeeper/storage/csvread", Deps: []string{"gorm.io/gorm"}}, "gorm.io/gorm"},
		"csvread reaches SQL":  {listed{ImportPath: "weirkeeper/storage/csvread", Deps: []string{"database/sql"}}, "database/sql"},
		"file reaches record": {
			listed{ImportPath: "weirkeeper/storage/ledgerfile", Deps: []string{"weirkeeper/storage"}},
			"weirkeeper/storage",
		},
		"app imports driver": {
			listed{ImportPath: "weirkeeper/app/shell", Imports: []string{"fyne.io/fyne/v2/app"}},
			"fyne.io/fyne/v2/app",
		},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			got := append(upward(c.p), misplaced(c.p)...)
			if len(got) != 1 || got[0] != c.want {
				t.Errorf("found %v, want %s", got, c.want)
			}
		})
	}
}

// Screens are made of the widgets of one room: of Fyne's own they use what has
// no looks, and none of its dialogs.
func TestScreensShareTheWidgets(t *testing.T) {
	allowed := map[string]bool{"BaseWidget": true, "NewSimpleRenderer": true}
	seen := 0
	err := filepath.WalkDir("..", func(path string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if entry.IsDir() && (path == filepath.Join("..", "widgets") || path == filepath.Join("..", "apptest")) {
			return filepath.SkipDir
		}
		if !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return nil
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
		if err != nil {
			return err
		}
		for _, i := range file.Imports {
			if i.Path.Value == `"fyne.io/fyne/v2/dialog"` {
				t.Errorf("%s uses dialogs other than those of the widgets", path)
			}
		}
		ast.Inspect(file, func(n ast.Node) bool {
			selector, ok := n.(*ast.SelectorExpr)
			if !ok {
				return true
			}
			if from, ok := selector.X.(*ast.Ident); ok && from.Name == "widget" {
				seen++
				if !allowed[selector.Sel.Name] {
					t.Errorf("%s has a private %s", path, selector.Sel.Name)
				}
			}
			return true
		})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if seen < 20 {
		t.Errorf("only %d uses are found, there are more", seen)
	}
}
