package typeset

import (
	"github.com/go-text/typesetting/di"
	"github.com/go-text/typesetting/font"
	"github.com/go-text/typesetting/font/opentype"
	"github.com/go-text/typesetting/language"
	"github.com/go-text/typesetting/shaping"
	"golang.org/x/image/math/fixed"
)

// Line is a text ready to be drawn: its runs from left to right.
type Line struct {
	Runs  []Run
	Width float64
}

// Run is a stretch of a line: text for a bundled face, or an outline.
type Run struct {
	Text    string // what it says, in the order in which it is read
	Face    Face
	Outline []Segment // of FaceNone, from the run's beginning on the base line
	Width   float64
}

// Segment is a part of an outline, y running up.
type Segment struct {
	Op     Op
	Points [3][2]float64 // as many as the Op has
}

// Op is how a segment goes on.
type Op int

// The ops. A shape begins by a MoveTo and is closed by the next, or by the end.
const (
	MoveTo  Op = iota
	LineTo     // to Points[0]
	QuadTo     // by Points[0] to Points[1]
	CubicTo    // by Points[0] and Points[1] to Points[2]
)

// mostKept is how many lines are kept for when they are drawn again, as names
// are in each row of a table, and longestKept how long they are, in bytes.
const (
	mostKept    = 2048
	longestKept = 256
)

// Set lays a text out on one line.
func (f *Fonts) Set(text string, bold bool) Line {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.setClean(Clean(text), bold)
}

func (f *Fonts) setClean(text string, bold bool) Line {
	w := f.weight(bold)
	if line, ok := w.setSimple(text); ok {
		return line
	}
	key := setKey{text, bold}
	if line, ok := f.set[key]; ok {
		return line
	}
	line := f.shaped(text, w)
	if len(text) > longestKept {
		return line
	}
	if len(f.set) >= mostKept {
		clear(f.set)
	}
	f.set[key] = line
	return line
}

// setSimple lays out a text of the bundled faces alone.
func (w *weight) setSimple(text string) (Line, bool) {
	var line Line
	begin := 0
	last := sign{}
	width := 0.0
	end := func(i int) {
		if i > begin {
			line.Runs = append(line.Runs, Run{Text: text[begin:i], Face: last.face, Width: width})
			line.Width += width
		}
	}
	for i, r := range text {
		s := w.sign(r)
		if s.face == FaceNone || !simple(r) {
			return Line{}, false
		}
		if s.face != last.face {
			end(i)
			begin, width = i, 0
		}
		width += s.advance
		last = s
	}
	end(len(text))
	return line, true
}

// shapingSize makes the shaper's units thousandths of an em.
const shapingSize = 1000

// shaped lays out a text that the bundled faces alone cannot write.
func (f *Fonts) shaped(text string, w *weight) Line {
	t := f.boxed([]rune(text), w)
	levels := levelsOf(t.runes)
	direction := di.DirectionLTR
	if rightToLeft(t.runes) {
		direction = di.DirectionRTL
	}
	input := shaping.Input{Text: t.runes, RunEnd: len(t.runes), Direction: direction, Size: fixed.I(shapingSize),
		Language: language.NewLanguage("en")}
	var parts []part
	for _, in := range f.split.Split(input, &resolver{w, f.system}) {
		parts = append(parts, cut(in, levels)...)
	}
	var line Line
	for _, p := range visual(parts) {
		r := f.run(p, t, w)
		if n := len(line.Runs) - 1; n >= 0 && r.Face != FaceNone && line.Runs[n].Face == r.Face {
			line.Runs[n].Text += r.Text
			line.Runs[n].Width += r.Width
		} else {
			line.Runs = append(line.Runs, r)
		}
		line.Width += r.Width
	}
	return line
}

// resolver chooses the face of a rune: a bundled one, the machine's, or boxes.
type resolver struct {
	*weight
	system bool
}

// SetScript implements shaping.FontmapScript.
func (r *resolver) SetScript(s language.Script) { r.script = s }

// ResolveFace implements shaping.Fontmap.
func (r *resolver) ResolveFace(c rune) *font.Face {
	if c == boxSign {
		return r.boxes()
	}
	if s := r.sign(c); s.face != FaceNone {
		return r.bundled[s.face-FaceText]()
	}
	if face := r.machineFace(c, r.system); face != nil {
		return face
	}
	return r.boxes()
}

// run turns a part into what is drawn.
func (f *Fonts) run(p part, t boxedText, w *weight) Run {
	said := t.said(p.in.RunStart, p.in.RunEnd)
	if p.in.Face == w.boxes() {
		return boxes(t.runes[p.in.RunStart:p.in.RunEnd], said)
	}
	if p.level%2 == 0 {
		for i, bundled := range w.bundled {
			face := bundled()
			if p.in.Face == face && w.writes(FaceText+Face(i), t.runes[p.in.RunStart:p.in.RunEnd]) {
				return Run{Text: said, Face: FaceText + Face(i), Width: w.advances(t.runes[p.in.RunStart:p.in.RunEnd])}
			}
		}
	}
	out, ok := f.shape(p.in)
	if !ok {
		return boxes(t.runes[p.in.RunStart:p.in.RunEnd], said)
	}
	return outlined(out, said)
}

// writes tells whether a bundled face writes all runes without shaping.
func (w *weight) writes(face Face, runes []rune) bool {
	for _, r := range runes {
		if w.sign(r).face != face || !simple(r) {
			return false
		}
	}
	return true
}

func (w *weight) advances(runes []rune) float64 {
	width := 0.0
	for _, r := range runes {
		width += w.sign(r).advance
	}
	return width
}

// shape shapes one part. A font of the machine is another's file: what its
// tables do to the shaper is no reason to end the program.
func (f *Fonts) shape(in shaping.Input) (out shaping.Output, ok bool) {
	defer func() {
		if recover() != nil {
			f.shaper, ok = shaping.HarfbuzzShaper{}, false
		}
	}()
	return f.shaper.Shape(in), true
}

// outlined joins the outlines of shaped glyphs.
func outlined(out shaping.Output, said string) Run {
	r := Run{Text: said}
	const unit = 1.0 / (64 * shapingSize)
	scale := 1 / float64(out.Face.Upem())
	for _, g := range out.Glyphs {
		x, y := r.Width+float64(g.XOffset)*unit, float64(g.YOffset)*unit
		outline, ok := out.Face.GlyphDataOutline(uint16(g.GlyphID))
		if g.GlyphID == 0 || !ok {
			r.Outline = append(r.Outline, box(r.Width)...)
			r.Width += boxAdvance
			continue
		}
		for _, s := range outline.Segments {
			r.Outline = append(r.Outline, placed(s, x, y, scale))
		}
		r.Width += float64(g.Advance) * unit
	}
	return r
}

func placed(s opentype.Segment, x, y, scale float64) Segment {
	out := Segment{Op: Op(s.Op)}
	for i, p := range s.ArgsSlice() {
		out.Points[i] = [2]float64{x + float64(p.X)*scale, y + float64(p.Y)*scale}
	}
	return out
}
