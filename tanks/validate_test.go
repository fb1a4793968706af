package tanks

import (
	"math"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/chem/seawater"
)

// with returns a copy of v changed by f.
func with[T any](v T, f func(*T)) T {
	f(&v)
	return v
}

func TestRoomValidate(t *testing.T) {
	good := Room{Name: "Frag shed", Zone: "Europe/Paris"}
	for _, c := range []struct {
		name   string
		room   Room
		fields string
	}{
		{"good", good, ""},
		{"no zone is UTC", with(good, func(r *Room) { r.Zone = "" }), ""},
		{"blank name", with(good, func(r *Room) { r.Name = " \t" }), "name"},
		{"unknown zone", with(good, func(r *Room) { r.Zone = "Mars/Base" }), "zone"},
		{"at the sea", with(good, func(r *Room) { r.Height = HeightOf(0) }), ""},
		{"highest", with(good, func(r *Room) { r.Height = HeightOf(4500) }), ""},
		{"too high", with(good, func(r *Room) { r.Height = HeightOf(4500.5) }), "height"},
		{"below the sea", with(good, func(r *Room) { r.Height = HeightOf(-1) }), "height"},
		{"height of no number", with(good, func(r *Room) { r.Height = HeightOf(math.NaN()) }), "height"},
		{"last set", with(good, func(r *Room) { r.Constants = seawater.SetEstuaryLee }), ""},
		{"no set", with(good, func(r *Room) { r.Constants = seawater.SetEstuaryLee + 1 }), "constants"},
		{"computer's own zone", with(good, func(r *Room) { r.Zone = "Local" }), "zone"},
	} {
		t.Run(c.name, func(t *testing.T) { wantFaults(t, c.room.Validate(), c.fields) })
	}
	if loc, err := good.Location(); err != nil || loc.String() != "Europe/Paris" {
		t.Errorf("%v %v", loc, err)
	}
}

func TestSystemValidate(t *testing.T) {
	good := System{Code: "F3", Name: "Frag rack", Kind: Marine, Opened: now,
		Tanks: []Tank{{Name: "rack", Length: 100, Width: 50, Height: 40, Displaced: 20}}}
	tank := func(f func(*Tank)) System {
		return with(good, func(s *System) { s.Tanks = []Tank{with(good.Tanks[0], f)} })
	}
	for _, c := range []struct {
		name   string
		s      System
		fields string
	}{
		{"good", good, ""},
		{"no code", with(good, func(s *System) { s.Code = "" }), "code"},
		{"code with space", with(good, func(s *System) { s.Code = "F 3" }), "code"},
		{"code of nine letters", with(good, func(s *System) { s.Code = "ÄÖÜ456789" }), "code"},
		{"code of eight letters", with(good, func(s *System) { s.Code = "ÄÖÜ45678" }), ""},
		{"no name, no kind", with(good, func(s *System) { s.Name, s.Kind = "", 0 }), "name kind"},
		{"unknown kind", with(good, func(s *System) { s.Kind = Source + 1 }), "kind"},
		{"purified system", with(good, func(s *System) { s.Purified = true }), "purified"},
		{"purified source", with(good, func(s *System) { s.Kind, s.Purified = Source, true }), ""},
		{"negative volume", with(good, func(s *System) { s.Stated = -1 }), "stated"},
		{"infinite volume", with(good, func(s *System) { s.Stated = math.Inf(1) }), "stated"},
		{"negative uncertainty", with(good, func(s *System) { s.StatedUncertainty = -1 }), "stated"},
		{"closed before opened", with(good, func(s *System) { s.Closed = now.Add(-time.Hour) }), "closed"},
		{"flat tank", tank(func(k *Tank) { k.Height = 0 }), "tanks.0.height"},
		{"tank of no numbers", tank(func(k *Tank) { k.Length, k.Width = math.NaN(), -3 }), "tanks.0.length tanks.0.width"},
		{"negative displacement", tank(func(k *Tank) { k.Displaced = -1 }), "tanks.0.displaced"},
		{"full of rock", tank(func(k *Tank) { k.Name, k.Displaced = "", 200 }), "tanks.0.displaced"},
	} {
		t.Run(c.name, func(t *testing.T) { wantFaults(t, c.s.Validate(), c.fields) })
	}
}

