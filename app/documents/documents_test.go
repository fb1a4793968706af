package documents

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/csv"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"weirkeeper/app/apptest"
	"weirkeeper/app/chart"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

var (
	first = time.Date(2024, 3, 10, 8, 0, 0, 0, time.UTC)
	made  = time.Date(2026, 3, 10, 8, 2, 0, 0, time.UTC)
)

// Per-kilogram units are shown by the water of the time: 2300 µeq/kg at 12 PSU are
// 2.3139 meq/L (1.00606 kg/L at 25 °C by EOS-80), which another salinity would show
// otherwise.
func TestHistoryShowsItsOwnWater(t *testing.T) {
	h := history(t, 2)
	h.Units = map[chem.Analyte]chem.Unit{chem.Alkalinity: chem.UeqKg}
	at := first.AddDate(0, 0, 1)
	h.Readings = append(h.Readings,
		tanks.Reading{ID: 90, System: 4, Analyte: chem.Salinity, At: at.Add(-time.Hour), Value: 12},
		tanks.Reading{ID: 91, System: 4, Analyte: chem.Alkalinity, At: at, Value: 2.3139, Typed: "2300", Unit: chem.UeqKg},
		tanks.Reading{ID: 92, System: 4, Analyte: chem.Salinity, At: at.Add(time.Hour), Value: 35},
		tanks.Reading{ID: 93, System: 4, Analyte: chem.Alkalinity, At: at.Add(2 * time.Hour), Value: 2.3139, Typed: "2261",
			Unit: chem.UeqKg})
	if got := h.value(chem.Alkalinity, 2.3139, at).String(); got != "2300" {
		t.Errorf("shown as %s", got)
	}
	if got := h.value(chem.Alkalinity, 2.3139, at.Add(3*time.Hour)).String(); got != "2261" {
		t.Errorf("later shown as %s", got)
	}
	var out bytes.Buffer
	if err := WriteCSV(&out, h); err != nil || !strings.Contains(out.String(), "alkalinity,,2300,µeq/kg,") ||
		!strings.Contains(out.String(), "alkalinity,,2261,µeq/kg,") {
		t.Errorf("%v\n%s", err, out.String())
	}
	if got := h.changesList([]tanks.Delta{{Analyte: chem.Alkalinity, Change: 1.00606}}, at).String(); got != "Alk +1000 µeq/kg" {
		t.Errorf("a change is shown as %q", got)
	}
}

// history is an invented record of some days.
func history(t testing.TB, days int) History {
	t.Helper()
	zone, err := time.LoadLocation("Europe/Paris")
	if err != nil {
		t.Fatal(err)
	}
	h := History{
		Room: tanks.Room{Name: "Überlinger Raum", Zone: "Europe/Paris", Demo: true},
		System: tanks.System{ID: 4, Code: "F2", Name: "Frag rack, south", Kind: tanks.Marine, Stated: 341, StatedUncertainty: 9,
			Opened: first},
		Bands: []tanks.Band{{Analyte: chem.Calcium, Low: 400, Aim: 420, High: 440},
			{Analyte: chem.Phosphate, Low: 0.02, Aim: 0.05, High: 0.1}},
		Methods: map[tanks.MethodID]tanks.Method{
			1: {ID: 1, Name: "Calcium titration", Kind: tanks.Kit, Analyte: chem.Calcium, Unit: chem.MgL, Accuracy: 10},
			2: {ID: 2, Name: "=Phosphate photometer", Kind: tanks.Photometer, Analyte: chem.Phosphate, Unit: chem.MgL, Accuracy: 0.02},
		},
		Products: map[tanks.ProductID]tanks.Product{3: {ID: 3, Name: "Calcium stock", Contents: chem.Product{Form: chem.Liquid}}},
		From:     first, To: made, Made: made, Zone: zone,
	}
	facts := board.Facts{Now: made, Systems: []tanks.System{h.System}, Bands: map[tanks.SystemID][]tanks.Band{4: h.Bands}}
	for _, m := range h.Methods {
		facts.Methods = append(facts.Methods, m)
	}
	h.Judge = board.New(facts).JudgeReading
	for d := range days {
		at := first.AddDate(0, 0, d)
		h.Readings = append(h.Readings, tanks.Reading{ID: tanks.ReadingID(2*d + 1), System: 4, Analyte: chem.Calcium, At: at,
			Value: 415 + float64(d%9), Typed: "x", Unit: chem.MgL, Method: 1, Person: "JM"})
		h.Readings = append(h.Readings, tanks.Reading{ID: tanks.ReadingID(2*d + 2), System: 4, Analyte: chem.Phosphate,
			At: at.Add(time.Minute), Value: 0.02, Limit: tanks.Below, Typed: "<0.02", Unit: chem.MgL, Method: 2})
	}
	h.Readings[0].Note = "+checked \"twice\"\nby a second kit"
	h.Readings[2].Status = tanks.Withdrawn
	h.Additions = []tanks.Addition{{ID: 1, System: 4, Product: 3, At: first.Add(time.Hour), Amount: 25,
		Changes: []tanks.Delta{{Analyte: chem.Calcium, Change: 5.4}, {Analyte: chem.Sodium, Change: -3}}, Person: "@pump"}}
	h.Changes = []tanks.WaterChange{{ID: 1, System: 4, At: first.Add(2 * time.Hour), Litres: 34, Share: 0.1,
		Water: []tanks.Level{{Analyte: chem.Calcium, Value: 430}}}}
	h.Observations = []tanks.Observation{{ID: 1, System: 4, At: first.Add(3 * time.Hour), Text: "-2 °C by the window; Δ ≤ 1 K −"}}
	h.Amendments = []tanks.Amendment{
		{Entity: "reading", ID: 1, At: first.Add(4 * time.Hour), Person: "JM", Reason: "digits swapped",
			Before: `{"Analyte":5,"At":"2024-03-10T08:00:00Z","Value":451}`},
		{Entity: "reading", ID: 3, At: first.Add(5 * time.Hour), Person: "JM", Reason: "kit too old", Before: `{"Value":416}`},
	}
	f := chart.Figure{Title: "F2", From: first, To: made, Zone: zone,
		Panels: []chart.Panel{{Name: "Calcium", Unit: "mg/L", Band: &chart.Band{Low: 400, Aim: 420, High: 440}}}}
	for _, r := range h.Readings {
		if r.Analyte == chem.Calcium {
			f.Panels[0].Points = append(f.Panels[0].Points, chart.Point{At: r.At, Value: r.Value, State: chart.StateWithin})
		}
	}
	h.Figures = []chart.Figure{f}
	return h
}

