package typeset

import (
	"math"
	"os/exec"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"weirkeeper/chem"
)

// bundledOnly letters without the machine's fonts.
var bundledOnly = Bundled()

// Every name, symbol and unit of the catalogue is text of the bundled faces.
func TestCatalogueIsText(t *testing.T) {
	texts := []string{"\u2212", "≤ ≥ ≈", "± ² ³ µ °", "…", "·", "Ünïcødé", "Αλάτι Κιλκίς", "Соль Ёж Ґанок", "Đặc biệt"}
	for _, info := range chem.Catalogue() {
		texts = append(texts, info.Name.String(), info.Symbol)
		for _, u := range info.Units {
			texts = append(texts, string(u))
		}
	}
	for _, text := range texts {
		for _, bold := range []bool{false, true} {
			line := bundledOnly.Set(text, bold)
			for _, r := range line.Runs {
				if r.Face == FaceNone {
					t.Errorf("%q has %q as an outline", text, r.Text)
				}
			}
			if said(line) != text {
				t.Errorf("%q is set as %q", text, said(line))
			}
		}
	}
}

func said(l Line) string {
	var b strings.Builder
	for _, r := range l.Runs {
		b.WriteString(r.Text)
	}
	return b.String()
}

// boxCount counts the boxes in a line.
func boxCount(l Line) int {
	n := 0
	for _, r := range l.Runs {
		for i := range r.Outline {
			if isBox(r.Outline[i:]) {
				n++
			}
		}
	}
	return n
}

func isBox(segments []Segment) bool {
	if len(segments) < 8 {
		return false
	}
	for i, want := range box(segments[0].Points[0][0] - boxLeft) {
		got := segments[i]
		if got.Op != want.Op || math.Abs(got.Points[0][0]-want.Points[0][0]) > 1e-9 || math.Abs(got.Points[0][1]-want.Points[0][1]) > 1e-9 {
			return false
		}
	}
	return true
}

// Widths are those of the font's own table: hmtx of Noto Sans Regular as fontTools
// reads it, of 1000 units an em.
func TestWidths(t *testing.T) {
	for text, want := range map[string]float64{"A": 0.639, "i": 0.258, "0123456789": 5.72, "": 0, "Ab": 0.639 + 0.615} {
		if got := bundledOnly.Measure(text, false); math.Abs(got-want) > 1e-9 {
			t.Errorf("%q is %v wide, want %v", text, got, want)
		}
	}
}

// What no font has is a box a cluster, whatever runes the cluster is of.
func TestBoxes(t *testing.T) {
	for text, want := range map[string]int{
		"\U0001F420":   1,
		"a\U0001F420b": 1,
		"\U0001F468\u200d\U0001F469\u200d\U0001F467": 1,
		"\U0001F1EB\U0001F1F7":                       1,
		"\U0001F44D\U0001F3FD":                       1,
		"珊瑚":                                         2,
		"산호":                                         2,
		"ปะการัง":                                    6,
		"plain":                                      0,
	} {
		line := bundledOnly.Set(text, false)
		if got := boxCount(line); got != want {
			t.Errorf("%q has %d boxes, want %d", text, got, want)
		}
		if said(line) != text {
			t.Errorf("%q says %q", text, said(line))
		}
	}
}

func TestClean(t *testing.T) {
	for text, want := range map[string]string{
		"plain":                             "plain",
		"a\nb\tc\r\nd":                      "a b c  d",
		"a\x00\x1b[2Jb":                     "a[2Jb",
		"a\u202egnp.exe":                    "agnp.exe",
		"\xff\xfe":                          "\ufffd",
		"a\xc3":                             "a\ufffd",
		"e\u0301":                           "é",
		"\ufeffx\u200b":                     "x",
		"a\ufffcb\ufdd0":                    "ab",
		"\u0645\u200c\u0646":                "\u0645\u200c\u0646",
		"a" + strings.Repeat("\u0335", 100): "a" + strings.Repeat("\u0335", mostMarks),
	} {
		if got := Clean(text); got != want {
			t.Errorf("%q becomes %q, want %q", text, got, want)
		}
	}
}

// Levels by hand after UAX 9: letters that run to the left have level 1, digits
// among them 2, and what stands beside letters of the other direction theirs.
func TestLevels(t *testing.T) {
	for _, c := range []struct{ text, levels string }{
		{"car אב in", "000011000"},
		{"abc", "000"},
		{"אב", "11"},
		{"אב 12 גד", "11122111"},
		{"ab אב 12 cd", "00011122000"},
		{"אב abc 12", "111222222"},
	} {
		var got strings.Builder
		for _, level := range levelsOf([]rune(c.text)) {
			got.WriteByte('0' + level)
		}
		if got.String() != c.levels {
			t.Errorf("%q has levels %s, want %s", c.text, got.String(), c.levels)
		}
	}
}

// Runs stand from left to right as they are seen.
func TestVisualOrder(t *testing.T) {
	line := bundledOnly.Set("ab אב 12 cd", false)
	var texts []string
	for _, r := range line.Runs {
		texts = append(texts, strings.TrimSpace(r.Text))
	}
	if got := strings.Join(texts, "|"); got != "ab 12|אב|cd" {
		t.Errorf("seen as %s", got)
	}
	texts = nil
	for _, r := range bundledOnly.Set("אב abc 珊 12", false).Runs {
		texts = append(texts, strings.TrimSpace(r.Text))
	}
	if got := strings.Join(texts, "|"); got != "abc|珊|12|אב" {
		t.Errorf("seen as %s", got)
	}
}

