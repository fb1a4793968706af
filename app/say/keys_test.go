package say

import (
	"encoding/json"
	"flag"
	"go/ast"
	"go/constant"
	"go/types"
	"maps"
	"os"
	"slices"
	"strings"
	"testing"

	"golang.org/x/tools/go/packages"

	"weirkeeper/assets/translations"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
)

var update = flag.Bool("update", false, "write the missing sentences into the English file and drop the unused ones")

// The arguments that are formats, by the function they are given to.
var formats = map[string]int{
	"weirkeeper/assets/words.T": 0, "weirkeeper/assets/words.N": 2, "weirkeeper/assets/words.Errorf": 0, "weirkeeper/assets/words.Sprintf": 1, "weirkeeper/app/say.F": 0, "weirkeeper/app/say.N": 1,
	"weirkeeper/tanks/trend.notEnough": 0,
}

const englishFile = "../../assets/translations/en.json"

// Every sentence in the sources is in the English file, and every sentence of
// the file is in the sources.
func TestKeys(t *testing.T) {
	used, ones := sentences(t)
	for _, info := range chem.Catalogue() {
		used[string(info.Analyte.InSentence())] = "the catalogue"
	}
	known := map[string]any{}
	if err := json.Unmarshal(translations.English, &known); err != nil {
		t.Fatal(err)
	}
	if *update {
		write(t, used, ones, known)
		return
	}
	for _, key := range slices.Sorted(maps.Keys(used)) {
		if _, ok := known[key]; !ok {
			t.Errorf("%s: %q is not in the English file: go test ./app/say -run Keys -update", used[key], key)
		}
	}
	for key, one := range ones {
		if forms, _ := known[key].(map[string]any); forms["one"] != one {
			t.Errorf("%s: of one the sources say %q, the English file %q", used[key], one, forms["one"])
		}
	}
	for key, said := range known {
		if _, ok := used[key]; !ok {
			t.Errorf("%q of the English file is used nowhere", key)
		}
		for _, form := range formsOf(said) {
			if got, want := verbs(form), verbs(key); strings.Join(got, " ") != strings.Join(want, " ") && !isPlural(said) {
				t.Errorf("%q has the verbs %q, its key %q", form, got, want)
			}
		}
		switch strings.ToLower(key) {
		case "id", "description", "hash", "leftdelim", "rightdelim", "zero", "one", "two", "few", "many", "other", "translation":
			t.Errorf("%q is a word of the format of the file", key)
		}
	}
}

func isPlural(said any) bool { _, ok := said.(map[string]any); return ok }

func formsOf(said any) []string {
	switch said := said.(type) {
	case string:
		return []string{said}
	case map[string]any:
		var out []string
		for _, form := range said {
			out = append(out, form.(string))
		}
		return out
	}
	return nil
}

// verbs lists a format's verbs, sorted.
func verbs(format string) []string {
	return slices.Sorted(slices.Values(verb.FindAllString(format, -1)))
}

// sentences returns what the sources say, with where: the formats of the
// functions above, and every constant that is a words.Text; and by the formats of
// words.N what they say of one thing.
func sentences(t *testing.T) (found, ones map[string]string) {
	t.Helper()
	loaded, err := packages.Load(
		&packages.Config{
			Mode: packages.NeedName | packages.NeedFiles | packages.NeedSyntax | packages.NeedTypes | packages.NeedTypesInfo | packages.NeedImports | packages.NeedExportFile,
			Dir:  "../..",
		},
		"./...",
	)
	if err != nil {
		t.Fatal(err)
	}
	found, ones = map[string]string{}, map[string]string{}
	for _, p := range loaded {
		if len(p.Errors) > 0 {
			t.Fatalf("%s: %v", p.PkgPath, p.Errors[0])
		}
		if quiet(p.PkgPath) {
			continue
		}
		for _, f := range p.Syntax {
			ast.Inspect(f, func(n ast.Node) bool {
				return see(p, n, found, ones)
			})
		}
	}
	if len(found) < 500 {
		t.Fatalf("only %d sentences were found: the search is broken", len(found))
	}
	return found, ones
}

// quiet packages say nothing to a person at the screen: commands for scripts
// are the same in every language, and the demo room's data is data.
func quiet(path string) bool {
	for _, part := range []string{"/headless", "/shots", "/apptest", "/demoroom", "/storagetest", "/gallery", "/makebench", "/startbench"} {
		if strings.Contains(path, part) {
			return true
		}
	}
	return path == "weirkeeper"
}

// see notes what a node says; false: its parts say no more.
func see(p *packages.Package, n ast.Node, found, ones map[string]string) bool {
	keep := func(e ast.Expr, value constant.Value) {
		if value == nil || value.Kind() != constant.String {
			return
		}
		if text := constant.StringVal(value); words.HasWords(text) {
			found[text] = p.Fset.Position(e.Pos()).String()
		}
	}
	if call, ok := n.(*ast.CallExpr); ok {
		name := nameOf(p.TypesInfo, call)
		if at, ok := formats[name]; ok && at < len(call.Args) {
			value := p.TypesInfo.Types[call.Args[at]].Value
			if value != nil && name == "weirkeeper/assets/words.T" && len(call.Args) == 1 {
				value = constant.MakeString(strings.ReplaceAll(constant.StringVal(value), "%%", "%"))
			}
			keep(call.Args[at], value)
			if name == "weirkeeper/assets/words.N" && value != nil {
				ones[constant.StringVal(value)] = constant.StringVal(p.TypesInfo.Types[call.Args[1]].Value)
			}
		}
	}
	e, ok := n.(ast.Expr)
	if !ok {
		return true
	}
	tv := p.TypesInfo.Types[e]
	if tv.Value == nil || !isText(tv.Type) {
		return true
	}
	keep(e, tv.Value)
	_, sum := e.(*ast.BinaryExpr)
	return !sum
}

func isText(t types.Type) bool {
	named, ok := t.(*types.Named)
	return ok && named.Obj().Pkg() != nil && named.Obj().Pkg().Path() == "weirkeeper/assets/words" && named.Obj().Name() == "Text"
}

func nameOf(info *types.Info, call *ast.CallExpr) string {
	var id *ast.Ident
	switch f := call.Fun.(type) {
	case *ast.Ident:
		id = f
	case *ast.SelectorExpr:
		id = f.Sel
	default:
		return ""
	}
	fn, ok := info.Uses[id].(*types.Func)
	if !ok || fn.Pkg() == nil {
		return ""
	}
	return fn.Pkg().Path() + "." + fn.Name()
}

func write(t *testing.T, used, ones map[string]string, known map[string]any) {
	t.Helper()
	next := map[string]any{}
	for key := range used {
		next[key] = key
		if said, ok := known[key]; ok {
			next[key] = said
		}
		if one, ok := ones[key]; ok {
			next[key] = map[string]any{"one": one, "other": key}
		}
	}
	var b strings.Builder
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(next); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(englishFile, []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
	t.Logf("%d sentences, %d of them new", len(next), len(next)-len(known))
}
