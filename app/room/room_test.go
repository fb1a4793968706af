package room_test

import (
	"errors"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"

	"weirkeeper/app/room"
	"weirkeeper/app/screentest"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

func open(t *testing.T, store *storage.Store, now time.Time) *screentest.Screen {
	t.Helper()
	s := screentest.Open(t, store, now, func(s *session.Session) screentest.Page { return room.New(s) })
	s.Visit(session.Route{Place: session.Room})
	return s
}

func emptyLedger(t *testing.T) *storage.Store {
	t.Helper()
	path, empty := filepath.Join(t.TempDir(), "empty.wkr"), tanks.Room{Name: "Test room", Zone: "Europe/Paris"}
	store, err := storage.Create(t.Context(), path, empty, storagetest.Clock)
	must(t, err)
	t.Cleanup(func() { store.Close() })
	return store
}

// save writes exact readings of a system, by days ago.
func save(t *testing.T, store *storage.Store, f storagetest.Fixture, system int, a chem.Analyte, values map[float64]float64) {
	t.Helper()
	m := f.Methods[a]
	var all []tanks.Reading
	for days, v := range values {
		at := f.Now.Add(-time.Duration(days * 24 * float64(time.Hour)))
		all = append(all, tanks.Reading{System: f.Systems[system].ID, Analyte: a, At: at, Value: v, Method: m.ID, Unit: m.Unit, Typed: "x"})
	}
	_, err := store.SaveReadings(t.Context(), all)
	must(t, err)
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// ammonia gives the room a test for ammonia and both systems a band for it.
func ammonia(t *testing.T, store *storage.Store, f *storagetest.Fixture) {
	t.Helper()
	m := tanks.Method{
		Name: "Ammonia kit", Kind: tanks.Kit, Analyte: chem.Ammonia, Unit: chem.MgL, Resolution: 0.01, Accuracy: 0.02, Repeatability: 0.01,
	}
	must(t, store.SaveMethod(t.Context(), &m))
	f.Methods[chem.Ammonia] = m
	for _, s := range f.Systems {
		bands, err := store.OwnBands(t.Context(), s.ID)
		must(t, err)
		bands = append(bands, tanks.Band{Analyte: chem.Ammonia, Low: 0, Aim: 0, High: 0.1, TestEvery: 24 * time.Hour})
		must(t, store.SaveOwnBands(t.Context(), s.ID, bands))
	}
}

// What no column shows is looked at all the same: it is the system's worst value,
// and the filter keeps its system.
func TestWorstOfAllValues(t *testing.T) {
	store, f := storagetest.Room(t)
	ammonia(t, store, &f)
	save(t, store, f, 0, chem.Alkalinity, map[float64]float64{0: 2.9})
	save(t, store, f, 0, chem.Ammonia, map[float64]float64{0: 0.15})
	save(t, store, f, 1, chem.Alkalinity, map[float64]float64{0: 2.9})
	save(t, store, f, 1, chem.Ammonia, map[float64]float64{0: 0.02})
	s := open(t, store, f.Now)
	s.Press("Choose columns")
	for _, a := range chem.Catalogue() {
		if slices.Contains(s.Ticked(), string(a.Name)) != (a.Analyte == chem.Alkalinity) {
			s.Table().SetCurrent(int(a.Analyte))
			s.Keys(fyne.KeySpace)
		}
	}
	s.Press("Show")
	if strings.Contains(s.Seen(), "0.15") {
		t.Fatalf("the column of ammonia is shown:\n%s", s.Seen())
	}
	want := []string{"F1 Frag rack, north | Ammonia (total) above | ", "F2 Frag rack, south | all within | "}
	if got := s.Lines(); len(got) != 3 || !strings.HasPrefix(got[1], want[0]) || !strings.HasPrefix(got[2], want[1]) {
		t.Errorf("the room shows\n%s", strings.Join(got, "\n"))
	}
	s.Check("Outside or unsure only")
	if got := s.Lines(); len(got) != 2 || !strings.HasPrefix(got[1], "F1 ") {
		t.Errorf("outside or unsure are\n%s", strings.Join(got, "\n"))
	}
}

// The worst of several is the surest outside; a value that is too old comes after
// those, an unsure one after that.
func TestWorstRanks(t *testing.T) {
	for name, c := range map[string]struct {
		alkalinity, calcium float64
		days                float64 // since calcium was tested
		want                string
	}{
		"nothing outside":           {2.9, 425, 1, "all within"},
		"one outside":               {2.9, 330, 1, "Calcium below"},
		"the surer of two":          {3.32, 520, 1, "Calcium above"},
		"outside before too old":    {3.8, 330, 20, "Alkalinity above"},
		"too old before unsure":     {3.2, 425, 20, "Calcium too old"},
		"unsure before the others":  {3.2, 425, 1, "Alkalinity unsure"},
		"too old though it is fine": {2.9, 425, 20, "Calcium too old"},
	} {
		t.Run(name, func(t *testing.T) {
			store, f := storagetest.Room(t)
			save(t, store, f, 0, chem.Alkalinity, map[float64]float64{0: c.alkalinity})
			save(t, store, f, 0, chem.Calcium, map[float64]float64{c.days: c.calcium})
			s := open(t, store, f.Now)
			if got := s.Lines()[1]; !strings.Contains(got, "| "+c.want+" |") {
				t.Errorf("%s, want %s", got, c.want)
			}
		})
	}
}

// The filter looks at each value: one that is unsure keeps its system though
// another one is too old, and a system with nothing but old values goes.
func TestOutsideOrUnsureOnly(t *testing.T) {
	store, f := storagetest.Room(t)
	for system := range f.Systems {
		save(t, store, f, system, chem.Calcium, map[float64]float64{20: 425})
	}
	save(t, store, f, 0, chem.Alkalinity, map[float64]float64{0: 3.2})
	s := open(t, store, f.Now)
	s.Check("Outside or unsure only")
	if got := s.Lines(); len(got) != 2 || !strings.HasPrefix(got[1], "F1 Frag rack, north | Calcium too old |") {
		t.Errorf("outside or unsure are\n%s", strings.Join(got, "\n"))
	}
}

// A level that daily doses hold is neither falling nor rising; without them it
// falls by what is used.
func TestDirectionCountsDoses(t *testing.T) {
	for name, c := range map[string]struct {
		perDay float64 // dosed, in mg/L
		level  func(days float64) float64
		want   int
	}{
		"held by doses":       {10, func(float64) float64 { return 425 }, 0},
		"falling":             {0, func(days float64) float64 { return 400 + 6*days }, -1},
		"rising by doses":     {10, func(days float64) float64 { return 445 - 6*days }, +1},
		"still without doses": {0, func(float64) float64 { return 425 }, 0},
	} {
		t.Run(name, func(t *testing.T) {
			store, f := storagetest.Room(t)
			values := map[float64]float64{}
			for days := 0.0; days <= 10; days++ {
				values[days] = c.level(days)
				if c.perDay == 0 {
					continue
				}
				at := f.Now.Add(-time.Duration(days*24+12) * time.Hour)
				must(t, store.SaveAddition(t.Context(), &tanks.Addition{
					System: f.Systems[0].ID, Product: f.Products["calcium"].ID, At: at, Amount: 130,
					Changes: []tanks.Delta{{Analyte: chem.Calcium, Change: c.perDay}},
				}))
			}
			save(t, store, f, 0, chem.Calcium, values)
			s := open(t, store, f.Now)
			calcium := slices.IndexFunc(s.Line("F1").Cells, func(c widgets.Cell) bool { return c.Gauge != nil && c.Gauge.High == 450 })
			if calcium < 0 {
				t.Fatalf("no calcium in %v", s.Lines())
			}
			if got := s.Line("F1").Cells[calcium].Trend; got != c.want {
				t.Errorf("the arrow of calcium is %d, want %d", got, c.want)
			}
		})
	}
}

func TestEmptyRoom(t *testing.T) {
	s := open(t, emptyLedger(t), storagetest.Now)
	if !strings.Contains(s.Seen(), "No system yet") {
		t.Fatalf("an empty room shows\n%s", s.Seen())
	}
	s.Press("Add a system")
	if got := s.Went; len(got) != 1 || got[0].Place != session.Setup || got[0].Section != session.SetupSystems {
		t.Errorf("it leads to %+v", got)
	}
}

// Choices that leave no system say so, and one press takes them back.
func TestNoSystemMatches(t *testing.T) {
	store, f := storagetest.Room(t)
	s := open(t, store, f.Now)
	s.Pick(0, "Freshwater")
	if !strings.Contains(s.Seen(), "No system matches") || !strings.Contains(s.Seen(), "0 of 2 systems") {
		t.Fatalf("of fresh water it shows\n%s", s.Seen())
	}
	s.Check("Outside or unsure only")
	s.Press("Show all")
	if got := s.Lines(); len(got) != 3 {
		t.Errorf("all are\n%s", strings.Join(got, "\n"))
	}
	if seen := s.Seen(); !strings.Contains(seen, "All waters") || strings.Contains(seen, "0 of 2") {
		t.Errorf("the choices say\n%s", seen)
	}
	s.Pick(0, "Marine")
	if got := s.Lines(); len(got) != 3 {
		t.Errorf("marine are\n%s", strings.Join(got, "\n"))
	}
}

// The demo room by its kinds of water: each system is in one of them.
func TestWatersOfTheDemoRoom(t *testing.T) {
	store := screentest.Demo(t)
	s := open(t, store, screentest.Morning)
	systems := func() (n int) {
		for _, row := range s.Table().Rows() {
			if !row.Group {
				n++
			}
		}
		return n
	}
	all, sum := systems(), 0
	for _, water := range []string{"Marine", "Brackish", "Freshwater", "Sources"} {
		s.Pick(0, water)
		sum += systems()
	}
	if all != 15 || sum != all {
		t.Errorf("%d systems, %d by kind", all, sum)
	}
}

// A system is opened by Enter and by the button: the one under the cursor, which
// stays on it when the room is read anew.
func TestOpenASystem(t *testing.T) {
	store, f := storagetest.Room(t)
	s := open(t, store, f.Now)
	if got := s.Canvas().Focused(); got != nil {
		t.Fatalf("%T has the keyboard before it is given", got)
	}
	s.Focus(s.Page.(*room.Page).FirstFocus())
	s.Keys(fyne.KeyDown)
	first := tanks.System{Code: "A0", Name: "Before all others", Kind: tanks.Marine, Place: "Back wall", Opened: f.Now.Add(-24 * time.Hour)}
	must(t, store.SaveSystem(t.Context(), &first))
	s.Drain()
	if got := s.Lines(); len(got) != 4 || !strings.HasPrefix(got[1], "A0 ") {
		t.Fatalf("the room shows\n%s", strings.Join(got, "\n"))
	}
	s.Keys(fyne.KeyReturn)
	s.Press("Open the system")
	want := session.Route{Place: session.System, System: f.Systems[1].ID}
	if len(s.Went) != 2 || s.Went[0].System != want.System || s.Went[1].System != want.System || s.Went[0].Place != want.Place {
		t.Errorf("went to %+v", s.Went)
	}
}

func TestChosenColumnsAreRemembered(t *testing.T) {
	store, f := storagetest.Room(t)
	s := open(t, store, f.Now)
	s.Press("Choose columns")
	s.TickAll()
	s.TickAll() // none
	for _, a := range []chem.Analyte{chem.Nitrate, chem.Calcium} {
		s.Table().SetCurrent(int(a))
		s.Keys(fyne.KeySpace)
	}
	s.Press("Show")
	if got := s.Remembered["room.columns"]; got != "calcium nitrate" {
		t.Errorf("remembered %q", got)
	}
	if got := len(s.Line("F1").Cells); got != 4 {
		t.Errorf("%d columns, want system, worst and two", got)
	}
	again := screentest.Open(t, store, f.Now, func(s *session.Session) screentest.Page {
		s.Memory.Remember("room.columns", "calcium nothing nitrate")
		return room.New(s)
	})
	again.Visit(session.Route{})
	if got := len(again.Line("F1").Cells); got != 4 {
		t.Errorf("later %d columns, want system, worst and two", got)
	}
}

// A room whose profiles ask for nothing says where that is said.
func TestNoAnalyte(t *testing.T) {
	store := emptyLedger(t)
	must(t, store.SaveSystem(t.Context(), &tanks.System{Code: "F1", Name: "Frag rack", Kind: tanks.Marine, Opened: storagetest.Now}))
	s := open(t, store, storagetest.Now)
	s.Press("Profiles")
	if len(s.Went) != 1 || s.Went[0].Section != session.SetupProfiles {
		t.Errorf("went to %+v", s.Went)
	}
}

func TestWhatCannotBeReadIsSaid(t *testing.T) {
	store, f := storagetest.Room(t)
	s := open(t, store, f.Now)
	s.FailReads(errors.New("the disk is gone"))
	s.Page.Reload()
	s.Drain()
	said := s.LastSaid()
	if !said.Bad || said.Title != "Reading the room: it could not be read" || !strings.Contains(said.Text, "the disk is gone") {
		t.Errorf("said %+v", said)
	}
	if strings.Contains(said.Text, "typed") {
		t.Errorf("a reading speaks of what was typed: %s", said.Text)
	}
	if got := s.Lines(); len(got) != 3 {
		t.Errorf("what was shown is gone: %v", got)
	}
}
