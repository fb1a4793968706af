package widgets

import (
	"image/color"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/theme"

	"weirkeeper/app/apptest"
	"weirkeeper/app/say"
)

func TestFormFaults(t *testing.T) {
	code, volume := NewTextEntry("F2"), NewNumberEntry("-3")
	form := NewForm(Field{Name: "code", Label: "Code", Input: code}, Field{Name: "volume", Label: "Volume", Input: volume})
	w := apptest.Window(t, form, 400, 300)
	form.ShowFaults([]Fault{{"volume", "The volume is negative", "give the litres"}, {"elsewhere", "The room is closed.", ""}})
	if got := form.FaultOf("volume"); got != "The volume is negative: give the litres." {
		t.Errorf("fault %q", got)
	}
	if form.FaultOf("code") != "" || len(form.general.Objects) != 1 {
		t.Errorf("code has %q, %d general faults", form.FaultOf("code"), len(form.general.Objects))
	}
	if w.Canvas().Focused() != fyne.Focusable(volume) {
		t.Errorf("the keyboard is on %T", w.Canvas().Focused())
	}
	if volume.Text != "-3" {
		t.Errorf("what was typed became %q", volume.Text)
	}
	form.ShowFaults(nil)
	if form.FaultOf("volume") != "" || len(form.general.Objects) != 0 {
		t.Error("faults stay after they are cleared")
	}
}

func TestDialogKeys(t *testing.T) {
	back := NewSecondary("Back", nil)
	w := apptest.Window(t, back, 600, 400)
	name := NewTextEntry("")
	accept, confirmed, closed := false, 0, 0
	open := func() {
		ShowDialog(
			w,
			Dialog{Title: "New room", Content: NewForm(Field{Name: "name", Label: "Name", Input: name}), Confirm: "Create", Focus: name,
				OnConfirm: func() bool { confirmed++; return accept }, OnClosed: func() { closed++ }},
		)
	}
	w.Canvas().Focus(back)
	open()
	if w.Canvas().Focused() != fyne.Focusable(name) || !DialogOpen(w) {
		t.Fatalf("the keyboard is on %T", w.Canvas().Focused())
	}
	apptest.Type(t, w.Canvas(), "Saltmarsh")
	apptest.Key(t, w.Canvas(), fyne.KeyReturn)
	if confirmed != 1 || !DialogOpen(w) || name.Text != "Saltmarsh" {
		t.Fatalf("a refused Enter: confirmed %d, open %v, text %q", confirmed, DialogOpen(w), name.Text)
	}
	accept = true
	apptest.Key(t, w.Canvas(), fyne.KeyReturn)
	if confirmed != 2 || DialogOpen(w) || closed != 1 || w.Canvas().Focused() != fyne.Focusable(back) {
		t.Fatalf("Enter: confirmed %d, open %v, closed %d, keyboard on %T", confirmed, DialogOpen(w), closed, w.Canvas().Focused())
	}
	open()
	apptest.Key(t, w.Canvas(), fyne.KeyEscape)
	if confirmed != 2 || DialogOpen(w) || closed != 2 {
		t.Fatalf("Esc: confirmed %d, open %v, closed %d", confirmed, DialogOpen(w), closed)
	}
	open()
	apptest.Key(t, w.Canvas(), fyne.KeyTab, fyne.KeyTab, fyne.KeySpace)
	if DialogOpen(w) || confirmed != 2 {
		t.Errorf("Tab twice, Space on Cancel: open %v, confirmed %d", DialogOpen(w), confirmed)
	}
}

// A second dialog waits for the first and then has the keyboard.
func TestDialogsQueue(t *testing.T) {
	w := apptest.Window(t, NewSecondary("Back", nil), 600, 400)
	ShowMessage(w, "First", NewWrapped("one"))
	first := openDialog(w.Canvas())
	ShowQuestion(w, "Second", "two", "Do it", func() {})
	if n := len(w.Canvas().Overlays().List()); n != 1 || openDialog(w.Canvas()) != first {
		t.Fatalf("%d dialogs are open", n)
	}
	apptest.Key(t, w.Canvas(), fyne.KeyEscape)
	second := openDialog(w.Canvas())
	if second == nil || second.spec.Title != "Second" {
		t.Fatal("the second dialog did not open")
	}
	apptest.Key(t, w.Canvas(), fyne.KeyEscape)
	if DialogOpen(w) {
		t.Error("a dialog is still open")
	}
}

// named are options that are their own names.
func named(names ...string) []Option[string] {
	return OptionsOf(names, func(name string) string { return name })
}