func TestNetVolume(t *testing.T) {
	rack := Tank{Length: 100, Width: 50, Height: 40, Displaced: 20}
	for _, c := range []struct {
		name   string
		s      System
		litres float64
		u      float64
		how    string
	}{
		{"stated wins", System{Stated: 300, StatedUncertainty: 4, Tanks: []Tank{rack}}, 300, 4, "stated"},
		{"two tanks", System{Tanks: []Tank{rack, {Length: 50, Width: 40, Height: 30}}}, 240, 12, "from dimensions"},
		{"no tank", System{}, 0, 0, "unknown"},
		{"no water", System{Tanks: []Tank{{Length: 10, Width: 10, Height: 10, Displaced: 2}}}, 0, 0, "unknown"},
	} {
		t.Run(c.name, func(t *testing.T) {
			v := c.s.NetVolume()
			near(t, "litres", v.Litres, c.litres, 1e-9)
			near(t, "uncertainty", v.Uncertainty, c.u, 1e-9)
			if v.How.String() != c.how || v.Known() != (c.litres > 0) {
				t.Errorf("%q, known %v", v.How, v.Known())
			}
		})
	}
}

func TestBandValidate(t *testing.T) {
	good := Band{Analyte: chem.Calcium, Low: 400, Aim: 420, High: 450, MaxRise: 20, TestEvery: time.Hour, AtSalinity: 35}
	for _, c := range []struct {
		name   string
		b      Band
		fields string
	}{
		{"good", good, ""},
		{"only tests", Band{Analyte: chem.Calcium, TestEvery: time.Hour}, ""},
		{"unknown analyte", with(good, func(b *Band) { b.Analyte = 999 }), "analyte"},
		{"low above high", with(good, func(b *Band) { b.Low, b.High = 450, 400 }), "low"},
		{"no width", with(good, func(b *Band) { b.Low, b.Aim, b.High = 420, 420, 420 }), "high"},
		{"aim below", with(good, func(b *Band) { b.Aim = 390 }), "aim"},
		{"aim above", with(good, func(b *Band) { b.Aim = 460 }), "aim"},
		{"high not plausible", with(good, func(b *Band) { b.High = 1e7 }), "high"},
		{"low not a number", with(good, func(b *Band) { b.Low = math.NaN() }), "low"},
		{"negative rise", with(good, func(b *Band) { b.MaxRise = -1 }), "max_rise"},
		{"negative step", with(good, func(b *Band) { b.MaxStep = -1 }), "max_step"},
		{"step of no number", with(good, func(b *Band) { b.MaxStep = math.NaN() }), "max_step"},
		{"step of a day", with(good, func(b *Band) { b.MaxStep = 20 }), ""},
		{"step above a day", with(good, func(b *Band) { b.MaxStep = 20.1 }), "max_step"},
		{"step where no day is known", with(good, func(b *Band) { b.MaxRise, b.MaxStep = 0, 20 }), ""},
		{"negative interval", with(good, func(b *Band) { b.TestEvery = -1 }), "test_every"},
		{"negative salinity", with(good, func(b *Band) { b.AtSalinity = -1 }), "at_salinity"},
	} {
		t.Run(c.name, func(t *testing.T) { wantFaults(t, c.b.Validate(), c.fields) })
	}
	if !good.HasEdges() || (Band{}).HasEdges() || good.Width() != 50 {
		t.Error("edges or width")
	}
}

func TestProfileValidate(t *testing.T) {
	ca := Band{Analyte: chem.Calcium, Low: 400, Aim: 420, High: 450}
	good := Profile{Name: "Reef", Kind: Marine, Bands: []Band{ca}}
	for _, c := range []struct {
		name   string
		p      Profile
		fields string
	}{
		{"good", good, ""},
		{"nothing given", Profile{}, "name kind"},
		{"bad band", with(good, func(p *Profile) { p.Bands = []Band{ca, {Analyte: 999}} }), "bands.1.analyte"},
		{"two of one analyte", with(good, func(p *Profile) { p.Bands = []Band{ca, ca} }), "bands.1.analyte"},
	} {
		t.Run(c.name, func(t *testing.T) { wantFaults(t, c.p.Validate(), c.fields) })
	}
}

func TestMergeBands(t *testing.T) {
	ca, alk, ph := Band{Analyte: chem.Calcium, Aim: 420}, Band{Analyte: chem.Alkalinity, Aim: 3}, Band{Analyte: chem.PH, Aim: 8.2}
	own := Band{Analyte: chem.Calcium, Aim: 430}
	for _, c := range []struct {
		name               string
		profile, own, want []Band
	}{
		{"profile only", []Band{ca, alk}, nil, []Band{ca, alk}},
		{"own only", nil, []Band{own}, []Band{own}},
		{"own replaces in place, more follow", []Band{ca, alk}, []Band{ph, own}, []Band{own, alk, ph}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := MergeBands(c.profile, c.own)
			if len(got) != len(c.want) {
				t.Fatalf("%v", got)
			}
			for i := range got {
				if got[i] != c.want[i] {
					t.Errorf("band %d is %v, want %v", i, got[i], c.want[i])
				}
			}
		})
	}
}

