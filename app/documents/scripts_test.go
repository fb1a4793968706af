package documents

import (
	"bytes"
	"context"
	"image"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"weirkeeper/app/apptest"
	"weirkeeper/app/chart"
	"weirkeeper/app/typeset"
	"weirkeeper/assets/words"
	"weirkeeper/tanks"
)

// scripts are names in the scripts of the design, and pictures.
var scripts = []struct{ name, text string }{
	{"Latin", "Überlauf Čajovna Đặc"}, {"Greek", "Αλάτι Κιλκίς"}, {"Cyrillic", "Соль Ёжик Ґанок"}, {"Han", "珊瑚礁水槽"},
	{"kana", "サンゴのみずそう"}, {"Hangul", "산호 수조"}, {"Arabic", "حوض المرجان 12"}, {"Hebrew", "אלמוגים 7 ליטר"}, {"Thai", "ตู้ปะการังน้ำเค็ม"},
	{"pictures", "fish \U0001F420 and \U0001F468\u200d\U0001F469\u200d\U0001F467"}, {"above the first plane", "\U00020000\U0001D538"},
	{"broken", "bad \xff\xc3 bytes\x00\x1b"}, {"steering", "a\u202eb\u2066c"},
}

// lettered is a handover with a name of each script everywhere where people type.
func lettered(t testing.TB, fonts *typeset.Fonts) History {
	h := history(t, 3)
	h.Fonts = fonts
	h.Observations, h.Readings = nil, nil
	var all []string
	for n, s := range scripts {
		at := first.Add(time.Duration(n) * time.Hour)
		all = append(all, s.text)
		h.Observations = append(h.Observations, tanks.Observation{ID: tanks.NoteID(n + 1), At: at, Person: s.text, Text: s.name + ": " +
			s.text})
		method := tanks.MethodID(10 + n)
		h.Methods[method] = tanks.Method{ID: method, Name: s.text, Analyte: 5, Unit: "mg/L"}
		h.Readings = append(h.Readings, tanks.Reading{ID: tanks.ReadingID(n + 1), Analyte: 5, At: at, Value: 400 + float64(n), Unit: "mg/L",
			Method: method, Person: s.text, Note: s.text})
	}
	h.System.Name, h.System.Code = strings.Join(all, " "), "\U0001F420"
	h.Room.Name = scripts[3].text
	return h
}

func handover(t testing.TB, h History) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := WriteHandover(context.Background(), &out, h, []byte("a,b\r\n"), func(float64) {}); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// A handover in any script is written; its text is found by another program's
// reader, in the order in which it is read.
func TestScriptsInHandover(t *testing.T) {
	for name, fonts := range map[string]*typeset.Fonts{"bundled": typeset.Bundled(), "machine": typeset.Machine()} {
		t.Run(name, func(t *testing.T) {
			text := apptest.PDFText(t, handover(t, lettered(t, fonts)))
			for _, s := range scripts[:3] {
				if !strings.Contains(text, s.name+": "+s.text) {
					t.Errorf("%s: %q is not found", s.name, s.text)
				}
			}
			for _, part := range []string{"珊瑚礁", "サンゴ", "산호"} {
				if !strings.Contains(text, part) {
					t.Errorf("%q is not found", part)
				}
			}
		})
	}
}

func TestScriptsOnRunSheet(t *testing.T) {
	r := RunSheet{Ticked: Ticked{Room: "\U0001F420", Made: made, Fonts: typeset.Bundled()}}
	for _, s := range scripts {
		r.Items = append(r.Items, RunLine{System: s.text, Product: s.text, Amount: "25 mL", Due: made, Purpose: words.Text(s.name)})
	}
	var out bytes.Buffer
	if err := WriteRunSheet(&out, r); err != nil {
		t.Fatal(err)
	}
	text := apptest.PDFText(t, out.Bytes())
	for _, s := range scripts[:3] {
		if strings.Count(text, s.text) < 2 {
			t.Errorf("%q is not found twice", s.text)
		}
	}
}

