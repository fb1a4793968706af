package testsheet_test

import (
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"

	"weirkeeper/app/apptest"
	"weirkeeper/app/prefs"
	"weirkeeper/app/screentest"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// A row or column beyond the schedule goes with its save, or stays: nothing asks
// for it by its old place.
func TestSaveOfTheLastRowAndColumn(t *testing.T) {
	for name, beside := range map[string]func(*round, storagetest.Fixture){
		"a system": func(r *round, f storagetest.Fixture) {
			vat := tanks.System{Code: "V1", Name: "Vat", Kind: tanks.Source, Stated: 500, Order: 9}
			if err := r.Store.SaveSystem(t.Context(), &vat); err != nil {
				t.Fatal(err)
			}
			r.Drain()
			r.pickAdded("Add a system", vat.Label())
			r.Type("0.4")
		},
		"an analyte": func(r *round, f storagetest.Fixture) {
			r.pickAdded("Add an analyte", "Iron")
			r.Type("4")
		},
	} {
		t.Run(name, func(t *testing.T) {
			store, f := storagetest.Room(t)
			r := open(t, store, f.Now)
			beside(r, f)
			r.save()
			if len(typed(t, store)) != 1 || !strings.HasPrefix(r.LastSaid().Title, "Saved") {
				t.Errorf("in the ledger %q, said %+v", typed(t, store), r.LastSaid())
			}
			r.visit() // the schedule, which is smaller
			r.Keys(fyne.KeyHome)
			r.Type("25")
			r.save()
			if len(typed(t, store)) != 2 {
				t.Errorf("in the ledger %q, said %+v", typed(t, store), r.LastSaid())
			}
		})
	}
}

// What is typed is kept key by key: a new run of the program shows it, also the
// half of a value that was being typed when the page or the program died.
func TestWhatIsTypedSurvivesACrash(t *testing.T) {
	store, f := storagetest.Room(t)
	cells := []tanks.Cell{cell(f.Systems[0], chem.Calcium), cell(f.Systems[1], chem.Calcium)}
	for n, c := range []struct {
		name string
		do   func(*round)
		want string
	}{
		{"half of a value", func(r *round) { r.Type("42") }, "42"},
		{"more of it", func(r *round) { r.Type("421") }, "421"},
		{"Esc drops what was typed over it", func(r *round) { r.Type("99"); r.Keys(fyne.KeyEscape) }, "421"},
		{"a second value, which is wrong", func(r *round) { r.Keys(fyne.KeyReturn); r.Type("4x") }, "421 4x"},
		{"the second cleared", func(r *round) { r.Keys(fyne.KeyReturn, fyne.KeyDelete) }, "421"},
		{"a panic of the page with a value half typed", func(r *round) {
			r.Keys(fyne.KeyReturn)
			func() {
				defer func() { _ = recover() }()
				r.Type("43")
				panic("a fault of the page")
			}()
		}, "421 43"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := open(t, store, f.Now)
			if n == 0 {
				r.visit(cells...)
			}
			r.Keys(fyne.KeyUp)
			c.do(r)
			again := open(t, store, f.Now) // nothing was committed before
			var texts []string
			for row := range 2 {
				again.grid().MoveTo(row, 0)
				again.Keys(fyne.KeyF2)
				if e, ok := again.grid().Typing(); ok && e.Text != "" {
					texts = append(texts, e.Text)
				}
				again.Keys(fyne.KeyEscape)
			}
			if got := strings.Join(texts, " "); got != c.want {
				t.Errorf("after the crash the sheet holds %q, want %q", got, c.want)
			}
		})
	}
}

// A change of the ledger while a cell is being typed neither cuts the value nor
// moves it into another row.
func TestChangeOfTheLedgerWhileTyping(t *testing.T) {
	store, f := storagetest.Room(t)
	r := open(t, store, f.Now, cell(f.Systems[1], chem.Calcium))
	r.pickAdded("Add a system", f.Systems[0].Label())
	r.Keys(fyne.KeyDown)
	r.Type("42")
	closed := f.Systems[0]
	closed.Closed = f.Now
	if err := store.SaveSystem(t.Context(), &closed); err != nil {
		t.Fatal(err)
	}
	r.Drain()
	r.Type("1")
	r.Keys(fyne.KeyReturn)
	r.save()
	same(t, "in the ledger", typed(t, store), "F2 calcium 421 mg/L")
	if strings.Contains(r.Seen(), f.Systems[0].Name) {
		t.Error("the closed system is still on the sheet")
	}
}