func TestMethodValidate(t *testing.T) {
	good := Method{Name: "drops", Kind: Kit, Analyte: chem.Calcium, Unit: "mg/L", Resolution: 5, Accuracy: 10, AccuracyShare: 0.02,
		Detection: 5, Top: 600}
	for _, c := range []struct {
		name   string
		m      Method
		fields string
	}{
		{"good", good, ""},
		{"nothing given", Method{}, "name kind analyte"},
		{"foreign unit", with(good, func(m *Method) { m.Unit = "dKH" }), "unit"},
		{"negative numbers", with(good, func(m *Method) { m.Resolution, m.Accuracy, m.AccuracyShare, m.Repeatability = -1, -1, -1, -1 }),
			"resolution accuracy accuracy_share repeatability"},
		{"no numbers", with(good, func(m *Method) { m.Detection, m.Top = math.NaN(), math.Inf(1) }), "detection top"},
		{"share in per cent", with(good, func(m *Method) { m.AccuracyShare = 5 }), "accuracy_share"},
		{"detection over range", with(good, func(m *Method) { m.Detection = 600 }), "detection"},
	} {
		t.Run(c.name, func(t *testing.T) { wantFaults(t, c.m.Validate(), c.fields) })
	}
}

func TestReadingValidate(t *testing.T) {
	good := Reading{System: 1, Analyte: chem.Calcium, At: now, Value: 420, Unit: "mg/L"}
	for _, c := range []struct {
		name   string
		r      Reading
		fields string
	}{
		{"good", good, ""},
		{"clock a little off", with(good, func(r *Reading) { r.At = now.Add(4 * time.Minute) }), ""},
		{"tomorrow", with(good, func(r *Reading) { r.At = now.Add(24 * time.Hour) }), "at"},
		{"no system, no time", with(good, func(r *Reading) { r.System, r.At = 0, time.Time{} }), "system at"},
		{"unknown analyte", with(good, func(r *Reading) { r.Analyte = 999 }), "analyte"},
		{"foreign unit", with(good, func(r *Reading) { r.Unit = "dKH" }), "unit"},
		{"not plausible", with(good, func(r *Reading) { r.Value = 4.2e6 }), "value"},
		{"not a number", with(good, func(r *Reading) { r.Value = math.NaN() }), "value"},
		{"below nothing", with(good, func(r *Reading) { r.Value, r.Limit = 0, Below }), "value"},
	} {
		t.Run(c.name, func(t *testing.T) { wantFaults(t, c.r.Validate(now), c.fields) })
	}
}

func TestSampleValidate(t *testing.T) {
	good := Sample{System: 1, Code: "K-17", Drawn: now.Add(-48 * time.Hour), Sent: now.Add(-24 * time.Hour), Received: now}
	for _, c := range []struct {
		name   string
		s      Sample
		fields string
	}{
		{"good", good, ""},
		{"nothing given", Sample{}, "system code drawn"},
		{"still to come", Sample{System: 1, Code: "a", Drawn: now.Add(time.Hour)}, "drawn"},
		{"sent before drawn", with(good, func(s *Sample) { s.Sent = s.Drawn.Add(-time.Hour) }), "sent"},
		{"back before drawn", with(good, func(s *Sample) { s.Received = s.Drawn.Add(-time.Hour) }), "received"},
	} {
		t.Run(c.name, func(t *testing.T) { wantFaults(t, c.s.Validate(now), c.fields) })
	}
}

func TestAdditionValidate(t *testing.T) {
	good := Addition{System: 1, Product: 2, At: now, Amount: 30}
	for _, c := range []struct {
		name   string
		a      Addition
		fields string
	}{
		{"good", good, ""},
		{"nothing given", Addition{}, "system product at amount"},
		{"still to come", with(good, func(a *Addition) { a.At = now.Add(time.Hour) }), "at"},
		{"not a number", with(good, func(a *Addition) { a.Amount = math.NaN() }), "amount"},
		{"infinite", with(good, func(a *Addition) { a.Amount = math.Inf(1) }), "amount"},
	} {
		t.Run(c.name, func(t *testing.T) { wantFaults(t, c.a.Validate(now), c.fields) })
	}
}

