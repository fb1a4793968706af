package tasks

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// tested is a system with one test of an interval, done so many days before
// March 10, and the verdict on it.
type tested struct {
	every, ago int
	word       tanks.Word
}

func agendaOf(of ...tested) Agenda {
	in := Input{Bands: map[tanks.SystemID][]tanks.Band{}, LastTested: map[tanks.Cell]Last{}, Verdicts: map[tanks.Cell]tanks.Verdict{}}
	for i, o := range of {
		id := tanks.SystemID(i + 1)
		cell := tanks.Cell{System: id, Analyte: chem.Nitrate}
		in.Systems = append(in.Systems, tanks.System{ID: id, Opened: at("2025-01-01 00:00")})
		in.Bands[id] = []tanks.Band{band(chem.Nitrate, o.every)}
		in.LastTested[cell] = Last{At: at("2026-03-10 07:00").AddDate(0, 0, -o.ago)}
		in.Verdicts[cell] = tanks.Verdict{Word: o.word, Sure: tanks.Firm}
	}
	return MakeAgenda(in, at("2026-03-10 08:00"), paris)
}

func order(items []Item) string {
	var names []string
	for _, i := range items {
		names = append(names, fmt.Sprintf("F%d", i.System))
	}
	return strings.Join(names, " ")
}

// Overdue work is ordered by how late it is against its own interval, then with
// what is outside its band, to either side, before what is within, then in walking
// order; what is to come by its day first.
func TestOrderOfTheAgenda(t *testing.T) {
	const within, above, below, none = tanks.WithinBand, tanks.AboveBand, tanks.BelowBand, tanks.NoVerdict
	for _, c := range []struct {
		name                 string
		of                   []tested
		overdue, today, soon string
	}{
		{"two days late of 10, of 2, of 4", []tested{{10, 12, within}, {2, 4, within}, {4, 6, within}}, "F2 F3 F1", "", ""},
		{"lateness before the verdict", []tested{{2, 4, within}, {10, 12, above}}, "F1 F2", "", ""},
		{"above before within", []tested{{7, 9, within}, {7, 9, above}, {7, 9, none}}, "F2 F1 F3", "", ""},
		{"below before within", []tested{{7, 9, within}, {7, 9, below}}, "F2 F1", "", ""},
		{"above and below alike: walking order", []tested{{7, 9, above}, {7, 9, below}, {7, 9, above}}, "F1 F2 F3", "", ""},
		{"today, by the same rule", []tested{{7, 7, within}, {3, 3, above}, {5, 5, within}}, "", "F2 F1 F3", ""},
		{"to come by its day, then by its interval", []tested{{10, 5, within}, {10, 8, within}, {3, 1, within}, {30, 28, above}}, "", "",
			"F4 F2 F3 F1"},
		{"a day late, today, in seven days and in eight", []tested{{7, 8, within}, {7, 7, within}, {7, 0, within}, {8, 0, within}}, "F1",
			"F2", "F3"},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := agendaOf(c.of...)
			if got := order(b.Overdue); got != c.overdue {
				t.Errorf("overdue %q, want %q", got, c.overdue)
			}
			if got := order(b.Today); got != c.today {
				t.Errorf("today %q, want %q", got, c.today)
			}
			if got := order(b.Soon); got != c.soon {
				t.Errorf("soon %q, want %q", got, c.soon)
			}
		})
	}
}