// Letters of a script that this machine has a font for are shaped, none is a box;
// Arabic letters join, so that a word is of other shapes than its letters apart.
func TestMachineScripts(t *testing.T) {
	for lang, text := range map[string]string{
		"ar": "مرجان", "he": "אלמוג", "th": "ปะการัง", "ja": "サンゴ珊瑚", "ko": "산호", "zh-cn": "珊瑚",
	} {
		out, err := exec.Command("fc-list", ":lang="+lang, "file").Output()
		has := err == nil && len(strings.TrimSpace(string(out))) > 0
		line := Machine().Set(text, false)
		if has && boxCount(line) > 0 {
			t.Errorf("%s: %d boxes though the machine has a font", lang, boxCount(line))
		}
		if lang != "ar" || !has {
			continue
		}
		apart := 0
		for _, r := range text {
			apart += segments(Machine().Set(string(r), false))
		}
		if segments(line) == apart {
			t.Errorf("the letters do not join: %d segments", apart)
		}
	}
}

func segments(l Line) int {
	n := 0
	for _, r := range l.Runs {
		n += len(r.Outline)
	}
	return n
}

func TestShorten(t *testing.T) {
	if got := said(bundledOnly.Shorten("calcium", false, 10)); got != "calcium" {
		t.Errorf("what fits becomes %q", got)
	}
	for _, width := range []float64{0, 0.5, 1, 1.5, 2, 2.5, 3, 3.5, 4, 4.5, 5, 5.5, 6, 6.5, 7, 7.7} {
		line := bundledOnly.Shorten("The quick brown fox", false, width)
		longer := ""
		if text := strings.TrimSuffix(said(line), "…"); text != "" {
			longer = "The quick brown fox"[:len(text)+2] + "…"
		}
		if line.Width > width || width > 1 && !strings.HasSuffix(said(line), "…") {
			t.Errorf("%q is %v wide of %v", said(line), line.Width, width)
		}
		if longer != "" && bundledOnly.Measure(longer, false) <= width {
			t.Errorf("%q has room for more in %v", said(line), width)
		}
	}
	if got := said(bundledOnly.Shorten(strings.Repeat("\U0001F468\u200d", 4000), false, 5)); len(got) > 5000 {
		t.Errorf("a cluster without end stays %d bytes", len(got))
	}
}

func TestEndlessClustersAreDivided(t *testing.T) {
	if ends := clusterEnds(strings.Repeat("\u1100", 100)); len(ends) != 4 || ends[3] != 300 {
		t.Errorf("ends %v", ends)
	}
}

// Nothing but blanks is lost in wrapping, every line fits, however long the words.
func TestWrap(t *testing.T) {
	if got := bundledOnly.Wrap("one two\nthree", false, 4); !slices.Equal(got, []string{"one two", "three"}) {
		t.Errorf("%q", got)
	}
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOf(rapid.OneOf(rapid.RuneFrom([]rune("ab é 珊-\n\u0645")), rapid.Rune())).Draw(t, "text")
		width := rapid.Float64Range(2, 40).Draw(t, "width")
		var got strings.Builder
		for _, line := range bundledOnly.Wrap(text, false, width) {
			got.WriteString(line)
			if w := bundledOnly.Measure(line, false); w > width+0.01 && utf8.RuneCountInString(line) > longestCluster {
				t.Fatalf("%q is %v wide of %v", line, w, width)
			}
		}
		var want strings.Builder
		for paragraph := range strings.FieldsFuncSeq(text,
			func(r rune) bool { return r == '\n' || r == '\r' || r == '\u2028' || r == '\u2029' || r == '\u0085' }) {
			want.WriteString(Clean(paragraph))
		}
		bare := func(s string) string { return strings.ReplaceAll(s, " ", "") }
		if bare(got.String()) != bare(want.String()) {
			t.Fatalf("%q became %q", bare(want.String()), bare(got.String()))
		}
	})
}

// Any string can be set, and is as wide as its runs.
func FuzzSet(f *testing.F) {
	for _, text := range []string{"a", "\xff", "\U0001F420", "مرجان 12 abc", "e\u0301\u0301", "\u202e\u2066", "\U0010ffff\ufffe\x00"} {
		f.Add(text, true)
		f.Add(text, false)
	}
	fonts := Bundled()
	f.Fuzz(func(t *testing.T, text string, bold bool) {
		line := fonts.Set(text, bold)
		sum := 0.0
		for _, r := range line.Runs {
			sum += r.Width
			if !utf8.ValidString(r.Text) {
				t.Fatalf("%q is no UTF-8", r.Text)
			}
		}
		if math.IsNaN(sum) || math.Abs(sum-line.Width) > 1e-6*(1+math.Abs(sum)) {
			t.Fatalf("%v wide, its runs %v", line.Width, sum)
		}
		if short := fonts.Shorten(text, bold, 6); short.Width > 6 {
			t.Fatalf("%v wide of 6", short.Width)
		}
		for _, l := range fonts.Wrap(text, bold, 6) {
			if strings.ContainsAny(l, "\n\r") {
				t.Fatalf("%q is no line", l)
			}
		}
	})
}

// What is looked up in the tables of a face is what the shaper finds in it: the same
// signs, as wide, in text and second face.
func TestTablesAreThoseOfTheShaper(t *testing.T) {
	for _, w := range Bundled().weights {
		for r := range rune(0x10000) {
			want := sign{}
			for i, bundled := range w.bundled {
				if glyph, ok := bundled().NominalGlyph(r); ok && glyph != 0 {
					want = sign{FaceText + Face(i), float64(bundled().HorizontalAdvance(glyph)) / float64(bundled().Upem())}
					break
				}
			}
			if got := w.sign(r); got != want {
				t.Fatalf("%q (bold: %v) is %+v, the shaper has %+v", r, w.bold, got, want)
			}
		}
	}
}