// Two values of one name can both be chosen, and it is seen which one is.
func TestChoiceOfTwoWithOneName(t *testing.T) {
	c := NewChoice(
		[]Option[int]{{4, "Calcium chloride", "5 L, liquid"}, {9, "Calcium chloride", "1 kg, dry"}, {11, "Soda ash", "1 kg, dry"}},
		0,
	)
	w := apptest.Window(t, container.NewVBox(c), 500, 500)
	var told []int
	c.OnChanged = func(v int) { told = append(told, v) }
	w.Canvas().Focus(c)
	apptest.Type(t, w.Canvas(), "calcium")
	apptest.Key(t, w.Canvas(), fyne.KeyDown, fyne.KeyReturn)
	if v, ok := c.Selected(); v != 9 || !ok || c.Shown() != "Calcium chloride, 1 kg, dry" {
		t.Errorf("chosen %d, %v, shown as %q", v, ok, c.Shown())
	}
	apptest.Key(t, w.Canvas(), fyne.KeySpace, fyne.KeyUp, fyne.KeyReturn)
	c.SetSelected(11)
	if want := []int{9, 4, 11}; !reflect.DeepEqual(told, want) || c.Shown() != "Soda ash" {
		t.Errorf("told %v, want %v; shown as %q", told, want, c.Shown())
	}
	c.SetOptions([]Option[int]{{9, "Calcium chloride", ""}, {11, "Soda", ""}})
	if c.Value() != 11 || c.Shown() != "Soda" {
		t.Errorf("with other options %d is chosen, shown as %q", c.Value(), c.Shown())
	}
	c.Clear()
	if _, ok := c.Selected(); ok || c.Shown() != "" {
		t.Errorf("cleared, %q is shown", c.Shown())
	}
}

func TestTextChoice(t *testing.T) {
	c := NewTextChoice([]string{"AB", "CD"}, "EF")
	w := apptest.Window(t, container.NewVBox(c), 500, 500)
	var told []string
	c.OnChanged = func(text string) { told = append(told, text) }
	w.Canvas().Focus(c)
	apptest.Type(t, w.Canvas(), "cd")
	apptest.Key(t, w.Canvas(), fyne.KeyReturn, fyne.KeySpace)
	apptest.Type(t, w.Canvas(), "XY")
	apptest.Key(t, w.Canvas(), fyne.KeyUp, fyne.KeyReturn)
	c.SetOffered([]string{"AB"})
	if want := []string{"cd", "XY"}; !reflect.DeepEqual(told, want) || c.Shown() != "XY" {
		t.Errorf("told %v, want %v; shown %q", told, want, c.Shown())
	}
}

func TestChoice(t *testing.T) {
	c := NewChoice(named("Alkalinity", "Calcium", "Magnesium", "Total alkalinity"), "Calcium")
	w := apptest.Window(t, container.NewVBox(c), 500, 500)
	var told []string
	c.OnChanged = func(s string) { told = append(told, s) }
	w.Canvas().Focus(c)
	apptest.Type(t, w.Canvas(), "alk")
	var shown []string
	for _, r := range c.list.table.Rows() {
		shown = append(shown, r.Cells[0].Text)
	}
	if want := []string{"Alkalinity", "Total alkalinity"}; !reflect.DeepEqual(shown, want) {
		t.Fatalf("the search shows %v, want %v", shown, want)
	}
	apptest.Key(t, w.Canvas(), fyne.KeyDown, fyne.KeyReturn)
	if c.Value() != "Total alkalinity" || DialogOpen(w) || w.Canvas().Focused() != fyne.Focusable(c) {
		t.Errorf("chosen %q, open %v, keyboard on %T", c.Value(), DialogOpen(w), w.Canvas().Focused())
	}
	apptest.Key(t, w.Canvas(), fyne.KeyDown, fyne.KeyUp, fyne.KeyReturn)
	if c.Value() != "Magnesium" {
		t.Errorf("chosen %q, want the one above", c.Value())
	}
	apptest.Key(t, w.Canvas(), fyne.KeySpace, fyne.KeyEscape)
	if c.Value() != "Magnesium" || DialogOpen(w) {
		t.Errorf("Esc: chosen %q, open %v", c.Value(), DialogOpen(w))
	}
	apptest.Key(t, w.Canvas(), fyne.KeySpace)
	apptest.Type(t, w.Canvas(), "zzz")
	apptest.Key(t, w.Canvas(), fyne.KeyReturn, fyne.KeyEscape)
	if c.Value() != "Magnesium" {
		t.Errorf("a search without a hit chose %q", c.Value())
	}
	c.SetSelected("Nothing of the list")
	if want := []string{"Total alkalinity", "Magnesium"}; !reflect.DeepEqual(told, want) || c.Value() != "Magnesium" {
		t.Errorf("told %v, want %v", told, want)
	}
	c.SetOptions(named("Calcium"))
	if c.Value() != "" {
		t.Errorf("chosen %q, which is no option now", c.Value())
	}
}