// Tests of a system that fall on one day are one item: it is as late as the
// shortest of their intervals makes it, outside when one of them is, and was last
// done when the oldest of them was.
func TestOneItemOfSeveralIntervals(t *testing.T) {
	in := Input{
		Systems: systems[:1],
		Bands:   map[tanks.SystemID][]tanks.Band{1: {band(chem.Calcium, 10), band(chem.Alkalinity, 2), band(chem.Nitrate, 5)}},
		LastTested: map[tanks.Cell]Last{
			{System: 1, Analyte: chem.Calcium}:    {At: at("2026-02-26 08:00"), By: "AL"},
			{System: 1, Analyte: chem.Alkalinity}: {At: at("2026-03-06 08:00"), By: "JM"},
			{System: 1, Analyte: chem.Nitrate}:    {At: at("2026-03-03 08:00"), By: "JM"},
		},
	}
	b := MakeAgenda(in, at("2026-03-10 08:00"), paris)
	if len(b.Overdue) != 1 {
		t.Fatalf("%+v", b)
	}
	item := b.Overdue[0]
	if !slices.Equal(item.Analytes, []chem.Analyte{chem.Calcium, chem.Alkalinity, chem.Nitrate}) || item.Every != 2*day ||
		item.Overdue != 1 {
		t.Errorf("%v every %v, %g intervals late", item.Analytes, item.Every, item.Overdue)
	}
	if item.LastBy != "AL" || !item.LastDone.Equal(at("2026-02-26 08:00")) {
		t.Errorf("last done at %v by %s", item.LastDone, item.LastBy)
	}
	in.LastTested[tanks.Cell{System: 1, Analyte: chem.Alkalinity}] = Last{}
	// One that was never done is due since the system was opened, 68 days ago.
	b = MakeAgenda(in, at("2026-03-10 08:00"), paris)
	if len(b.Overdue) != 2 || !slices.Equal(b.Overdue[0].Analytes, []chem.Analyte{chem.Alkalinity}) || b.Overdue[0].Overdue != 34 {
		t.Errorf("one of them never done: %+v", b.Overdue)
	}
}

// A system with one analyte outside its band comes before one with none, whichever
// of its analytes that is; work of the room comes after that of the systems.
func TestOneOutsideIsEnough(t *testing.T) {
	bands := []tanks.Band{band(chem.Calcium, 7), band(chem.Nitrate, 7)}
	for _, outside := range []chem.Analyte{chem.Calcium, chem.Nitrate} {
		in := Input{
			Systems: []tanks.System{{ID: 1}, {ID: 2}}, Bands: map[tanks.SystemID][]tanks.Band{1: bands, 2: bands},
			LastTested: map[tanks.Cell]Last{},
			Verdicts:   map[tanks.Cell]tanks.Verdict{{System: 2, Analyte: outside}: {Word: tanks.AboveBand}},
			Tasks: []Task{{ID: 1, Every: 7, Start: at("2026-03-08 00:00")},
				{ID: 2, System: 1, Every: 7, Start: at("2026-03-08 00:00")}},
			Completions: []Completion{{Task: 1, At: at("2026-03-01 08:00")}, {Task: 2, System: 1, At: at("2026-03-01 08:00")}},
		}
		for _, s := range in.Systems {
			for _, b := range bands {
				in.LastTested[tanks.Cell{System: s.ID, Analyte: b.Analyte}] = Last{At: at("2026-03-01 08:00")}
			}
		}
		if got := order(MakeAgenda(in, at("2026-03-10 08:00"), paris).Overdue); got != "F2 F1 F1 F0" {
			t.Errorf("with %v outside in F2: %s", outside, got)
		}
	}
}