// A value of which half was typed when the room was read again is not cut there.
func TestHalfAValueDuringALoad(t *testing.T) {
	store, f := storagetest.Room(t)
	r := open(t, store, f.Now, cell(f.Systems[0], chem.Calcium))
	r.pickAdded("Add an analyte", "Temperature") // the cells move: calcium is the second column
	r.Keys(fyne.KeyRight)
	r.page.Visit(session.Route{Place: session.TestSheet, Cells: []tanks.Cell{cell(f.Systems[0], chem.Calcium)}})
	apptest.Type(t, r.Canvas(), "42")
	r.Drain()
	r.Type("1")
	r.save()
	same(t, "in the ledger", typed(t, store), "F1 calcium 421 mg/L")
}

// What is typed between the reading of the room and its show is not lost.
func TestTypingDuringALoad(t *testing.T) {
	store, f := storagetest.Room(t)
	r := open(t, store, f.Now, cell(f.Systems[0], chem.Calcium), cell(f.Systems[1], chem.Calcium))
	r.page.Reload()
	apptest.Type(t, r.Canvas(), "421")
	apptest.Key(t, r.Canvas(), fyne.KeyReturn)
	r.Drain()
	r.enter("418")
	r.save()
	same(t, "in the ledger", typed(t, store), "F1 calcium 421 mg/L", "F2 calcium 418 mg/L")
}

// Values are typed in the unit that the person has chosen; a column whose method
// reads in another keeps that where nothing was chosen.
func TestUnitsOfTheSheet(t *testing.T) {
	store, f := storagetest.Room(t)
	alk := cell(f.Systems[0], chem.Alkalinity)
	keep(t, store, alk, f.Methods[chem.Alkalinity], map[int]float64{9: 2.90, 6: 2.92, 3: 2.91})
	r := open(t, store, f.Now, alk)
	if seen := r.Seen(); !strings.Contains(seen, "Alkalinity titration, dKH") || !strings.Contains(seen, "8.2") {
		t.Fatalf("without a choice it shows %q", seen)
	}
	r.Session.Prefs.Alkalinity = chem.MeqL
	r.visit(alk)
	if seen := r.Seen(); !strings.Contains(seen, "Alkalinity titration, meq/L") || !strings.Contains(seen, "2.91") {
		t.Fatalf("with meq/L chosen it shows %q", seen)
	}
	r.enter("2.95")
	r.Session.Prefs.Alkalinity = chem.DKH
	r.visit() // the digits are still meq/L
	if seen := r.Seen(); !strings.Contains(seen, "Alkalinity titration, meq/L") {
		t.Errorf("with a value typed it shows %q", seen)
	}
	r.save()
	same(t, "in the ledger", typed(t, store)[3:], "F1 alkalinity 2.95 meq/L")
	all, err := store.Series(t.Context(), alk.System, alk.Analyte, f.Now.Add(-time.Hour), f.Now)
	if err != nil || len(all) != 1 || all[0].Value != 2.95 || all[0].Method != f.Methods[chem.Alkalinity].ID {
		t.Errorf("%+v, %v", all, err)
	}
}

func TestChangeAMethodAndItsUnit(t *testing.T) {
	store, f := storagetest.Room(t)
	finer := tanks.Method{Name: "Alkalinity titration", Kind: tanks.Photometer, Analyte: chem.Alkalinity, Unit: chem.CaCO3, Accuracy: 0.05}
	if err := store.SaveMethod(t.Context(), &finer); err != nil {
		t.Fatal(err)
	}
	r := open(t, store, f.Now, cell(f.Systems[0], chem.Alkalinity))
	r.enter("145")
	r.Press("Change a method")
	by := apptest.Find(t, apptest.Top(r.Canvas()), func(*widgets.Choice[tanks.MethodID]) bool { return true })
	by.SetSelected(finer.ID) // of the same name: told apart by kind and unit
	r.Press("Change")
	r.save()
	all, err := store.Series(t.Context(), f.Systems[0].ID, chem.Alkalinity, f.Now.Add(-time.Hour), f.Now)
	// 145 mg/L of CaCO3 (100.09 g/mol, two equivalents) are 2.897 meq/L.
	if err != nil || len(all) != 1 || all[0].Method != finer.ID || all[0].Unit != chem.CaCO3 || all[0].Value < 2.89 || all[0].Value > 2.91 {
		t.Errorf("%+v, %v; said %+v", all, err, r.LastSaid())
	}
}

