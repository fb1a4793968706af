package program

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// theBoard is the one room that judges and the one door to the estimator.
const theBoard = module + "/tanks/board"

// reserved are the functions that only some rooms call, by package: judging,
// estimating and expecting are for the board, reading what was typed for
// tanks.ReadTyped.
var reserved = map[string][]string{
	module + "/tanks": {"Judge", "EstimateOf", "Expect", "Surprise"},
	module + "/chem":  {"ParseTyped", "ParseNumber", "ParseLevel", "NewLevel"},
}

// allowed are the rooms that may call reserved functions: of chem's the field for
// any quantity too, which reads plain numbers.
var allowed = map[string][]string{
	theBoard:                {module + "/tanks"},
	module + "/tanks":       {module + "/chem"},
	module + "/app/widgets": {module + "/chem"},
}

// misjudged returns what a file of a room does that is not for it: importing the
// estimator, or calling what is reserved for others.
func misjudged(room string, file *ast.File) []string {
	var wrong []string
	called := map[string]string{} // packages with reserved functions, by the name they go by
	for _, i := range file.Imports {
		imported, err := strconv.Unquote(i.Path.Value)
		if err != nil {
			continue
		}
		name := path.Base(imported)
		if i.Name != nil {
			name = i.Name.Name
		}
		if inside(imported, "tanks/trend") && room != theBoard && !inside(room, "tanks/trend") {
			wrong = append(wrong, "imports "+imported)
		}
		if reserved[imported] == nil || slices.Contains(allowed[room], imported) {
			continue
		}
		if called[name] = imported; name == "." {
			wrong = append(wrong, "imports "+imported+" by a dot, which hides what is called")
		}
	}
	ast.Inspect(file, func(n ast.Node) bool {
		if s, ok := n.(*ast.SelectorExpr); ok {
			if from, ok := s.X.(*ast.Ident); ok && slices.Contains(reserved[called[from.Name]], s.Sel.Name) {
				wrong = append(wrong, "calls "+path.Base(called[from.Name])+"."+s.Sel.Name)
			}
		}
		return true
	})
	return wrong
}

// Only the board estimates, judges and fits, and only tanks.ReadTyped reads what was
// typed: everything else asks them.
func TestNoScreenJudges(t *testing.T) {
	root := filepath.Join("..", "..")
	seen := 0
	err := filepath.WalkDir(root, func(name string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") {
			return nil
		}
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		if err != nil {
			return err
		}
		folder, err := filepath.Rel(root, filepath.Dir(name))
		if err != nil {
			return err
		}
		seen++
		for _, w := range misjudged(path.Join(module, filepath.ToSlash(folder)), file) {
			t.Errorf("%s %s, which is for another room", filepath.ToSlash(name), w)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if seen < 200 {
		t.Errorf("only %d files are looked at, the house has more", seen)
	}
}

// The guard itself must see a fault.
func TestGuardSeesAnotherJudge(t *testing.T) {
	screen := module + "/app/rounds"
	const (
		tanks = `import "weirkeeper/tanks"; `
		chem  = `import "weirkeeper/chem"; `
		trend = `import "weirkeeper/tanks/trend"; `
		board = `import "weirkeeper/tanks/board"; `
		fits  = "imports weirkeeper/tanks/trend"
		judge = `func f() { tanks.Judge(e, b, w, now) }`
	)
	cases := map[string]struct{ room, source, want string }{
		"a screen judges":              {screen, tanks + judge, "calls tanks.Judge"},
		"by another name":              {screen, `import t "weirkeeper/tanks"; func f() { t.EstimateOf(r, m) }`, "calls tanks.EstimateOf"},
		"hands the judge on":           {screen, tanks + `var judge = tanks.Judge`, "calls tanks.Judge"},
		"a screen expects":             {screen, tanks + `func f() { tanks.Expect(values, 1) }`, "calls tanks.Expect"},
		"a screen is surprised":        {screen, tanks + `func f() { tanks.Surprise(1, 1, e) }`, "calls tanks.Surprise"},
		"a screen fits":                {screen, trend + `func f() { trend.FitRecord(r, o) }`, fits},
		"the reader of the board fits": {module + "/app/state", trend, fits},
		"a plan fits":                  {module + "/tanks/plan", trend, fits},
		"everything of tanks at hand": {screen, `import . "weirkeeper/tanks"; func f() { Judge(e, b, w, now) }`,
			"imports weirkeeper/tanks by a dot, which hides what is called"},
		"a screen reads a number":     {screen, chem + `func f() { chem.ParseNumber(s) }`, "calls chem.ParseNumber"},
		"the ledger reads a level":    {module + "/storage/csvread", chem + `func f() { chem.ParseTyped(a, s) }`, "calls chem.ParseTyped"},
		"a widget judges":             {module + "/app/widgets", tanks + judge, "calls tanks.Judge"},
		"a widget reads a number":     {module + "/app/widgets", chem + `func f() { chem.ParseNumber(s) }`, ""},
		"the board judges":            {theBoard, tanks + trend + judge, ""},
		"something else of that name": {screen, `import "weirkeeper/app/tanks"; func f() { tanks.Judge() }`, ""},
		"something else of the tanks": {screen, tanks + `func f() { tanks.Firm.String() }`, ""},
		"a screen asks the board":     {screen, board + `func f(b *board.Estimated) { b.Judge(c) }`, ""},
		"a screen asks for a reading": {screen, tanks + `func f() { tanks.ReadTyped(t) }`, ""},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			file, err := parser.ParseFile(token.NewFileSet(), "x.go", "package x; "+c.source, 0)
			if err != nil {
				t.Fatal(err)
			}
			if got := strings.Join(misjudged(c.room, file), "; "); got != c.want {
				t.Errorf("found %q, want %q", got, c.want)
			}
		})
	}
}