// In a dialog Enter on a Choice confirms once something is chosen.
func TestChoiceInDialog(t *testing.T) {
	w := apptest.Window(t, NewSecondary("Back", nil), 500, 500)
	c := NewChoice(named("Calcium", "Magnesium"), "")
	form := NewForm(Field{Name: "choice", Label: "Analyte", Input: c})
	got := ""
	ShowForm(w, "Add", "Add", form, func() bool { got = c.Value(); return got != "" })
	apptest.Type(t, w.Canvas(), "mag")
	apptest.Key(t, w.Canvas(), fyne.KeyReturn)
	if !DialogOpen(w) || c.Value() != "Magnesium" {
		t.Fatalf("open %v, chosen %q", DialogOpen(w), c.Value())
	}
	apptest.Key(t, w.Canvas(), fyne.KeyReturn)
	if DialogOpen(w) || got != "Magnesium" {
		t.Errorf("open %v, confirmed with %q", DialogOpen(w), got)
	}
}

func TestDateEntry(t *testing.T) {
	paris := zone(t, "Europe/Paris")
	clock := apptest.ClockAt(time.Date(2026, 3, 28, 23, 30, 0, 0, time.UTC)) // the 29th in Paris
	e := NewDateEntry(time.Time{}, paris, clock)
	var told []time.Time
	e.OnChanged = func(at time.Time, ok bool) {
		if ok {
			told = append(told, at)
		}
	}
	w := apptest.Window(t, container.NewVBox(e), 300, 400)
	if _, err := e.Time(); err == nil {
		t.Error("an empty field gives a day")
	}
	w.Canvas().Focus(e)
	apptest.Type(t, w.Canvas(), "t")
	apptest.Key(t, w.Canvas(), fyne.KeyReturn)
	if e.Text != "29 Mar 2026" {
		t.Fatalf("today is %q in Paris", e.Text)
	}
	apptest.Key(t, w.Canvas(), fyne.KeyUp, fyne.KeyDown, fyne.KeyDown)
	day, err := e.Time()
	if want := time.Date(2026, 3, 28, 0, 0, 0, 0, paris); err != nil || !day.Equal(want) || e.Text != "28 Mar 2026" {
		t.Errorf("%v, %v, text %q; want %v", day, err, e.Text, want)
	}
	if len(told) != 4 {
		t.Errorf("told %v, want each step once", told)
	}
	e.SetText("2026-02-30")
	if _, err := e.Time(); err == nil || !strings.Contains(err.Error(), "not a day") {
		t.Errorf("30 February: %v", err)
	}
}

func TestDateTimeEntry(t *testing.T) {
	paris := zone(t, "Europe/Paris")
	e := NewDateTimeEntry(time.Time{}, paris, apptest.Clock)
	var at time.Time
	told, ok := 0, true
	e.OnChanged = func(to time.Time, fine bool) { at, ok, told = to, fine, told+1 }
	w := apptest.Window(t, container.NewVBox(e, NewSecondary("Next", nil)), 300, 400)
	if got, err := e.Time(); err != nil || !got.IsZero() || e.Check() != nil {
		t.Errorf("empty: %v, %v", got, err)
	}
	w.Canvas().Focus(e)
	apptest.Type(t, w.Canvas(), "yesterday 9:05")
	w.Canvas().Focus(nil)
	if want := time.Date(2026, 3, 9, 9, 5, 0, 0, paris); !ok || !at.Equal(want) || e.Text != "9 Mar 2026, 09:05" {
		t.Errorf("%v, %v, text %q; want %v", at, ok, e.Text, want)
	}
	w.Canvas().Focus(e)
	apptest.Type(t, w.Canvas(), "x")
	if err := e.Check(); err == nil || ok {
		t.Errorf("a faulty time: %v, told ok %v", err, ok)
	}
	e.SetTime(time.Time{})
	if e.Text != "" || told != 2 {
		t.Errorf("text %q, told %d times", e.Text, told)
	}
}

func TestButton(t *testing.T) {
	n := 0
	b := NewPrimary("Save", func() { n++ })
	w := apptest.Window(t, b, 200, 60)
	w.Canvas().Focus(b)
	apptest.Key(t, w.Canvas(), fyne.KeySpace, fyne.KeyReturn)
	test.Tap(b)
	b.Disable()
	test.Tap(b)
	if n != 3 {
		t.Errorf("done %d times, want 3", n)
	}
	before := b.MinSize().Width
	b.SetText("Save 13 values")
	if b.MinSize().Width <= before {
		t.Error("a longer label makes no wider button")
	}
}