// The question compares with what the fit lets expect: a level that falls by
// its uptake is no surprise where the mean of the last values would be one, and a
// value at that mean is.
func TestSurpriseLooksIntoTheFit(t *testing.T) {
	store, f := storagetest.Room(t)
	c := cell(f.Systems[0], chem.Calcium)
	falling := map[int]float64{}
	for day := 2; day <= 20; day += 2 {
		falling[day] = 400 + 5*float64(day) // 5 mg/L a day: 400 now
	}
	keep(t, store, c, f.Methods[chem.Calcium], falling)
	r := open(t, store, f.Now, c)
	r.enter("400")
	if seen := r.Seen(); strings.Contains(seen, "surprise") {
		t.Errorf("what the fit lets expect is asked about: %q", seen)
	}
	r.Focus(r.grid())
	r.enter("470")
	if seen := r.Seen(); !strings.Contains(seen, "F1 calcium 470 mg/L is a surprise") || !strings.Contains(seen, "Expected 40") {
		t.Errorf("a value far off the fit is not asked about: %q", seen)
	}
	// Cells that are added by hand are asked about too.
	r.visit(cell(f.Systems[1], chem.Calcium))
}

// A surprise is asked about where the system was added by hand.
func TestSurpriseInAnAddedRow(t *testing.T) {
	store, f := storagetest.Room(t)
	c := cell(f.Systems[0], chem.Calcium)
	keep(t, store, c, f.Methods[chem.Calcium], map[int]float64{12: 420, 9: 421, 6: 419, 3: 420})
	r := open(t, store, f.Now, cell(f.Systems[1], chem.Nitrate))
	r.pickAdded("Add an analyte", "Calcium")
	r.pickAdded("Add a system", f.Systems[0].Label())
	r.Keys(fyne.KeyUp, fyne.KeyHome, fyne.KeyRight)
	if row, col := r.grid().Cursor(); row != 0 {
		t.Fatalf("the cursor is at %d, %d", row, col)
	}
	r.Keys(fyne.KeyHome)
	r.enter("42.1")
	if seen := r.Seen(); !strings.Contains(seen, "F1 calcium 42.1 mg/L is a surprise") {
		t.Fatalf("a slip of the point is taken: %q", seen)
	}
	r.Press("Keep 42.1")
	r.save()
	if got := typed(t, store); got[len(got)-1] != "F1 calcium 42.1 mg/L" {
		t.Errorf("in the ledger %q", got)
	}
}

func TestPasteThatIsLargerThanTheSheet(t *testing.T) {
	store, f := storagetest.Room(t)
	r := open(t, store, f.Now, cell(f.Systems[0], chem.Calcium), cell(f.Systems[1], chem.Calcium))
	apptest.Paste(t, r.Canvas(), "421\t8\r\n418\r\n417\r\n")
	r.Drain()
	if r.LastSaid().Title != "2 values found no cell" {
		t.Errorf("it says %+v", r.LastSaid())
	}
	r.save()
	same(t, "in the ledger", typed(t, store), "F1 calcium 421 mg/L", "F2 calcium 418 mg/L")
}

// A save is undone, put back by redo, and undone again; the sheet follows, and
// never holds what the ledger holds.
func TestUndoAndRedoOfASave(t *testing.T) {
	store, f := storagetest.Room(t)
	r := open(t, store, f.Now, cell(f.Systems[0], chem.Calcium), cell(f.Systems[1], chem.Calcium))
	r.enter("421", "418")
	r.save()
	r.LastSaid().Then()
	same(t, "undone", typed(t, store))
	if !strings.Contains(r.Seen(), "Save 2 values") {
		t.Error("what was undone is not on the sheet")
	}
	r.redo()
	same(t, "redone", typed(t, store), "F1 calcium 421 mg/L", "F2 calcium 418 mg/L")
	if !strings.Contains(r.Seen(), "Save 0 values") {
		t.Error("what is in the ledger again is still on the sheet: the next save would write it twice")
	}
	r.undo()
	if !strings.Contains(r.Seen(), "Save 2 values") {
		t.Error("undone again it is not on the sheet")
	}
	r.save()
	same(t, "saved again", typed(t, store), "F1 calcium 421 mg/L", "F2 calcium 418 mg/L")
}

