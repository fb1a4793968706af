package program

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// source is a file of the program, not of its tests.
type source struct {
	path string
	set  *token.FileSet
	file *ast.File
}

func (s source) at(n ast.Node) string { return s.set.Position(n.Pos()).String() }

// sourcesOf parses the program's files under a folder of the module.
func sourcesOf(t *testing.T, folder string) []source {
	t.Helper()
	var all []source
	err := filepath.WalkDir(filepath.Join("..", "..", folder), func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		set := token.NewFileSet()
		file, err := parser.ParseFile(set, path, nil, 0)
		all = append(all, source{path, set, file})
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(all) == 0 {
		t.Fatalf("there are no files in %s", folder)
	}
	return all
}

// parsed is a source made of text, to show that a guard sees a fault.
func parsed(t *testing.T, text string) source {
	t.Helper()
	set := token.NewFileSet()
	file, err := parser.ParseFile(set, "made up", "package p\n"+text, 0)
	if err != nil {
		t.Fatal(err)
	}
	return source{"made up", set, file}
}

// reaching returns the places where work that runs on another goroutine, which is
// what is given a context, uses the receiver of the method around it or a session.
func reaching(s source) []string {
	var found []string
	for _, decl := range s.file.Decls {
		f, ok := decl.(*ast.FuncDecl)
		if !ok || f.Body == nil {
			continue
		}
		owned := ownedBy(f)
		ast.Inspect(f.Body, func(n ast.Node) bool {
			if work, ok := n.(*ast.FuncLit); ok && givenContext(work) {
				found = append(found, uses(s, work, owned)...)
			}
			return true
		})
	}
	return found
}

func givenContext(work *ast.FuncLit) bool {
	return slices.ContainsFunc(work.Type.Params.List, func(field *ast.Field) bool {
		named, ok := field.Type.(*ast.SelectorExpr)
		return ok && named.Sel.Name == "Context"
	})
}

// ownedBy names what belongs to the window's goroutine in a function: the receiver
// of a page or a view, and sessions.
func ownedBy(f *ast.FuncDecl) []string {
	var names []string
	if f.Recv != nil {
		for _, field := range f.Recv.List {
			if _, pointer := field.Type.(*ast.StarExpr); pointer {
				for _, name := range field.Names {
					names = append(names, name.Name)
				}
			}
		}
	}
	for _, field := range f.Type.Params.List {
		if pointer, ok := field.Type.(*ast.StarExpr); ok {
			if named, ok := pointer.X.(*ast.SelectorExpr); ok && named.Sel.Name == "Session" {
				for _, name := range field.Names {
					names = append(names, name.Name)
				}
			}
		}
	}
	return names
}

// uses returns the places in work where one of the names is used.
func uses(s source, work *ast.FuncLit, names []string) []string {
	var found []string
	ast.Inspect(work.Body, func(n ast.Node) bool {
		if selector, ok := n.(*ast.SelectorExpr); ok {
			if id, ok := selector.X.(*ast.Ident); ok && slices.Contains(names, id.Name) {
				found = append(found, s.at(n)+": "+id.Name+"."+selector.Sel.Name)
			}
		}
		return true
	})
	return found
}

// Workers are given values: they reach neither the session nor a widget, which
// belong to the window's goroutine.
func TestWorkersGetValues(t *testing.T) {
	for _, s := range sourcesOf(t, "app") {
		if slices.ContainsFunc(
			[]string{"session", "crash", "state"},
			func(room string) bool { return strings.Contains(s.path, filepath.Join("app", room)) },
		) {
			continue // the machinery itself, made for several goroutines
		}
		for _, place := range reaching(s) {
			t.Errorf("work on another goroutine uses what belongs to the window's: %s", place)
		}
	}
	bad := parsed(t, `
func (p *Page) f(s *session.Session) {
	session.Load(s, l, "x", func(ctx context.Context, store S) (int, error) { return p.rows, nil }, func(int) { p.show() })
	s.Act("x", func(ctx context.Context, store S) error { return s.Store.Save() }, func() { p.show() })
}`)
	if got := reaching(bad); len(got) != 2 {
		t.Errorf("of two faults %v are seen", got)
	}
}

// goroutines returns where goroutines are started.
func goroutines(s source) []string {
	var found []string
	ast.Inspect(s.file, func(n ast.Node) bool {
		if _, ok := n.(*ast.GoStmt); ok {
			found = append(found, s.at(n))
		}
		return true
	})
	return found
}

// Every goroutine of the window's program starts in app/crash, so that a panic in
// it is caught.
func TestGoroutinesStartInOnePlace(t *testing.T) {
	for _, s := range sourcesOf(t, "app") {
		if strings.Contains(s.path, filepath.Join("app", "crash")) {
			continue
		}
		for _, place := range goroutines(s) {
			t.Errorf("%s: a goroutine starts beside crash.Go", place)
		}
	}
	if got := goroutines(parsed(t, "func f() { go f() }")); len(got) != 1 {
		t.Errorf("a fault is not seen: %v", got)
	}
}

// named returns where a section is named by a text.
func named(s source) []string {
	var found []string
	ast.Inspect(s.file, func(n ast.Node) bool {
		pair, ok := n.(*ast.KeyValueExpr)
		if !ok {
			return true
		}
		key, isName := pair.Key.(*ast.Ident)
		text, isText := pair.Value.(*ast.BasicLit)
		if isName && isText && key.Name == "Section" && text.Kind == token.STRING {
			found = append(found, s.at(n))
		}
		return true
	})
	return found
}

// No text names a section of a place.
func TestNoTextNamesASection(t *testing.T) {
	for _, s := range sourcesOf(t, "app") {
		for _, place := range named(s) {
			t.Errorf("%s: a section is named by a text", place)
		}
	}
	if got := named(parsed(t, `var r = Route{Section: "Plan"}`)); len(got) != 1 {
		t.Errorf("a fault is not seen: %v", got)
	}
}

// saving returns where a dialog of the widgets saves, in place of a form that waits
// for the ledger.
func saving(s source) []string {
	var found []string
	ast.Inspect(s.file, func(n ast.Node) bool {
		call, ok := n.(*ast.CallExpr)
		if !ok {
			return true
		}
		called, ok := call.Fun.(*ast.SelectorExpr)
		if !ok || (called.Sel.Name != "ShowForm" && called.Sel.Name != "ShowDialog" && called.Sel.Name != "ShowTicks") {
			return true
		}
		for _, arg := range call.Args {
			ast.Inspect(arg, func(n ast.Node) bool {
				if inner, ok := n.(*ast.SelectorExpr); ok && (inner.Sel.Name == "Act" || inner.Sel.Name == "Try") {
					found = append(found, s.at(n))
				}
				return true
			})
		}
		return true
	})
	return found
}

// Forms that save are those of app/forms, which stay until the ledger said yes.
func TestFormsSaveInOneWay(t *testing.T) {
	for _, s := range sourcesOf(t, "app") {
		if strings.Contains(s.path, filepath.Join("app", "forms")) {
			continue
		}
		for _, place := range saving(s) {
			t.Errorf("%s: a dialog saves beside forms.Show", place)
		}
	}
	if got := saving(parsed(t,
		`func f() { widgets.ShowForm(w, "t", "Save", form, func() bool { s.Act("x", nil, nil); return true }) }`)); len(
		got,
	) != 1 {
		t.Errorf("a fault is not seen: %v", got)
	}
}

// screens are the packages of the places; none calls another.
var screens = []string{"rounds", "room", "testsheet", "system", "dosing", "samples", "trends", "handover", "setup"}

func TestNoScreenCallsAnother(t *testing.T) {
	for _, own := range screens {
		for _, s := range sourcesOf(t, filepath.Join("app", own)) {
			for _, i := range s.file.Imports {
				path := strings.Trim(i.Path.Value, `"`)
				other, below := strings.CutPrefix(path, module+"/app/")
				if below && other != own && slices.Contains(screens, other) {
					t.Errorf("%s imports the screen %s", s.path, other)
				}
			}
		}
	}
}
