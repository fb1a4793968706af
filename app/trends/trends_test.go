package trends

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2"

	"weirkeeper/app/apptest"
	"weirkeeper/app/screentest"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// screen is the page in a window.
type screen struct {
	*screentest.Screen
	page *Page
}

func open(t *testing.T, store *storage.Store, r session.Route) *screen {
	t.Helper()
	s := &screen{}
	s.Screen = screentest.Open(t, store, storagetest.Now, func(in *session.Session) screentest.Page {
		s.page = New(in)
		return s.page
	})
	r.Place = session.Trends
	s.Visit(r)
	if f := s.page.FirstFocus(); f != nil {
		s.Focus(f)
	}
	return s
}

// tested is a small ledger: the first system has values of three analytes, the
// second of two of them.
func tested(t *testing.T) (*storage.Store, storagetest.Fixture) {
	t.Helper()
	store, f := storagetest.Room(t)
	var readings []tanks.Reading
	for n, s := range f.Systems {
		for m, a := range []chem.Analyte{chem.Alkalinity, chem.Calcium, chem.Magnesium, chem.Nitrate}[:4-n] {
			for day := range 5 {
				readings = append(
					readings,
					tanks.Reading{System: s.ID, Analyte: a, At: f.Now.AddDate(0, 0, -day), Value: []float64{2.8, 420, 1300, 5}[m]},
				)
			}
		}
	}
	if _, err := store.SaveReadings(t.Context(), readings); err != nil {
		t.Fatal(err)
	}
	return store, f
}

// table finds the list of analytes, which has ticks.
func (s *screen) table() *widgets.Table {
	s.T.Helper()
	return apptest.Find(s.T, s.Window.Content(), func(t *widgets.Table) bool { return t.Checks })
}

// ticked names the analytes that are drawn.
func (s *screen) ticked() string {
	s.T.Helper()
	table := s.table()
	var names []string
	for _, id := range table.Checked() {
		for _, row := range table.Rows() {
			if row.ID == id {
				names = append(names, row.Cells[0].Text)
			}
		}
	}
	return strings.Join(names, ", ")
}

// tick ticks or unticks an analyte by keys.
func (s *screen) tick(name string) {
	s.T.Helper()
	table := s.table()
	for _, row := range table.Rows() {
		if row.Cells[0].Text == name {
			s.Focus(table)
			table.SetCurrent(row.ID)
			s.Keys(fyne.KeySpace)
			return
		}
	}
	s.T.Fatalf("%s is not offered", name)
}

func TestTrendsOfARoom(t *testing.T) {
	store, f := tested(t)
	s := open(t, store, session.Route{})
	if got, _ := s.page.list.Current(); got.ID != f.Systems[0].ID || s.ticked() != "Alkalinity, Calcium" {
		t.Fatalf("shown %s: %s", got.Code, s.ticked())
	}
	s.tick("Nitrate")
	s.tick("Calcium")
	if s.ticked() != "Alkalinity, Nitrate" {
		t.Fatalf("ticked %s", s.ticked())
	}
	// A value that is saved draws anew and leaves the ticks.
	if _, err := store.SaveReadings(t.Context(), []tanks.Reading{{System: f.Systems[0].ID, Analyte: chem.Phosphate, At: f.Now,
		Value: 0.05}}); err != nil {
		t.Fatal(err)
	}
	s.Drain()
	if s.ticked() != "Alkalinity, Nitrate" {
		t.Errorf("after a save ticked is %s", s.ticked())
	}
	// Another system shows what it has of them.
	s.Focus(s.page.FirstFocus())
	s.Keys(fyne.KeyDown)
	if got, _ := s.page.list.Current(); got.ID != f.Systems[1].ID || s.ticked() != "Alkalinity" {
		t.Errorf("on %s ticked is %s", got.Code, s.ticked())
	}
	s.Keys(fyne.KeyReturn)
	if len(s.Went) != 1 || s.Went[0].Place != session.System || s.Went[0].System != f.Systems[1].ID {
		t.Errorf("Enter leads to %+v", s.Went)
	}
	if len(s.Said) > 0 {
		t.Errorf("said %v", s.Said)
	}
}

// More than three panels are too low: the one ticked first goes.
func TestThreePanelsAtTheMost(t *testing.T) {
	store, _ := tested(t)
	s := open(t, store, session.Route{})
	s.tick("Magnesium")
	s.tick("Nitrate")
	if s.ticked() != "Calcium, Magnesium, Nitrate" {
		t.Errorf("ticked %s", s.ticked())
	}
	for _, name := range []string{"Calcium", "Magnesium", "Nitrate"} {
		s.tick(name)
	}
	if s.ticked() != "" || !strings.Contains(s.Seen(), "Tick an analyte on the left.") {
		t.Errorf("ticked %s\n%s", s.ticked(), s.Seen())
	}
}

func TestRouteToAnAnalyte(t *testing.T) {
	store, f := tested(t)
	s := open(t, store, session.Route{System: f.Systems[1].ID, Analyte: chem.Magnesium})
	if got, _ := s.page.list.Current(); got.ID != f.Systems[1].ID || s.ticked() != "Magnesium" {
		t.Fatalf("shown %s: %s", got.Code, s.ticked())
	}
	s.tick("Calcium")
	s.page.Reload()
	s.Drain()
	if s.ticked() != "Calcium, Magnesium" {
		t.Errorf("after a reload ticked is %s", s.ticked())
	}
}

// A system that is closed leaves the list; the page goes on with another.
func TestClosedSystemLeaves(t *testing.T) {
	store, f := tested(t)
	s := open(t, store, session.Route{System: f.Systems[1].ID})
	closed := f.Systems[1]
	closed.Closed = f.Now
	if err := store.SaveSystem(t.Context(), &closed); err != nil {
		t.Fatal(err)
	}
	s.Drain()
	if got, ok := s.page.list.Current(); !ok || got.ID != f.Systems[0].ID || s.page.list.Len() != 1 || s.ticked() != "Alkalinity, Calcium" {
		t.Errorf("shown %s: %s", got.Code, s.ticked())
	}
}

func TestTrendsOfAnEmptyLedger(t *testing.T) {
	store, err := storage.Create(t.Context(), t.TempDir()+"/new.wkr", tanks.Room{Name: "New room", Zone: "Europe/Paris"}, storagetest.Clock)
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	s := open(t, store, session.Route{})
	s.Press("Add a system")
	if len(s.Went) != 1 || s.Went[0].Place != session.Setup || s.Went[0].Section != session.SetupSystems {
		t.Errorf("it leads to %+v", s.Went)
	}
}

// The list of systems can be filtered by what is typed into it.
func TestFilterSystems(t *testing.T) {
	store, f := tested(t)
	s := open(t, store, session.Route{})
	s.Type("south")
	if got := s.page.list.Shown(); len(got) != 1 || got[0].ID != f.Systems[1].ID {
		t.Errorf("shown %v", got)
	}
}

// An analyte of a newer version of the program stands among the others and says so.
func TestNewerAnalyteIsOffered(t *testing.T) {
	store, f := tested(t)
	storagetest.AddNewer(t, store.Path(), f.Now)
	s := open(t, store, session.Route{System: f.Systems[0].ID})
	if seen := s.Seen(); !strings.Contains(seen, "analyte 210, of a newer version") {
		t.Errorf("the list shows %s", seen)
	}
}