// An undo from another screen brings the values back to the sheet too.
func TestUndoFromElsewhere(t *testing.T) {
	store, f := storagetest.Room(t)
	r := open(t, store, f.Now, cell(f.Systems[0], chem.Calcium))
	r.enter("421")
	r.save()
	if _, err := store.Undo(t.Context(), "TK"); err != nil {
		t.Fatal(err)
	}
	r.visit()
	if !strings.Contains(r.Seen(), "Save 1 value") {
		t.Errorf("the sheet shows %q", r.Seen())
	}
	r.redo()
	if !strings.Contains(r.Seen(), "Save 0 values") {
		t.Error("put back, it is still on the sheet")
	}
}

// A save that the ledger refuses leaves the sheet as it is.
func TestRefusedSave(t *testing.T) {
	store, f := storagetest.Room(t)
	look, err := storage.OpenToLook(t.Context(), store.Path(), storagetest.Clock)
	if err != nil {
		t.Fatal(err)
	}
	defer look.Close()
	r := open(t, look, f.Now, cell(f.Systems[0], chem.Calcium))
	r.enter("421")
	r.save()
	said := r.LastSaid()
	if said.Title != "Saving the sheet: not done" || !said.Bad || !strings.Contains(said.Text, "what you typed is still here") {
		t.Errorf("it says %+v", said)
	}
	if !strings.Contains(r.Seen(), "Save 1 value") {
		t.Error("what was typed is gone")
	}
}

// A kept sheet that cannot be read is said so, and the sheet opens without it.
func TestUnreadableDraft(t *testing.T) {
	store, f := storagetest.Room(t)
	if err := store.SaveDraft(t.Context(), "test sheet", []byte("{half")); err != nil {
		t.Fatal(err)
	}
	r := open(t, store, f.Now, cell(f.Systems[0], chem.Calcium))
	if said := r.LastSaid(); said.Title != "Opening the kept sheet: it could not be read" || !said.Bad {
		t.Errorf("it says %+v", said)
	}
	r.enter("421")
	r.save()
	same(t, "in the ledger", typed(t, store), "F1 calcium 421 mg/L")
	r.visit()
	if len(r.Said) != 2 {
		t.Errorf("it says %+v", r.Said)
	}
}

// keepSurprises answers each question with Keep.
func (r *round) keepSurprises() {
	r.T.Helper()
	for strings.Contains(r.Seen(), "is a surprise") {
		seen := r.Seen()
		r.Press(strings.SplitN(seen[strings.Index(seen, "Keep "):], "\n", 2)[0])
	}
}

