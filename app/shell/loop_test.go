package shell

import (
	"bytes"
	"context"
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/theme"

	"weirkeeper/app/apptest"
	"weirkeeper/app/figure"
	"weirkeeper/app/look"
	"weirkeeper/app/screentest"
	"weirkeeper/app/session"
	"weirkeeper/app/state"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// keeper drives the window as a person would: by keys and by pressing what is
// on the screen.
type keeper struct {
	t      *testing.T
	w      *Window
	c      fyne.Canvas
	runner *session.Drained
}

func newKeeper(t *testing.T, clock func() time.Time) *keeper {
	t.Helper()
	a := test.NewTempApp(t)
	a.Settings().SetTheme(look.New(theme.VariantLight))
	runner := session.NewDrained()
	w := NewWindow(a, clock, runner, "")
	t.Cleanup(func() {
		if err := w.Close(); err != nil {
			t.Errorf("closing: %v", err)
		}
	})
	w.win.Resize(fyne.NewSize(1440, 900))
	return &keeper{t, w, w.win.Canvas(), runner}
}

// press presses the button of that label in front.
func (k *keeper) press(label string) {
	k.t.Helper()
	apptest.Find(k.t, apptest.Top(k.c), func(b *widgets.Button) bool { return b.Text == label }).OnTapped()
	k.settle()
}

// settle waits for the work under way and shows what it hands back.
func (k *keeper) settle() { k.runner.Drain() }

func (k *keeper) keys(names ...fyne.KeyName) {
	k.t.Helper()
	for _, name := range names {
		apptest.Key(k.t, k.c, name)
		k.settle()
	}
}

func (k *keeper) types(text string) {
	k.t.Helper()
	apptest.Type(k.t, k.c, text)
	k.settle()
}

// choose sets the n-th choice field of the dialog in front.
func (k *keeper) choose(n int, option string) {
	k.t.Helper()
	seen := -1
	c := apptest.Find(k.t, apptest.Top(k.c), func(screentest.Choice) bool { seen++; return seen == n })
	if !c.Pick(option) {
		k.t.Fatalf("the choice has no %q, it has %q", option, c.Names())
	}
	k.settle()
}

// menu presses a main-menu command's keys.
func (k *keeper) menu(key fyne.KeyName) {
	k.t.Helper()
	for i, m := range k.w.commands() {
		for j, c := range m.commands {
			if c.key == key {
				k.w.win.MainMenu().Items[i].Items[j].Action()
				k.settle()
				return
			}
		}
	}
	k.t.Fatalf("no menu has the key %s", key)
}

// noticed returns the notice above the page.
func (k *keeper) noticed() string {
	title, text := "", ""
	apptest.Each(k.w.notices.layer, func(o fyne.CanvasObject) {
		if n, ok := o.(*widgets.Notice); ok {
			title, text = n.Said()
		}
	})
	return title + ": " + text
}

// The whole loop: an empty ledger, two systems, readings, verdicts, a plan for
// both, doses given, the trend, the export; all there after opening it again.
func TestWholeLoop(t *testing.T) {
	now := time.Date(2026, 3, 10, 8, 0, 0, 0, time.UTC)
	clock := func() time.Time { return now }
	path := filepath.Join(t.TempDir(), "room", "Our room.ledger")
	k := newKeeper(t, clock)
	ctx := context.Background()

	k.keys(fyne.KeyReturn) // the welcome page's New room has the keyboard
	k.types("Our room")
	fields := 0
	apptest.Each(apptest.Top(k.c), func(o fyne.CanvasObject) {
		if e, ok := o.(*widgets.TextEntry); ok {
			fields++
			if fields == 2 {
				e.SetText(path)
			}
		}
	})
	k.keys(fyne.KeyTab) // the zone is found by its city
	k.types("paris")
	k.keys(fyne.KeyReturn)
	k.keys(fyne.KeyReturn)
	store := k.w.Session().Store
	if store.Path() != path {
		t.Fatalf("the ledger is %s, want %s", store.Path(), path)
	}

	k.press("Put them in")
	k.typeSystem("F1", "Frag rack, north")
	k.typeSystem("F2", "Frag rack, south")
	systems, err := store.Systems(ctx)
	if err != nil || len(systems) != 2 {
		t.Fatalf("%d systems, %v", len(systems), err)
	}
	for _, s := range systems {
		if v := s.NetVolume(); math.Abs(v.Litres-330) > 1e-9 || v.How != "from dimensions" || s.Kind != tanks.Marine || s.Profile == 0 {
			t.Errorf("%s: %+v, kind %v, profile %d", s.Code, v, s.Kind, s.Profile)
		}
	}

	k.menu(fyne.Key1)
	k.press("Start round")
	if k.w.now != session.TestSheet {
		t.Fatalf("the round opened %v", k.w.now)
	}
	// Frag rack: temperature, salinity, pH, alkalinity, calcium, magnesium, ...
	k.typeRow("25.4", "35,0", "8.15", "6.9", "380", "1210")
	k.typeRow("25.6", "35.1", "8.1", "8.2", "395", "1330")
	k.menu(fyne.KeyS)
	if !strings.HasPrefix(k.noticed(), "Saved 12 values") {
		t.Fatalf("after saving: %s", k.noticed())
	}
	latest, err := store.Latest(ctx)
	if err != nil || len(latest) != 12 {
		t.Fatalf("%d newest values, %v", len(latest), err)
	}

	k.menu(fyne.Key2)
	room, err := state.ReadEstimated(ctx, store, now)
	if err != nil {
		t.Fatal(err)
	}
	low := room.Judge(tanks.Cell{System: systems[0].ID, Analyte: chem.Alkalinity})
	if low.Word != tanks.BelowBand || low.Sure != tanks.Firm {
		t.Errorf("6.9 dKH in a band from 7.5 is %v", low)
	}

	k.menu(fyne.Key4)
	k.press("Change amount") // of the first line: F1 calcium
	k.c.Focused().(*widgets.NumberEntry).SetText("50")
	k.keys(fyne.KeyReturn)
	k.press("Commit plan")
	plans, err := store.Plans(ctx)
	if err != nil || len(plans) != 1 {
		t.Fatalf("%d plans, %v", len(plans), err)
	}
	bySystem := map[tanks.SystemID]map[chem.Analyte]tanks.PlanLine{}
	for _, l := range plans[0].Lines {
		if bySystem[l.System] == nil {
			bySystem[l.System] = map[chem.Analyte]tanks.PlanLine{}
		}
		bySystem[l.System][l.Analyte] = l
	}
	calcium := bySystem[systems[0].ID][chem.Calcium]
	if len(calcium.Doses) != 4 || calcium.Doses[0].Amount != 25 || // twice a day, by the largest step
		!strings.Contains(calcium.How.String(), "decided by you") {
		t.Errorf("the changed line is %+v", calcium)
	}
	if _, ok := bySystem[systems[1].ID][chem.Calcium]; !ok {
		t.Errorf("the plan has no calcium for the second system: %+v", plans[0].Lines)
	}

	k.press("Mark as given")
	additions, err := store.Additions(ctx, systems[0].ID, time.Time{}, now)
	if err != nil || len(additions) != 1 {
		t.Fatalf("%d additions, %v", len(additions), err)
	}
	fig, err := figure.Build(
		ctx,
		store,
		room,
		k.w.Session(),
		time.UTC,
		figure.Request{System: systems[0], Analytes: []chem.Analyte{chem.Calcium}, From: now.AddDate(0, 0, -5), To: now},
	)
	if err != nil || len(fig.Doses) != 1 || len(fig.Panels) != 1 || len(fig.Panels[0].Points) != 1 || fig.Panels[0].Band == nil {
		t.Fatalf("the trend has %d doses, %d panels, %v", len(fig.Doses), len(fig.Panels), err)
	}

	folder := t.TempDir()
	k.menu(fyne.Key7)
	apptest.Find(t, k.c.Content(), func(e *widgets.TextEntry) bool { return strings.HasPrefix(e.Text, "/") }).SetText(folder)
	k.press("Export PDF, CSV and manifest")
	checkExport(t, folder)

	if err := k.w.Close(); err != nil {
		t.Fatal(err)
	}
	again, err := storage.Open(ctx, path, clock)
	if err != nil {
		t.Fatal(err)
	}
	if err := k.w.Open(ctx, again); err != nil {
		t.Fatal(err)
	}
	k.settle()
	if latest, err = again.Latest(ctx); err != nil || len(latest) != 12 {
		t.Errorf("after opening again there are %d newest values, %v", len(latest), err)
	}
}

// typeSystem adds a system through its form: a vessel of 120 × 60 × 50 cm less
// 30 L displaced.
func (k *keeper) typeSystem(code, name string) {
	k.t.Helper()
	k.menu(fyne.Key8)
	k.press("Add a system")
	k.types(code)
	k.keys(fyne.KeyTab)
	k.types(name)
	k.choose(0, "Frag rack")
	grid := apptest.Find(k.t, apptest.Top(k.c), func(*widgets.Grid) bool { return true })
	k.c.Focus(grid)
	k.types("120")
	k.keys(fyne.KeyTab)
	k.types("60")
	k.keys(fyne.KeyTab)
	k.types("50")
	k.keys(fyne.KeyTab)
	k.types("30")
	k.press("Save")
	if k.c.Overlays().Top() != nil {
		k.t.Fatalf("the form of %s did not close", code)
	}
}

// typeRow types values from the cursor to the right, then goes to the next
// row's first cell.
func (k *keeper) typeRow(values ...string) {
	k.t.Helper()
	for _, v := range values {
		k.types(v)
		k.keys(fyne.KeyTab)
	}
	k.keys(fyne.KeyDown, fyne.KeyHome)
}

func checkExport(t *testing.T, folder string) {
	t.Helper()
	csvs, _ := filepath.Glob(filepath.Join(folder, "*", "*.csv"))
	pdfs, _ := filepath.Glob(filepath.Join(folder, "*", "*.pdf"))
	manifests, _ := filepath.Glob(filepath.Join(folder, "*", "*.json"))
	if len(csvs) != 1 || len(pdfs) != 1 || len(manifests) != 1 {
		t.Fatalf("written: %v %v %v", csvs, pdfs, manifests)
	}
	data, err := os.ReadFile(csvs[0])
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(data, []byte("\ufeff")))).ReadAll()
	if err != nil || len(rows) != 1+6+1 {
		t.Fatalf("the CSV has %d rows, %v; want a head, six readings and an addition", len(rows), err)
	}
	pdf, err := os.ReadFile(pdfs[0])
	if err != nil || !bytes.HasPrefix(pdf, []byte("%PDF-")) {
		t.Errorf("the PDF begins with %q, %v", pdf[:min(8, len(pdf))], err)
	}
}