func TestCSV(t *testing.T) {
	var out bytes.Buffer
	h := history(t, 3)
	if err := WriteCSV(&out, h); err != nil {
		t.Fatal(err)
	}
	text := out.String()
	if !strings.HasPrefix(text, "\ufefftime,kind,system,") || !strings.Contains(text, "\r\n") {
		t.Errorf("it begins %q", text[:min(60, len(text))])
	}
	rows, err := csv.NewReader(strings.NewReader(strings.TrimPrefix(text, "\ufeff"))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != 1+6+1+1+1+2 {
		t.Fatalf("%d rows", len(rows))
	}
	head := map[string]int{}
	for i, name := range rows[0] {
		head[name] = i
	}
	get := func(row []string, name string) string { return row[head[name]] }
	one := rows[1]
	for name, want := range map[string]string{
		"time": "2024-03-10T09:00:00+01:00", "kind": "reading", "subject": "calcium", "value": "415", "unit": "mg/L",
		"canonical_value": "415",
		"state":           "within", "method": "Calcium titration", "note": "'+checked \"twice\"\nby a second kit", "status": "amended",
		"person": "JM",
	} {
		if get(one, name) != want {
			t.Errorf("%s is %q, want %q", name, get(one, name), want)
		}
	}
	kinds, statuses := map[string]int{}, map[string]int{}
	for _, r := range rows[1:] {
		kinds[get(r, "kind")]++
		statuses[get(r, "status")]++
		for i, cell := range r {
			if cell != "" && strings.ContainsRune("=+@\t\r-", rune(cell[0])) && rows[0][i] != "value" && rows[0][i] != "canonical_value" {
				t.Errorf("a spreadsheet would run %q", cell)
			}
		}
	}
	if kinds["reading"] != 6 || kinds["addition"] != 1 || kinds["water change"] != 1 || kinds["note"] != 1 || kinds["amendment"] != 2 {
		t.Errorf("kinds %v", kinds)
	}
	if statuses["withdrawn"] != 1 || statuses["amended"] != 1 {
		t.Errorf("statuses %v", statuses)
	}
	below := rows[2]
	if get(below, "sign") != "<" || get(below, "value") != "0.02" && get(below, "value") != "0.020" ||
		get(below, "method") != "'=Phosphate photometer" {
		t.Errorf("the bound is %q", below)
	}
}

func TestNegativeNumbersStayNumbers(t *testing.T) {
	h := history(t, 2)
	h.Readings = []tanks.Reading{{ID: 1, Analyte: chem.Temperature, At: first, Value: -1.2}}
	var out bytes.Buffer
	if err := WriteCSV(&out, h); err != nil || !strings.Contains(out.String(), ",-1.2,") {
		t.Errorf("%v\n%s", err, out.String())
	}
}

func pdfOf(t testing.TB, h History) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := WriteHandover(t.Context(), &out, h, []byte("time\r\n"), ignored); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func TestPDFIsTheSameEachTime(t *testing.T) {
	if a, b := pdfOf(t, history(t, 40)), pdfOf(t, history(t, 40)); sha256.Sum256(a) != sha256.Sum256(b) {
		t.Error("two PDFs of one history differ")
	}
}

func TestPDFSaysEverything(t *testing.T) {
	text := apptest.PDFText(t, pdfOf(t, history(t, 200)))
	for _, want := range []string{
		"F2 Frag rack, south", "Überlinger Raum", "invented demonstration data", "341 ± 9 L", "1 corrected, 1 withdrawn",
		"digits swapped. Before: Calcium 451 mg/L of 10 Mar 2024, 09:00", "kit too old",
		"Calcium titration", "<0.02", "Calcium stock", "34", "-2 °C by the window; Δ ≤ 1 K −", "veterinarian", "Overview",
	} {
		if !strings.Contains(strings.Join(strings.Fields(text), " "), strings.Join(strings.Fields(want), " ")) {
			t.Errorf("the PDF does not say %q", want)
		}
	}
	if strings.ContainsRune(text, '\ufffd') {
		t.Error("the PDF has a glyph that cannot be written")
	}
	pages := strings.Count(text, "\f")
	for p := 1; p <= pages; p++ {
		if want := fmt.Sprintf("Page %d of %d", p, pages); !strings.Contains(text, want) {
			t.Errorf("%q is missing", want)
		}
	}
	if pages < 6 {
		t.Errorf("%d pages", pages)
	}
}

func TestPackage(t *testing.T) {
	dir := t.TempDir()
	h := history(t, 5)
	paths, err := WritePackage(t.Context(), dir, h, ignored)
	if err != nil || len(paths) != 3 {
		t.Fatalf("%v, %v", paths, err)
	}
	data, err := os.ReadFile(paths[2])
	if err != nil {
		t.Fatal(err)
	}
	var m Manifest
	if err := json.Unmarshal(data, &m); err != nil || !m.Demo || len(m.Files) != 2 {
		t.Fatalf("%s, %v", data, err)
	}
	for i, f := range m.Files {
		content, err := os.ReadFile(paths[i])
		if err != nil {
			t.Fatal(err)
		}
		sum := sha256.Sum256(content)
		if hex.EncodeToString(sum[:]) != f.SHA256 || f.Bytes != len(content) || f.Name != filepath.Base(paths[i]) {
			t.Errorf("%+v does not fit the file", f)
		}
	}
	again, err := WritePackage(t.Context(), dir, h, ignored)
	if err != nil || filepath.Dir(again[0]) == filepath.Dir(paths[0]) || !strings.HasSuffix(filepath.Dir(again[0]), "(2)") {
		t.Errorf("written again to %v, %v", again, err)
	}
	if entries, err := os.ReadDir(dir); err != nil || len(entries) != 2 {
		t.Errorf("the folder holds %v, %v", entries, err)
	}
}

func TestPackageLeavesNothingHalf(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "missing")
	if paths, err := WritePackage(t.Context(), dir, history(t, 2), ignored); err == nil {
		t.Errorf("written to %v", paths)
	}
	broken := history(t, 2)
	broken.Figures[0].To = broken.Figures[0].From
	good := t.TempDir()
	if _, err := WritePackage(t.Context(), good, broken, ignored); err == nil {
		t.Error("a figure that cannot be drawn is taken")
	}
	if entries, err := os.ReadDir(good); err != nil || len(entries) != 0 {
		t.Errorf("the folder holds %v, %v", entries, err)
	}
}