// A round over fresh, brackish and marine water of the demo room: what is refused
// stays, the rest is saved after it is mended.
func TestRoundOverAllWaters(t *testing.T) {
	store := screentest.Demo(t)
	systems, err := store.Systems(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	first := map[tanks.Kind]tanks.System{}
	for _, s := range systems {
		if _, ok := first[s.Kind]; !ok && s.Open() {
			first[s.Kind] = s
		}
	}
	var cells []tanks.Cell
	for _, kind := range []tanks.Kind{tanks.Freshwater, tanks.Brackish, tanks.Marine} {
		if first[kind].ID == 0 {
			t.Fatalf("the demo room has no %v system", kind)
		}
		cells = append(cells, cell(first[kind], chem.Temperature), cell(first[kind], chem.PH))
	}
	before := len(typed(t, store))
	r := open(t, store, screentest.Morning, cells...)
	r.enter("250", "25,3", "25.1", "8.0", "8.1", "eight")
	r.save()
	if said := r.LastSaid(); !strings.HasPrefix(said.Title, "Not saved yet") || len(typed(t, store)) != before {
		t.Fatalf("said %+v", said)
	}
	r.enter("25.0") // the cursor is on the first that is wrong
	r.keepSurprises()
	r.save()
	r.enter("8,2")
	r.keepSurprises()
	r.save()
	if got := typed(t, store); len(got) != before+6 {
		t.Errorf("%d values were saved, want 6; said %+v; %s", len(got)-before, r.LastSaid(), r.Seen())
	}
}

// The readings are of when the water was taken; a time to come is refused.
func TestWaterTaken(t *testing.T) {
	store, f := storagetest.Room(t)
	r := open(t, store, f.Now, cell(f.Systems[0], chem.Calcium))
	r.enter("421")
	taken := apptest.Find(t, r.Canvas().Content(), func(*widgets.DateTimeEntry) bool { return true })
	taken.SetText("2026-03-12 08:00")
	r.Drain()
	r.save()
	if said := r.LastSaid(); len(typed(t, store)) != 0 || !said.Bad {
		t.Fatalf("water of the day after tomorrow: %+v", said)
	}
	taken.SetText("some day")
	r.save()
	if said := r.LastSaid(); len(typed(t, store)) != 0 || said.Title != "When was the water taken?" {
		t.Fatalf("water of some day: %+v", said)
	}
	taken.SetText("2026-03-09 18:30")
	if err := r.page.Commit(); err != nil { // the person goes elsewhere
		t.Fatal(err)
	}
	r.Drain()
	again := open(t, store, f.Now) // and the program dies
	again.save()
	all, err := store.Series(t.Context(), f.Systems[0].ID, chem.Calcium, time.Time{}, time.Time{})
	if want := time.Date(2026, 3, 9, 17, 30, 0, 0, time.UTC); err != nil || len(all) != 1 || !all[0].At.Equal(want) ||
		all[0].Person != "TK" {
		t.Errorf("%+v, %v, want one of %v; said %+v, %s", all, err, want, again.Said, again.Seen())
	}
}

// Ctrl+S held down saves once.
func TestSavedTwiceAtOnce(t *testing.T) {
	store, f := storagetest.Room(t)
	r := open(t, store, f.Now, cell(f.Systems[0], chem.Calcium))
	r.enter("421")
	r.page.Save()
	r.page.Save()
	r.Drain()
	same(t, "in the ledger", typed(t, store), "F1 calcium 421 mg/L")
}

// What was saved is due no more, and what is typed while it is being saved stays.
func TestTypingWhileSaving(t *testing.T) {
	store, f := storagetest.Room(t)
	r := open(t, store, f.Now, cell(f.Systems[0], chem.Calcium), cell(f.Systems[1], chem.Calcium))
	r.enter("421")
	r.page.Save()
	apptest.Type(t, r.Canvas(), "418")
	apptest.Key(t, r.Canvas(), fyne.KeyReturn)
	r.Drain()
	if seen := r.Seen(); !strings.Contains(seen, "Save 1 value") || strings.Contains(seen, "due cell") {
		t.Errorf("after the save it shows %q", seen)
	}
	r.save()
	same(t, "in the ledger", typed(t, store), "F1 calcium 421 mg/L", "F2 calcium 418 mg/L")
	if seen := r.Seen(); !strings.Contains(seen, "Save 0 values") || strings.Contains(seen, "due cell") {
		t.Errorf("after all it shows %q", seen)
	}
	if again := open(t, store, f.Now); !strings.Contains(again.Seen(), "Save 0 values") {
		t.Error("a new run of the program offers to save again what is saved")
	}
}

// What is typed over a value while that is being saved is another value.
func TestTypingOverWhatIsBeingSaved(t *testing.T) {
	store, f := storagetest.Room(t)
	r := open(t, store, f.Now, cell(f.Systems[0], chem.Calcium), cell(f.Systems[1], chem.Calcium))
	r.enter("421")
	r.page.Save()
	apptest.Key(t, r.Canvas(), fyne.KeyUp)
	apptest.Type(t, r.Canvas(), "425")
	apptest.Key(t, r.Canvas(), fyne.KeyReturn)
	r.Drain()
	r.save()
	same(t, "in the ledger", typed(t, store), "F1 calcium 421 mg/L", "F1 calcium 425 mg/L")
}

// A quick typist's save leaves nothing in the ledger that would be saved again.
func TestQuickTypingThenSave(t *testing.T) {
	store, f := storagetest.Room(t)
	r := open(t, store, f.Now, cell(f.Systems[0], chem.Calcium))
	apptest.Type(t, r.Canvas(), "421")
	r.page.Save()
	r.Drain()
	same(t, "in the ledger", typed(t, store), "F1 calcium 421 mg/L")
	if again := open(t, store, f.Now); !strings.Contains(again.Seen(), "Save 0 values") {
		t.Error("a new run of the program offers to save again what is saved")
	}
}

// A kit for nitrate shows nitrate, also to who prefers nitrogen: its scale is typed
// as it is.
func TestNutrientsAreTypedByTheirKit(t *testing.T) {
	store, f := storagetest.Room(t)
	kit := tanks.Method{Name: "Nitrate kit", Kind: tanks.Kit, Analyte: chem.Nitrate, Unit: chem.MgL, Accuracy: 1}
	if err := store.SaveMethod(t.Context(), &kit); err != nil {
		t.Fatal(err)
	}
	r := open(t, store, f.Now)
	r.Session.Prefs.Nutrients = prefs.AsElement
	r.visit(cell(f.Systems[0], chem.Nitrate))
	r.enter("10")
	r.save()
	same(t, "in the ledger", typed(t, store), "F1 nitrate 10 mg/L")
}
