// Package typeset turns text of any script into what can be drawn: pieces that
// the bundled faces write, and outlines of shaped glyphs for everything else. It
// measures, shortens and breaks lines in time linear in the text, and takes any
// string: what is no UTF-8, what no font can draw and what would only steer a
// printer becomes something harmless to look at.
//
// All lengths are in em: shares of the size of the letters.
package typeset

import (
	"bytes"
	"errors"
	"sync"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"github.com/go-text/typesetting/font"
	"github.com/go-text/typesetting/fontscan"
	"github.com/go-text/typesetting/language"
	"github.com/go-text/typesetting/shaping"
	hinting "golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"weirkeeper/assets/fonts"
)

// Face is a bundled face that a document can embed.
type Face int

// The bundled faces. The second has glyphs that the first lacks.
const (
	FaceNone   Face = iota // an outline
	FaceText               // Noto Sans
	FaceSecond             // Liberation Sans
)

// Fonts is a set of fonts to draw text with: the bundled ones, then those of
// the machine. It may be used by several goroutines.
type Fonts struct {
	mu      sync.Mutex
	system  bool
	weights [2]*weight // regular, bold
	shaper  shaping.HarfbuzzShaper
	split   shaping.Segmenter
	set     map[setKey]Line
}

type setKey struct {
	text string
	bold bool
}

// weight is the faces of one thickness.
type weight struct {
	// tables are those of FaceText and FaceSecond, where signs are looked up; bundled
	// are the same faces for the shaper, whose glyphs take some megabytes: few texts
	// need them. Both are read when they are first asked for.
	tables  [2]func() *sfnt.Font
	bundled [2]func() *font.Face
	buffer  sfnt.Buffer // of the tables
	known   map[rune]sign
	machine *fontscan.FontMap // nil: not yet looked for, or none
	looked  bool
	script  language.Script
	bold    bool
	boxes   func() *font.Face // stands for signs that no font has
}

// sign is what the bundled faces know of a rune.
type sign struct {
	face    Face
	advance float64
}

// Bundled returns the fonts that the program brings along, and no others.
func Bundled() *Fonts { return newFonts(false) }

// Machine returns the bundled fonts and those of this machine, which are looked
// for when a text first needs one. Its result is shared.
var Machine = sync.OnceValue(func() *Fonts { return newFonts(true) })

func newFonts(system bool) *Fonts {
	f := &Fonts{system: system, set: map[setKey]Line{}}
	for i, data := range [2][2][]byte{{fonts.Regular, liberationsansregular.TTF}, {fonts.Bold, liberationsansbold.TTF}} {
		w := &weight{known: map[rune]sign{}, bold: i == 1}
		for j, ttf := range data {
			w.tables[j] = sync.OnceValue(func() *sfnt.Font { return read(sfnt.Parse(ttf)) })
			w.bundled[j] = sync.OnceValue(func() *font.Face { return read(font.ParseTTF(bytes.NewReader(ttf))) })
		}
		w.boxes = sync.OnceValue(func() *font.Face { return font.NewFace(w.bundled[0]().Font) })
		f.weights[i] = w
	}
	return f
}

// read returns what was read of an embedded font.
func read[T any](of T, err error) T {
	if err != nil {
		panic(err)
	}
	return of
}

func (f *Fonts) weight(bold bool) *weight {
	if bold {
		return f.weights[1]
	}
	return f.weights[0]
}

// sign looks a rune up in the bundled faces.
func (w *weight) sign(r rune) sign {
	if s, ok := w.known[r]; ok {
		return s
	}
	var s sign
	for i, tables := range w.tables {
		if advance, ok := w.advance(tables(), r); ok {
			s = sign{FaceText + Face(i), advance}
			break
		}
	}
	w.known[r] = s
	return s
}

// advance returns how far a rune leads in a face, in em; ok tells that the face has it.
func (w *weight) advance(face *sfnt.Font, r rune) (_ float64, ok bool) {
	glyph, err := face.GlyphIndex(&w.buffer, r)
	if err != nil || glyph == 0 {
		return 0, false
	}
	em := fixed.I(int(face.UnitsPerEm()))
	advance, err := face.GlyphAdvance(&w.buffer, glyph, em, hinting.HintingNone)
	return float64(advance) / float64(em), err == nil
}

// quiet keeps the search for fonts from writing to the terminal.
type quiet struct{}

func (quiet) Printf(string, ...any) {}

// lookFor finds the machine's fonts, once.
func (w *weight) lookFor() {
	if w.looked {
		return
	}
	w.looked = true
	m := fontscan.NewFontMap(quiet{})
	if errors.Join(m.UseSystemFonts("")) != nil {
		return // the bundled fonts are enough to work with
	}
	query := fontscan.Query{Families: []string{fontscan.SansSerif}}
	if w.bold {
		query.Aspect.Weight = font.WeightBold
	}
	m.SetQuery(query)
	w.machine = m
}

// machineFace returns a face of the machine that has an outline for a rune, or
// nil.
func (w *weight) machineFace(r rune, system bool) *font.Face {
	if !system {
		return nil
	}
	w.lookFor()
	if w.machine == nil {
		return nil
	}
	w.machine.SetScript(w.script)
	face := w.machine.ResolveFace(r)
	if face == nil {
		return nil
	}
	glyph, ok := face.NominalGlyph(r)
	if !ok || glyph == 0 {
		return nil
	}
	if out, ok := face.GlyphDataOutline(uint16(glyph)); !ok || len(out.Segments) == 0 {
		return nil
	}
	return face
}