// Stopped anywhere, a handover writes nothing; how far it is only grows.
func TestPackageCanBeStopped(t *testing.T) {
	h := history(t, 5)
	var told []float64
	if _, err := WritePackage(t.Context(), t.TempDir(), h, func(share float64) { told = append(told, share) }); err != nil {
		t.Fatal(err)
	}
	if len(told) < 4 || !slices.IsSorted(told) || told[0] <= 0 || told[len(told)-1] != 1 {
		t.Fatalf("it told %v", told)
	}
	for at := range told {
		ctx, stop := context.WithCancel(t.Context())
		dir, n := t.TempDir(), 0
		_, err := WritePackage(ctx, dir, h, func(float64) {
			if n == at {
				stop()
			}
			n++
		})
		stop()
		if entries, _ := os.ReadDir(dir); !errors.Is(err, context.Canceled) || len(entries) != 0 || (n > at+1) {
			t.Errorf("stopped after part %d: %d parts, %v, %v", at, n, entries, err)
		}
	}
}

func ignored(float64) {}

func TestRunSheet(t *testing.T) {
	sheet := RunSheet{Ticked: Ticked{Room: "Our room", Made: made}, Cautions: []words.Text{"Gets hot as it dissolves."}}
	for s := range 20 {
		for range 4 {
			sheet.Items = append(sheet.Items, RunLine{System: fmt.Sprintf("S%02d  Rack", s), Product: "Calcium stock",
				Amount: words.T("%d mL", 100+s), Due: made, Purpose: "Calcium"})
		}
	}
	var out bytes.Buffer
	if err := WriteRunSheet(&out, sheet); err != nil {
		t.Fatal(err)
	}
	text := apptest.PDFText(t, out.Bytes())
	for s := range 20 {
		// A system and its four doses stand on one page.
		pages := 0
		for _, page := range strings.Split(text, "\f") {
			amounts := strings.Count(page, fmt.Sprintf("%d mL", 100+s))
			if strings.Contains(page, fmt.Sprintf("S%02d", s)) {
				pages++
				if amounts != 4 {
					t.Errorf("the page of S%02d has %d of its doses", s, amounts)
				}
			} else if amounts > 0 {
				t.Errorf("doses of S%02d stand on another page", s)
			}
		}
		if pages != 1 {
			t.Errorf("S%02d stands on %d pages", s, pages)
		}
	}
	if !strings.Contains(text, "Gets hot as it dissolves.") || !strings.Contains(text, "Follow the label") {
		t.Error("the cautions are missing")
	}
}