func TestDialogGallery(t *testing.T) {
	folder := os.Getenv("WIDGET_SHOTS")
	if folder == "" {
		folder = t.TempDir()
	}
	for name, variant := range map[string]fyne.ThemeVariant{"light": theme.VariantLight, "dark": theme.VariantDark} {
		w := apptest.WindowIn(t, variant, canvas.NewRectangle(color.Transparent), 900, 560)
		w.SetContent(container.NewBorder(
			NewHeading("Rounds", "Nothing chosen"),
			nil,
			nil,
			nil,
			NewEmpty(
				"No system yet",
				"A room begins with its systems: their volume, and a profile that says what to test and how often.",
				Action{"Add a system", nil},
				Action{"Open the demo room", nil},
			),
		))
		w.Resize(fyne.NewSize(900, 560))
		apptest.Capture(t, w, filepath.Join(folder, "empty-"+name+".png"))
		form := sampleForm()
		ShowForm(w, "New system", "Add", form, func() bool { return false })
		apptest.Capture(t, w, filepath.Join(folder, "dialog-"+name+".png"))
		w.Canvas().Focus(form.rows[2].field.Input.(fyne.Focusable))
		apptest.Key(t, w.Canvas(), fyne.KeySpace)
		apptest.Capture(t, w, filepath.Join(folder, "choice-"+name+".png"))
		apptest.Key(t, w.Canvas(), fyne.KeyEscape)
		form.rows[3].field.Input.(*DateEntry).openCalendar()
		apptest.Capture(t, w, filepath.Join(folder, "calendar-"+name+".png"))
		if n := colours(w.Canvas().Capture()); n < 20 {
			t.Errorf("the picture has only %d colours", n)
		}
	}
}

func TestTabs(t *testing.T) {
	var told []int
	tabs := NewTabs([]Tab[int]{{7, "Water"}, {3, "Trend"}, {5, "Log"}}, func(id int) { told = append(told, id) })
	w := apptest.Window(t, container.NewVBox(tabs), 400, 100)
	w.Canvas().Focus(tabs)
	apptest.Key(t, w.Canvas(), fyne.KeyLeft, fyne.KeyRight, fyne.KeyRight, fyne.KeyRight, fyne.KeyHome)
	test.TapAt(tabs, fyne.NewPos(tabs.places[1].X+4, 8))
	if want := []int{3, 5, 7, 3}; !reflect.DeepEqual(told, want) || tabs.Selected() != 3 {
		t.Errorf("told %v, chosen %d; want %v", told, tabs.Selected(), want)
	}
	tabs.Select(5)
	tabs.Select(99)
	if len(told) != 4 || tabs.Selected() != 5 {
		t.Errorf("chosen %d, told %v", tabs.Selected(), told)
	}
}

func TestFaultsFrom(t *testing.T) {
	got := FaultsFrom([]string{"low", "high"}, func(s string) Fault { return Fault{Field: s, Problem: "wrong"} })
	if want := []Fault{{"low", "wrong", ""}, {"high", "wrong", ""}}; !reflect.DeepEqual(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
	for fault, want := range map[Fault]string{{"a", "It is wrong.", "mend it."}: "It is wrong: mend it.",
		{"a", "It is wrong", ""}: "It is wrong."} {
		if fault.Text() != want {
			t.Errorf("%q, want %q", fault.Text(), want)
		}
	}
}

// What a field says of itself is not said again by its form.
func TestFaultIsSaidOnce(t *testing.T) {
	same := func(v float64) (float64, error) { return v, nil }
	own := QuantityUnit{Name: "L", Of: same, Kept: same}
	e := NewQuantityEntry(own)
	form := NewForm(Field{Name: "alone", Label: "Volume", Input: e})
	w := apptest.Window(t, form, 400, 300)
	e.SetText("abc")
	_, err := e.Value()
	form.Mark([]Fault{{Field: "alone", Problem: say.Of(err)}})
	count := func() int {
		n := 0
		for _, text := range apptest.Texts(w) {
			if strings.Contains(text.Text, "abc") && text.Text != "abc" {
				n++
			}
		}
		return n
	}
	if count() != 1 || form.FaultOf("alone") == "" {
		t.Errorf("it is said %d times, the form has %q", count(), form.FaultOf("alone"))
	}
	form.Mark([]Fault{{Field: "alone", Problem: "abc is too much"}})
	if count() != 2 {
		t.Errorf("another fault is said %d times", count())
	}
}
