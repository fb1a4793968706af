package shell

import (
	"math"
	"os"
	"strings"
	"testing"

	"fyne.io/fyne/v2"

	"weirkeeper/app/apptest"
	"weirkeeper/app/look"
	"weirkeeper/app/session"
	"weirkeeper/app/tour"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// said is all the text of the dialog in front, or of the window, but for what
// stands under the quantities of a form.
func (k *keeper) said() string {
	k.t.Helper()
	var b strings.Builder
	under := map[fyne.CanvasObject]bool{}
	apptest.Each(apptest.Top(k.c), func(o fyne.CanvasObject) {
		if q, ok := o.(*widgets.QuantityEntry); ok {
			apptest.Each(q, func(o fyne.CanvasObject) { under[o] = true })
		}
		if w, ok := o.(*widgets.Paragraph); ok && !under[o] {
			b.WriteString(w.Text() + "\n")
		}
	})
	return b.String()
}

// picture writes what is shown to a file of WEIRKEEPER_PICTURES, for looking at.
func (k *keeper) picture(name string) {
	k.t.Helper()
	if folder := os.Getenv("WEIRKEEPER_PICTURES"); folder != "" {
		apptest.Capture(k.t, k.w.win, folder+"/"+name+".png")
	}
}

func TestChemistryOfASystem(t *testing.T) {
	k, store, f := openRoom(t)
	for a, v := range map[chem.Analyte]float64{chem.Calcium: 420, chem.Alkalinity: 2.8} {
		save(t, store, f, 0, a, map[int]float64{1: v})
	}
	row := func(name string) widgets.Row {
		k.w.Show(session.Route{Place: session.System, System: f.Systems[0].ID, Section: session.SystemChemistry})
		k.settle()
		table := apptest.Find(t, k.c.Content(), func(w *widgets.Table) bool { return true })
		for _, r := range table.Rows() {
			if r.Cells[0].Text == name {
				return r
			}
		}
		t.Fatalf("no row %q", name)
		return widgets.Row{}
	}
	if r := row("Aragonite saturation"); r.Cells[1].Bold != "" || !strings.HasPrefix(r.Cells[3].Text, "needs pH") {
		t.Errorf("without pH: %+v", r.Cells)
	}
	var readings []tanks.Reading
	for a, v := range map[chem.Analyte]float64{chem.PH: 8.2, chem.Temperature: 25, chem.Salinity: 35} {
		readings = append(readings, tanks.Reading{System: f.Systems[0].ID, Analyte: a, At: f.Now, Value: v})
	}
	if _, err := store.SaveReadings(t.Context(), readings); err != nil {
		t.Fatal(err)
	}
	if r := row("Aragonite saturation"); !strings.HasPrefix(r.Cells[1].Bold, "4 ±") && !strings.HasPrefix(r.Cells[1].Bold, "4.2 ±") {
		t.Errorf("saturation of 4.2 is shown as %q", r.Cells[1].Bold)
	}
	// Opening what lacks a reading leads to the sheet for it.
	r := row("Un-ionised ammonia")
	apptest.Find(t, k.c.Content(), func(w *widgets.Table) bool { return true }).OnOpen(r.ID)
	k.settle()
	grid := apptest.Find(t, k.c.Content(), func(*widgets.Grid) bool { return true })
	if grid == nil {
		t.Error("the test sheet is not open")
	}
}

func TestMakeUpAStock(t *testing.T) {
	k, _, _ := openRoom(t)
	k.w.Show(session.Route{Place: session.Dosing, Section: session.DosingShelf})
	k.settle()
	apptest.Find(t, k.c.Content(), func(*widgets.Table) bool { return true }).SetCurrent(0)
	k.press("Make it up")
	k.picture("make-up")
	if text := k.said(); !strings.Contains(text, "cold pure water") || !strings.Contains(text, "go first") {
		t.Errorf("the recipe says %q", text)
	}
	table := apptest.Find(t, apptest.Top(k.c), func(*widgets.Table) bool { return true })
	if rows := table.Rows(); len(rows) != 1 || !strings.HasSuffix(rows[0].Cells[1].Bold, " g") {
		t.Errorf("the list is %+v", rows)
	}
	k.number(0).SetText("-3")
	form := apptest.Find(t, apptest.Top(k.c), func(*widgets.Form) bool { return true })
	if !strings.Contains(form.FaultOf("litres"), "litres above zero") || len(table.Rows()) != 0 {
		t.Errorf("of −3 L the form says %q", form.FaultOf("litres"))
	}
	k.number(0).SetText("2")
	k.number(1).SetText("44")
	if !strings.Contains(form.FaultOf("coldest"), "outside 0 to 40 °C") {
		t.Errorf("of 44 °C the form says %q", form.FaultOf("coldest"))
	}
	k.number(1).SetText("4")
	if form.FaultOf("coldest") != "" || len(table.Rows()) != 1 {
		t.Error("the fault stays")
	}
}

func TestSaltWater(t *testing.T) {
	k, store, f := openRoom(t)
	if _, err := store.SaveReadings(t.Context(), []tanks.Reading{
		{System: f.Systems[0].ID, Analyte: chem.Salinity, At: f.Now, Value: 36.5}, {System: f.Systems[0].ID, Analyte: chem.Temperature,
			At: f.Now, Value: 25},
	}); err != nil {
		t.Fatal(err)
	}
	k.w.Show(session.Route{Place: session.Dosing, Section: session.DosingChanges, System: f.Systems[0].ID})
	k.settle()
	k.press("Mix salt water")
	k.picture("mix-salt")
	form := apptest.Find(t, apptest.Top(k.c), func(*widgets.Form) bool { return true })
	k.number(0).SetText("500")
	k.number(4).SetText("12")
	if text := k.said(); !strings.Contains(text, "20.45 kg of salt into 492.7 L") {
		t.Errorf("the batch is %q", text)
	}
	k.number(1).SetText("90")
	if !strings.Contains(form.FaultOf("goal"), "cannot be") || k.said() != "" {
		t.Errorf("of 90 PSU the form says %q", form.FaultOf("goal"))
	}
	k.number(1).SetText("35")
	k.number(2).SetText("77")
	if !strings.Contains(form.FaultOf("temperature"), "cannot be") {
		t.Errorf("of 77 °C the form says %q", form.FaultOf("temperature"))
	}
	k.number(2).SetText("25")
	k.number(3).SetText("36")
	if !strings.Contains(form.FaultOf("source"), "between the two waters") {
		t.Errorf("of saltier water the form says %q", form.FaultOf("source"))
	}
	k.press("Close")
	k.press("Correct salinity")
	k.picture("correct-salinity")
	k.number(0).SetText("800")
	k.number(1).SetText("36.5")
	k.number(2).SetText("35")
	if text := k.said(); !strings.Contains(text, "Swap 33.7 L") || !strings.Contains(text, "Or add 35") {
		t.Errorf("the ways down are %q", text)
	}
	k.number(2).SetText("38")
	if text := k.said(); !strings.Contains(text, "cannot lead there by a swap") || !strings.Contains(text, "kg of dry salt") ||
		!strings.Contains(text, "evaporate") {
		t.Errorf("the ways up are %q", text)
	}
	k.number(2).SetText("0")
	if text := k.said(); !strings.Contains(text, "Swap 800.0 L") {
		t.Errorf("the way to fresh water is %q", text)
	}
	k.number(0).SetText("0")
	form = apptest.Find(t, apptest.Top(k.c), func(*widgets.Form) bool { return true })
	if !strings.Contains(form.FaultOf("litres"), "litres above zero") {
		t.Errorf("of no litres the form says %q", form.FaultOf("litres"))
	}
}

func TestLiquidGivenByMass(t *testing.T) {
	k, store, _ := openRoom(t)
	k.w.Show(session.Route{Place: session.Dosing, Section: session.DosingShelf})
	k.settle()
	k.press("Add a product")
	k.types("Strong acid")
	k.choose(0, "Liquid, per cent by mass")
	k.choose(1, "hydrogen chloride, HCl")
	k.number(0).SetText("31.45")
	k.press("Save")
	form := apptest.Find(t, apptest.Top(k.c), func(*widgets.Form) bool { return true })
	if !strings.Contains(form.FaultOf("density"), "outside 0.5 to 3 kg/L") {
		t.Errorf("without a density the form says %q", form.FaultOf("density"))
	}
	k.number(3).SetText("1.16")
	k.press("Save")
	k.closed()
	products, err := store.Products(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	last := products[len(products)-1].Contents
	if len(last.Ingredients) != 1 || math.Abs(last.Ingredients[0].Amount-364.82) > 0.01 || last.Form != chem.Liquid {
		t.Errorf("%+v", last)
	}
}

func TestChlorine(t *testing.T) {
	k, _, f := openRoom(t)
	k.w.Show(session.Route{Place: session.Dosing, Section: session.DosingChanges, System: f.Systems[0].ID})
	k.settle()
	k.press("Take out chlorine")
	k.picture("chlorine")
	k.number(0).SetText("400")
	k.number(1).SetText("1.5")
	if text := k.said(); !strings.Contains(text, "4.20 g of sodium thiosulfate") || strings.Contains(text, "ammonia") {
		t.Errorf("it says %q", text)
	}
	apptest.Find(t, apptest.Top(k.c), func(*widgets.Check) bool { return true }).SetChecked(true)
	if text := k.said(); !strings.Contains(text, "0.38 mg/L of ammonia") {
		t.Errorf("of chloramine it says %q", text)
	}
	k.number(1).SetText("500")
	form := apptest.Find(t, apptest.Top(k.c), func(*widgets.Form) bool { return true })
	if !strings.Contains(form.FaultOf("chlorine"), "outside 0 to 20 mg/L") {
		t.Errorf("of 500 mg/L the form says %q", form.FaultOf("chlorine"))
	}
}

func TestMeasureAVolume(t *testing.T) {
	k, store, f := openRoom(t)
	k.w.Show(session.Route{Place: session.Setup, Section: session.SetupSystems})
	k.settle()
	apptest.Find(t, k.c.Content(), func(*widgets.Table) bool { return true }).SetCurrent(0)
	k.press("Measure the volume")
	k.picture("volume")
	if text := k.said(); !strings.Contains(text, "read before and after") {
		t.Errorf("at first it says %q", text)
	}
	k.press("Use it")
	form := apptest.Find(t, apptest.Top(k.c), func(*widgets.Form) bool { return true })
	k.choose(0, "Calcium stock") // 100 g/L of calcium chloride dihydrate
	k.choose(1, "Calcium")
	for n, text := range []string{"110", "1", "420", "430", "0,5"} {
		k.number(n).SetText(text)
	}
	// 110 mL hold 2999 mg of calcium: 300 L, and 0.5·√2/10 of it.
	if text := k.said(); !strings.Contains(text, "300 ± 21 L") {
		t.Errorf("it says %q", text)
	}
	k.number(3).SetText("421")
	if !strings.Contains(form.FaultOf("after"), "too small beside the readings' scatter") {
		t.Errorf("of a rise in the noise the form says %q", form.FaultOf("after"))
	}
	k.number(3).SetText("430")
	k.press("Use it")
	k.closed()
	systems, err := store.Systems(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range systems {
		if s.ID == f.Systems[0].ID && (math.Abs(s.Stated-299.9) > 0.2 || math.Abs(s.StatedUncertainty-21.4) > 0.3) {
			t.Errorf("kept %g ± %g", s.Stated, s.StatedUncertainty)
		}
	}
}

// The line under the table says nothing of a quantity that needs no remark.
func TestChemistrySaysNoEmptyRemark(t *testing.T) {
	store := demoStore(t)
	stops, err := tour.Stops(t.Context(), store)
	if err != nil {
		t.Fatal(err)
	}
	w := show(t, tour.Variant{Size: tour.Large, Theme: look.AlwaysLight, Scale: 1}, store)
	for _, s := range stops {
		if s.Name != "system-chemistry" {
			continue
		}
		visit(t, w, s)
		for _, text := range apptest.Texts(w.win) {
			if strings.HasSuffix(strings.TrimSpace(text.Text), ":") {
				t.Errorf("it says %q", text.Text)
			}
		}
	}
}