// Ten years of a busy system.
func BenchmarkHandover(b *testing.B) {
	h := history(b, 3650)
	for range 7 {
		h.Figures = append(h.Figures, h.Figures[0])
	}
	dir := b.TempDir()
	for b.Loop() {
		if _, err := WritePackage(b.Context(), dir, h, ignored); err != nil {
			b.Fatal(err)
		}
	}
}

// What was taken back is said, and is neither a correction nor a withdrawal.
func TestTakenBackIsSaid(t *testing.T) {
	h := history(t, 3)
	if before := h.honesty(); strings.Contains(before.String(), "Taken back") ||
		!strings.Contains(before.String(), "1 corrected, 1 withdrawn") {
		t.Errorf("it says %q", before)
	}
	h.Amendments = append(h.Amendments, tanks.Amendment{Entity: "reading", At: h.From, Person: "JM", Reason: "taken back",
		Before: `{"Value":419}`})
	if after := h.honesty(); !strings.Contains(after.String(), "1 corrected, 1 withdrawn") ||
		!strings.Contains(after.String(), "were made: 1 more") {
		t.Errorf("it says %q", after)
	}
	var out bytes.Buffer
	if err := WriteCSV(&out, h); err != nil || !strings.Contains(out.String(), "reading taken back") {
		t.Errorf("the list does not say it: %v", err)
	}
}

// What a newer version of the program measured is in the handover, as it was typed.
func TestNewerAnalyteIsHandedOver(t *testing.T) {
	h := history(t, 2)
	h.Readings = append(h.Readings, tanks.Reading{ID: 99, System: 4, Analyte: 210, At: first, Value: 4.5, Typed: "4,5", Unit: "mg/L"})
	var out bytes.Buffer
	if err := WriteCSV(&out, h); err != nil || !strings.Contains(out.String(), `,analyte-210,,"4,5",mg/L,4.5,,`) {
		t.Errorf("%v\n%s", err, out.String())
	}
	text := apptest.PDFText(t, handover(t, h))
	if strings.Count(text, "analyte 210, of") < 2 || !strings.Contains(text, "4.500") {
		t.Errorf("it is not in the overview and the readings\n%s", text)
	}
}

// A weigh list has each step in its order with its amount and what to heed, and goes
// on over several pages.
func TestWeighList(t *testing.T) {
	list := WeighList{Ticked: Ticked{Room: "Our room", Demo: true, Made: made}, Water: "180.0 L"}
	for i := range 30 {
		list.Steps = append(list.Steps, WeighStep{Title: words.T("Salt %d", i), Amount: words.T("%d.5 g", i),
			Notes: []words.Text{"Alone in its jug."}})
	}
	var out bytes.Buffer
	if err := WriteWeighList(&out, list); err != nil {
		t.Fatal(err)
	}
	text := apptest.PDFText(t, out.Bytes())
	last := -1
	for i := range 30 {
		at := strings.Index(text, fmt.Sprintf("%d  Salt %d", i+1, i))
		if at < 0 {
			at = strings.Index(text, fmt.Sprintf("Salt %d", i))
		}
		if at <= last || !strings.Contains(text, fmt.Sprintf("%d.5 g", i)) {
			t.Fatalf("step %d is not in its place:\n%s", i+1, text)
		}
		last = at
	}
	if strings.Count(text, "Alone in its jug.") != 30 || strings.Count(text, "\f") < 2 || !strings.Contains(text, "180.0 L") ||
		!strings.Contains(text, "invented demonstration data") || !strings.Contains(text, "Follow the label") {
		t.Errorf("something is missing:\n%s", text)
	}
}