// The title of a document is that of the system, also above the first plane.
func TestTitleKeepsPictures(t *testing.T) {
	h := history(t, 2)
	h.System.Name = "Reef \U0001F420 \xff"
	path := filepath.Join(t.TempDir(), "x.pdf")
	if err := os.WriteFile(path, handover(t, h), 0o644); err != nil {
		t.Fatal(err)
	}
	info, err := exec.Command("pdfinfo", "-enc", "UTF-8", path).Output()
	if err != nil || !strings.Contains(string(info), "Reef \U0001F420 \ufffd") {
		t.Errorf("%v\n%s", err, info)
	}
}

// Charts draw the same letters in every output, also where no font has them.
func TestScriptsOnCharts(t *testing.T) {
	f := history(t, 3).Figures[0]
	f.Fonts = typeset.Bundled()
	for _, s := range scripts {
		f.Title, f.Subtitle, f.Panels[0].Verdict = words.Text(s.text), words.Text(s.text), words.Text(s.text)
		img, err := chart.Draw(f, chart.Light, 600, 300, 1)
		if err != nil || dark(img, image.Rect(0, 0, 600, 30)) == 0 {
			t.Errorf("%s: %v, or nothing is drawn", s.name, err)
		}
		var svg, pdf bytes.Buffer
		if err := chart.WriteSVG(&svg, f, chart.Light, 600, 300); err != nil || !utf8.Valid(svg.Bytes()) {
			t.Errorf("%s as SVG: %v", s.name, err)
		}
		if err := WriteFigure(&pdf, f, made, 600, 300); err != nil {
			t.Errorf("%s as PDF: %v", s.name, err)
		}
	}
}

func dark(img image.Image, where image.Rectangle) int {
	n := 0
	for y := where.Min.Y; y < where.Max.Y; y++ {
		for x := where.Min.X; x < where.Max.X; x++ {
			if r, _, _, _ := img.At(x, y).RGBA(); r < 0x6000 {
				n++
			}
		}
	}
	return n
}

// A long note costs what it is long, and all of it is on paper.
func TestLongNoteIsWhole(t *testing.T) {
	h := history(t, 2)
	h.Observations[0].Text = strings.Repeat("x", 20_000) + "END"
	h.Readings[0].Note = strings.Repeat("word ", 4_000)
	text := apptest.PDFText(t, handover(t, h))
	if !strings.Contains(text, "END") || strings.Count(text, "x") < 20_000 {
		t.Errorf("the note has %d of 20000 letters", strings.Count(text, "x"))
	}
}

// More doses of one system than a page holds go on to the next.
func TestManyDosesOfOneSystem(t *testing.T) {
	r := RunSheet{Ticked: Ticked{Made: made}}
	for range 60 {
		r.Items = append(r.Items, RunLine{System: "F1", Product: "Stock", Amount: "1 mL", Due: made})
	}
	var out bytes.Buffer
	if err := WriteRunSheet(&out, r); err != nil {
		t.Fatal(err)
	}
	pages := strings.Split(apptest.PDFText(t, out.Bytes()), "\f")
	if len(pages) < 4 || strings.Count(pages[0], "Stock") != runRows {
		t.Errorf("%d pages, %d doses on the first", len(pages)-1, strings.Count(pages[0], "Stock"))
	}
}

// Documents take any strings.
func FuzzDocuments(f *testing.F) {
	for _, s := range scripts {
		f.Add(s.text, s.name)
	}
	f.Add("\x1dT\x00%s", "{nb}")
	h, fonts := history(f, 2), typeset.Bundled()
	h.Fonts, h.Figures = fonts, nil
	f.Fuzz(func(t *testing.T, a, b string) {
		h.System.Name, h.System.Code, h.Room.Name = a, b, a
		h.Readings[0].Note, h.Readings[1].Person, h.Observations[0].Text = a, b, a+b
		h.Amendments[0].Reason, h.Amendments[0].Before = words.Text(a), b
		if err := WriteHandover(context.Background(), discard{}, h, []byte(a), func(float64) {}); err != nil {
			t.Fatal(err)
		}
		r := RunSheet{Ticked: Ticked{Room: a, Made: made, Fonts: fonts}, Items: []RunLine{{System: a, Product: b, Amount: words.Text(a),
			Purpose: words.Text(b)}}}
		if err := WriteRunSheet(discard{}, r); err != nil {
			t.Fatal(err)
		}
	})
}

type discard struct{}

func (discard) Write(p []byte) (int, error) { return len(p), nil }