func TestWaterChangeValidate(t *testing.T) {
	good := WaterChange{System: 1, At: now, Litres: 30, Share: 0.1}
	for _, c := range []struct {
		name   string
		w      WaterChange
		fields string
	}{
		{"good", good, ""},
		{"all of it", with(good, func(w *WaterChange) { w.Share = 1 }), ""},
		{"nothing given", WaterChange{}, "system at litres litres"},
		{"more than all", with(good, func(w *WaterChange) { w.Share = 1.1 }), "litres"},
		{"share not a number", with(good, func(w *WaterChange) { w.Share = math.NaN() }), "litres"},
		{"still to come", with(good, func(w *WaterChange) { w.At = now.Add(time.Hour) }), "at"},
	} {
		t.Run(c.name, func(t *testing.T) { wantFaults(t, c.w.Validate(now), c.fields) })
	}
}

func TestObservationValidate(t *testing.T) {
	wantFaults(t, Observation{System: 1, At: now, Text: "polyps out"}.Validate(now), "")
	wantFaults(t, Observation{Text: " \n"}.Validate(now), "system at text")
	wantFaults(t, Observation{System: 1, At: now.Add(time.Hour), Text: "x"}.Validate(now), "at")
}

func TestDosingPlanValidate(t *testing.T) {
	line := PlanLine{System: 1, Product: 2, Doses: []Dose{{Due: now, Amount: 10}}}
	for _, c := range []struct {
		name   string
		p      DosingPlan
		fields string
	}{
		{"good", DosingPlan{Caution: 0.5, Lines: []PlanLine{line}}, ""},
		{"nothing given", DosingPlan{}, "caution lines"},
		{"caution over one", DosingPlan{Caution: 1.2, Lines: []PlanLine{line}}, "caution"},
		{"caution not a number", DosingPlan{Caution: math.NaN(), Lines: []PlanLine{line}}, "caution"},
		{"empty line", DosingPlan{Caution: 1, Lines: []PlanLine{line, {}}}, "lines.1.system lines.1.product"},
		{"empty dose", DosingPlan{Caution: 1, Lines: []PlanLine{with(line, func(l *PlanLine) { l.Doses = []Dose{{}} })}},
			"lines.0.doses.0.amount lines.0.doses.0.due"},
	} {
		t.Run(c.name, func(t *testing.T) { wantFaults(t, c.p.Validate(), c.fields) })
	}
	if !(Dose{}).Waiting() || (Dose{Done: now}).Waiting() || (Dose{Dropped: true}).Waiting() {
		t.Error("waiting")
	}
}

func TestProductValidate(t *testing.T) {
	salt := chem.Product{Form: chem.Solid, Ingredients: []chem.Ingredient{{Compound: "CaCl2·2H2O", Amount: 1}}}
	good := Product{Name: "calcium salt", Contents: salt, Stock: 500, Full: 1000, Price: 9}
	for _, c := range []struct {
		name   string
		p      Product
		fields string
	}{
		{"good", good, ""},
		{"no name", with(good, func(p *Product) { p.Name = "" }), "name"},
		{"no contents", with(good, func(p *Product) { p.Contents = chem.Product{} }), "contents"},
		{"negative stock", with(good, func(p *Product) { p.Stock = -1 }), "stock"},
		{"price not a number", with(good, func(p *Product) { p.Price = math.NaN() }), "price"},
	} {
		t.Run(c.name, func(t *testing.T) { wantFaults(t, c.p.Validate(), c.fields) })
	}
	if good.Unit() != "g" {
		t.Errorf("a solid is dosed in %s", good.Unit())
	}
}

func TestWords(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{Marine.String(), "marine"}, {Brackish.String(), "brackish"}, {Freshwater.String(), "freshwater"}, {Source.String(), "source"},
		{Kind(0).String(), "no kind"},
		{Kit.String(), "kit"}, {Photometer.String(), "photometer"}, {Meter.String(), "meter"}, {Probe.String(), "probe"},
		{Lab.String(), "lab"}, {MethodKind(9).String(), "no kind"},
		{System{Code: "F3", Name: "Rack"}.Label(), "F3  Rack"}, {System{Code: "F3"}.Label(), "F3"},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
	if len(Kinds()) != 4 || len(MethodKinds()) != 5 || !(System{}).Open() || (System{Closed: now}).Open() {
		t.Error("kinds or open")
	}
}
