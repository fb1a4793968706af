package program

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"unicode"

	"fyne.io/fyne/v2"
	"golang.org/x/image/font/sfnt"

	"weirkeeper/app/look"
	"weirkeeper/assets/fonts"
	"weirkeeper/assets/translations"
)

// Every sign of every sentence and of every text in the sources, of which some are
// drawn, has a glyph in the face that the window draws it with and in that of reports.
// The first face must have it: a face for single signs has no room between words.
func TestEverySignHasAGlyph(t *testing.T) {
	signs := map[rune]string{}
	note := func(text, from string) {
		for _, r := range text {
			if r > unicode.MaxASCII && r != '\uFEFF' {
				signs[r] = from
			}
		}
	}
	note(string(translations.English), "the sentences")
	eachText(t, note)
	if len(signs) < 40 || signs['→'] == "" || signs['−'] == "" {
		t.Fatalf("only %d signs are found, there are more", len(signs))
	}
	faces := map[string][]byte{
		"the window's face": look.New().Font(
			fyne.TextStyle{},
		).Content(), "the window's bold face": look.New().Font(fyne.TextStyle{Bold: true}).Content(),
		"the face of reports": fonts.Regular, "the bold face of reports": fonts.Bold,
	}
	for name, data := range faces {
		face, err := sfnt.Parse(data)
		if err != nil {
			t.Fatal(err)
		}
		var buffer sfnt.Buffer
		for r, from := range signs {
			if glyph, err := face.GlyphIndex(&buffer, r); err != nil || glyph == 0 {
				t.Errorf("%s lacks %q (%U), which stands in %s", name, r, r, from)
			}
		}
	}
}

// eachText hands over the texts and signs in the program's sources.
func eachText(t *testing.T, note func(text, from string)) {
	t.Helper()
	root := filepath.Join("..", "..")
	err := filepath.WalkDir(root, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		set := token.NewFileSet()
		file, err := parser.ParseFile(set, path, nil, 0)
		if err != nil {
			return err
		}
		ast.Inspect(file, func(n ast.Node) bool {
			text, ok := n.(*ast.BasicLit)
			if !ok || text.Kind != token.STRING && text.Kind != token.CHAR {
				return true
			}
			said, err := strconv.Unquote(text.Value)
			if err != nil {
				t.Errorf("%s: %v", path, err)
			}
			note(said, fmt.Sprint(set.Position(text.Pos())))
			return true
		})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}
