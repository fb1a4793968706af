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

// judging are the functions of package tanks that only the board calls.
var judging = []string{"Judge", "EstimateOf", "Expect", "Surprise"}

// misjudged returns what a file outside the board does that only the board may:
// importing the estimator, or judging, estimating and expecting by itself.
func misjudged(file *ast.File) []string {
	var wrong []string
	called := map[string]bool{} // names by which package tanks is called
	for _, i := range file.Imports {
		imported, err := strconv.Unquote(i.Path.Value)
		if err != nil {
			continue
		}
		name := path.Base(imported)
		if i.Name != nil {
			name = i.Name.Name
		}
		switch {
		case inside(imported, "tanks/trend"):
			wrong = append(wrong, "imports "+imported)
		case imported == module+"/tanks" && name == ".":
			wrong = append(wrong, "imports "+imported+" by a dot, which hides who judges")
		case imported == module+"/tanks":
			called[name] = true
		}
	}
	ast.Inspect(file, func(n ast.Node) bool {
		if s, ok := n.(*ast.SelectorExpr); ok {
			if from, ok := s.X.(*ast.Ident); ok && called[from.Name] && slices.Contains(judging, s.Sel.Name) {
				wrong = append(wrong, "calls tanks."+s.Sel.Name)
			}
		}
		return true
	})
	return wrong
}

// Only the board estimates, judges and fits: everything else asks it.
func TestHouseHasOneJudge(t *testing.T) {
	root := filepath.Join("..", "..")
	judges := 0
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
		wrong := misjudged(file)
		if path.Join(module, filepath.ToSlash(folder)) == theBoard {
			judges += len(wrong)
			return nil
		}
		for _, w := range wrong {
			t.Errorf("%s %s, which is for the board", filepath.ToSlash(name), w)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if judges < len(judging) {
		t.Errorf("the board itself judges in only %d places", judges)
	}
}

// The guard itself must see a fault.
func TestGuardSeesAnotherJudge(t *testing.T) {
	cases := map[string]struct{ source, want string }{
		"a screen judges":              {`import "weirkeeper/tanks"; func f() { tanks.Judge(e, b, w, now) }`, "calls tanks.Judge"},
		"by another name":              {`import t "weirkeeper/tanks"; func f() { t.EstimateOf(r, m) }`, "calls tanks.EstimateOf"},
		"hands the judge on":           {`import "weirkeeper/tanks"; var judge = tanks.Judge`, "calls tanks.Judge"},
		"a screen expects":             {`import "weirkeeper/tanks"; func f() { tanks.Expect(values, 1) }`, "calls tanks.Expect"},
		"a screen is surprised":        {`import "weirkeeper/tanks"; func f() { tanks.Surprise(1, 1, e) }`, "calls tanks.Surprise"},
		"a screen fits":                {`import "weirkeeper/tanks/trend"; func f() { trend.FitRecord(r, o) }`, "imports weirkeeper/tanks/trend"},
		"everything of tanks at hand":  {`import . "weirkeeper/tanks"; func f() { Judge(e, b, w, now) }`, "imports weirkeeper/tanks by a dot, which hides who judges"},
		"something else of that name":  {`import "weirkeeper/app/tanks"; func f() { tanks.Judge() }`, ""},
		"something else of the tanks":  {`import "weirkeeper/tanks"; func f() { tanks.Firm.String() }`, ""},
		"a board that is asked for it": {`import "weirkeeper/tanks/board"; func f(b *board.Estimated) { b.Judge(c) }`, ""},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			file, err := parser.ParseFile(token.NewFileSet(), "x.go", "package x; "+c.source, 0)
			if err != nil {
				t.Fatal(err)
			}
			if got := strings.Join(misjudged(file), "; "); got != c.want {
				t.Errorf("found %q, want %q", got, c.want)
			}
		})
	}
}
