package exhibit

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// Every widget that can be made has its page: each constructor of the widgets is used
// on one. A page for each name, and no name twice.
func TestEveryWidgetHasItsPage(t *testing.T) {
	var made, shown []string
	eachFile(t, "../..", func(f *ast.File) {
		for _, d := range f.Decls {
			if fn, ok := d.(*ast.FuncDecl); ok && fn.Recv == nil && strings.HasPrefix(fn.Name.Name, "New") {
				made = append(made, fn.Name.Name)
			}
		}
	})
	eachFile(t, ".", func(f *ast.File) {
		ast.Inspect(f, func(n ast.Node) bool {
			if s, ok := n.(*ast.SelectorExpr); ok {
				if from, ok := s.X.(*ast.Ident); ok && from.Name == "widgets" {
					shown = append(shown, s.Sel.Name)
				}
			}
			return true
		})
	})
	if len(made) < 30 {
		t.Errorf("only %d constructors are found", len(made))
	}
	for _, name := range made {
		if !slices.Contains(shown, name) {
			t.Errorf("%s has no page in the gallery", name)
		}
	}
	var names []string
	for _, p := range Pages() {
		if slices.Contains(names, p.Name) || p.Name == "" || p.Title == "" {
			t.Errorf("the page %q, %q has no name of its own", p.Name, p.Title)
		}
		names = append(names, p.Name)
	}
}

// eachFile parses the files of a package that are no tests.
func eachFile(t *testing.T, folder string, see func(*ast.File)) {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(folder, "*.go"))
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range paths {
		if strings.HasSuffix(path, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		see(file)
	}
}