// What needs attention, and what is to be done about it, by the analyte and the
// kind of water: doses raise what is low in a system, new water lowers what is
// high, and what neither mends is tested again.
func TestNextSteps(t *testing.T) {
	low := tanks.Verdict{Word: tanks.BelowBand, Sure: tanks.Firm, PBelow: 0.99}
	high := tanks.Verdict{Word: tanks.AboveBand, Sure: tanks.Firm, PAbove: 0.99}
	stale := func(v tanks.Verdict) tanks.Verdict { v.Stale = true; return v }
	unsure := func(v tanks.Verdict) tanks.Verdict { v.Sure = tanks.Unsure; return v }
	for _, c := range []struct {
		name string
		kind tanks.Kind
		a    chem.Analyte
		v    tanks.Verdict
		want int // the step, −1: no concern
	}{
		{"marine, low calcium", tanks.Marine, chem.Calcium, low, int(PlanDose)},
		{"brackish, high nitrate", tanks.Brackish, chem.Nitrate, high, int(PlanChange)},
		{"fresh, low potassium", tanks.Freshwater, chem.Potassium, low, int(PlanDose)},
		{"fresh, high ammonia", tanks.Freshwater, chem.Ammonia, high, int(PlanChange)},
		{"low temperature", tanks.Marine, chem.Temperature, low, int(AddToRound)},
		{"low pH", tanks.Freshwater, chem.PH, low, int(AddToRound)},
		{"high pH", tanks.Marine, chem.PH, high, int(AddToRound)},
		{"low oxygen", tanks.Brackish, chem.Oxygen, low, int(AddToRound)},
		{"high carbon dioxide", tanks.Freshwater, chem.CarbonDi, high, int(AddToRound)},
		{"a source that is high", tanks.Source, chem.Nitrate, high, int(AddToRound)},
		{"a source that is low", tanks.Source, chem.Calcium, low, int(AddToRound)},
		{"stale", tanks.Marine, chem.Calcium, stale(low), int(AddToRound)},
		{"stale without a verdict", tanks.Marine, chem.Calcium, tanks.Verdict{Stale: true}, int(AddToRound)},
		{"unsure below", tanks.Marine, chem.Calcium, unsure(low), -1},
		{"unsure above", tanks.Marine, chem.Calcium, unsure(high), -1},
		{"within", tanks.Marine, chem.Calcium, tanks.Verdict{Word: tanks.WithinBand, Sure: tanks.Firm}, -1},
		{"nothing known", tanks.Marine, chem.Calcium, tanks.Verdict{}, -1},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := Attention(AttentionInput{
				Systems: []tanks.System{{ID: 1, Kind: c.kind}}, Bands: map[tanks.SystemID][]tanks.Band{1: {band(c.a, 7)}},
				Verdicts: map[tanks.Cell]tanks.Verdict{{System: 1, Analyte: c.a}: c.v}, Say: func(Concern) words.Text { return "why" },
			})
			switch {
			case c.want < 0 && len(got) > 0, c.want >= 0 && len(got) != 1:
				t.Fatalf("%+v", got)
			case c.want >= 0 && (int(got[0].Next) != c.want || got[0].Text != "why" || got[0].Verdict != c.v):
				t.Errorf("%+v, want step %d", got[0], c.want)
			}
		})
	}
}

// Firmly outside comes before likely, each the most probable first, then methods
// that disagree, then what is too old; among equals in walking order.
func TestOrderOfAttention(t *testing.T) {
	in := AttentionInput{Bands: map[tanks.SystemID][]tanks.Band{}, Verdicts: map[tanks.Cell]tanks.Verdict{},
		Say: func(Concern) words.Text { return "why" }}
	for i, v := range []tanks.Verdict{
		{Word: tanks.BelowBand, Sure: tanks.Likely, PBelow: 0.70}, {Word: tanks.AboveBand, Sure: tanks.Firm, PAbove: 0.96},
		{Stale: true, PAbove: 0.999},
		{Word: tanks.AboveBand, Sure: tanks.Likely, PAbove: 0.90}, {Word: tanks.BelowBand, Sure: tanks.Firm, PBelow: 0.99}, {},
		{Word: tanks.AboveBand, Sure: tanks.Firm, PAbove: 0.96}, {Stale: true},
	} {
		id := tanks.SystemID(i + 1)
		in.Systems = append(in.Systems, tanks.System{ID: id, Kind: tanks.Marine})
		in.Bands[id] = []tanks.Band{band(chem.Calcium, 7)}
		in.Verdicts[tanks.Cell{System: id, Analyte: chem.Calcium}] = v
	}
	in.Disagree = map[tanks.Cell]words.Text{{System: 6, Analyte: chem.Calcium}: "They disagree."}
	var got []string
	for _, c := range Attention(in) {
		got = append(got, fmt.Sprintf("F%d", c.System))
	}
	if want := "F5 F2 F7 F4 F1 F6 F3 F8"; strings.Join(got, " ") != want {
		t.Errorf("%v, want %s", got, want)
	}
}

// The clock may be five minutes ahead of the computer's when work is ticked off.
func TestCompletionClock(t *testing.T) {
	now := at("2026-03-10 08:00")
	for minutes, refused := range map[string]bool{"2026-03-10 08:05": false, "2026-03-10 08:06": true, "2026-03-09 08:00": false} {
		_, got := tanks.FaultsOf(Completion{At: at(minutes)}.Validate(now)).Field("at")
		if got != refused {
			t.Errorf("at %s it is refused: %v", minutes, got)
		}
	}
	moved := Completion{At: now, Outcome: Moved, MovedTo: now}
	if _, ok := tanks.FaultsOf(moved.Validate(now)).Field("moved_to"); !ok {
		t.Error("moved to the very moment it is accepted")
	}
}
