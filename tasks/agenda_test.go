package tasks

import (
	"testing"
	"time"

	"pgregory.net/rapid"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

var paris = func() *time.Location {
	loc, err := time.LoadLocation("Europe/Paris")
	if err != nil {
		panic(err)
	}
	return loc
}()

// at is a time of day in Paris.
func at(text string) time.Time {
	t, err := time.ParseInLocation("2006-01-02 15:04", text, paris)
	if err != nil {
		panic(err)
	}
	return t
}

const day = 24 * time.Hour

var systems = []tanks.System{
	{ID: 1, Code: "F1", Profile: 5, Opened: at("2026-01-01 00:00")},
	{ID: 2, Code: "F2", Profile: 5, Opened: at("2026-01-01 00:00")},
}

func band(a chem.Analyte, days int) tanks.Band {
	return tanks.Band{Analyte: a, Low: 1, Aim: 2, High: 3, TestEvery: time.Duration(days) * day}
}

// where tells in which part of the agenda the first item for a system is.
func where(b Agenda, id tanks.SystemID) (part string, item Item) {
	for name, items := range map[string][]Item{"overdue": b.Overdue, "today": b.Today, "soon": b.Soon} {
		for _, i := range items {
			if i.System == id {
				return name, i
			}
		}
	}
	return "none", Item{}
}

func TestWhenATestIsDue(t *testing.T) {
	key := tanks.Cell{System: 1, Analyte: chem.Calcium}
	cases := map[string]struct {
		last        string // empty: never
		now         string
		completions []Completion
		part        string
		due         string
	}{
		"never tested, due from the opening day": {"", "2026-03-10 08:00", nil, "overdue", "2026-01-01"},
		"today":                                  {"2026-03-03 23:50", "2026-03-10 00:05", nil, "today", "2026-03-10"},
		"yesterday":                              {"2026-03-02 08:00", "2026-03-10 08:00", nil, "overdue", "2026-03-09"},
		"tomorrow":                               {"2026-03-04 08:00", "2026-03-10 08:00", nil, "soon", "2026-03-11"},
		"just done":                              {"2026-03-10 07:00", "2026-03-10 08:00", nil, "soon", "2026-03-17"},
		"over the clock change in spring":        {"2026-03-25 08:00", "2026-04-01 08:00", nil, "today", "2026-04-01"},
		"over the clock change in autumn":        {"2026-10-22 08:00", "2026-10-29 08:00", nil, "today", "2026-10-29"},
		"over a leap day":                        {"2028-02-25 08:00", "2028-03-03 08:00", nil, "today", "2028-03-03"},
		"moved": {"2026-03-02 08:00", "2026-03-10 08:00",
			[]Completion{{System: 1, Analyte: int(chem.Calcium), At: at("2026-03-09 09:00"), Outcome: Moved,
				MovedTo: at("2026-03-12 00:00")}}, "soon", "2026-03-12"},
		"skipped: an interval later": {"2026-03-02 08:00", "2026-03-10 08:00",
			[]Completion{{System: 1, Analyte: int(chem.Calcium), At: at("2026-03-09 09:00"), Outcome: Skipped, Reason: "kit empty"}},
			"soon", "2026-03-16"},
		"moved, but tested since": {"2026-03-09 12:00", "2026-03-16 08:00",
			[]Completion{{System: 1, Analyte: int(chem.Calcium), At: at("2026-03-09 09:00"), Outcome: Moved,
				MovedTo: at("2026-03-12 00:00")}}, "today", "2026-03-16"},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			in := Input{Systems: systems[:1], Bands: map[tanks.SystemID][]tanks.Band{1: {band(chem.Calcium, 7)}},
				LastTested: map[tanks.Cell]Last{}, Completions: c.completions}
			if c.last != "" {
				in.LastTested[key] = Last{At: at(c.last), By: "JM"}
			}
			part, item := where(MakeAgenda(in, at(c.now), paris), 1)
			if part != c.part || item.Due.In(paris).Format(time.DateOnly) != c.due {
				t.Errorf("%s on %s, want %s on %s", part, item.Due.In(paris).Format(time.DateOnly), c.part, c.due)
			}
			due := DueTests(in, at(c.now), paris)
			if due[key] != (part == "overdue" || part == "today") || len(due) > 1 {
				t.Errorf("%s, and the due tests are %v", part, due)
			}
		})
	}
}

func TestTestsOfOneDayAreOneItem(t *testing.T) {
	in := Input{
		Systems: systems,
		Bands: map[tanks.SystemID][]tanks.Band{1: {band(chem.Alkalinity, 3), band(chem.Calcium, 3), band(chem.Magnesium, 14),
			{Analyte: chem.Boron, Low: 1, Aim: 2, High: 3}}},
		LastTested: map[tanks.Cell]Last{{System: 1, Analyte: chem.Alkalinity}: {at("2026-03-07 08:00"), "JM"},
			{System: 1, Analyte: chem.Calcium}:   {at("2026-03-07 09:00"), "AL"},
			{System: 1, Analyte: chem.Magnesium}: {at("2026-03-07 09:00"), "AL"}},
	}
	b := MakeAgenda(in, at("2026-03-10 08:00"), paris)
	if len(b.Today) != 1 || len(b.Today[0].Analytes) != 2 || b.Today[0].Analytes[0] != chem.Alkalinity || b.Today[0].LastBy != "JM" ||
		len(b.Soon) != 0 || len(b.Overdue) != 0 {
		t.Errorf("%+v", b)
	}
}

func TestChores(t *testing.T) {
	start := at("2026-03-02 00:00") // a Monday
	cases := map[string]struct {
		task Task
		done []Completion
		now  string
		part string
		due  string
	}{
		"first day": {Task{Every: 7}, nil, "2026-03-02 08:00", "today", "2026-03-02"},
		"days after last done": {Task{Every: 7}, []Completion{{Task: 1, System: 1, At: at("2026-03-05 18:00")}}, "2026-03-10 08:00",
			"soon", "2026-03-12"},
		"late": {Task{Every: 7}, []Completion{{Task: 1, System: 1, At: at("2026-03-02 18:00")}}, "2026-03-11 08:00",
			"overdue", "2026-03-09"},
		"each Monday": {Task{Rule: "FREQ=WEEKLY;BYDAY=MO"}, []Completion{{Task: 1, System: 1, At: at("2026-03-02 18:00")}},
			"2026-03-08 08:00", "soon", "2026-03-09"},
		"end of the month": {Task{Rule: "FREQ=MONTHLY;BYMONTHDAY=-1"}, []Completion{{Task: 1, System: 1, At: at("2026-03-31 18:00")}},
			"2026-04-28 08:00", "soon", "2026-04-30"},
		"daily over the change": {Task{Rule: "FREQ=DAILY"}, []Completion{{Task: 1, System: 1, At: at("2026-03-28 18:00")}},
			"2026-03-29 08:00", "today", "2026-03-29"},
		"once, done": {Task{}, []Completion{{Task: 1, System: 1, At: at("2026-03-05 18:00")}}, "2026-03-10 08:00", "none",
			"0001-01-01"},
		"once, to do": {Task{}, nil, "2026-03-10 08:00", "overdue", "2026-03-02"},
		"skipped": {Task{Every: 7},
			[]Completion{{Task: 1, System: 1, At: at("2026-03-09 18:00"), Outcome: Skipped, Reason: "away"}}, "2026-03-10 08:00", "soon",
			"2026-03-16"},
		"moved": {Task{Every: 7},
			[]Completion{{Task: 1, System: 1, At: at("2026-03-09 18:00"), Outcome: Moved, MovedTo: at("2026-03-11 00:00")}},
			"2026-03-10 08:00", "soon", "2026-03-11"},
		"ended": {Task{Every: 7, Ended: true}, nil, "2026-03-10 08:00", "none", "0001-01-01"},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			c.task.ID, c.task.System, c.task.Title, c.task.Start = 1, 1, "Clean the cup", start
			b := MakeAgenda(Input{Systems: systems, Tasks: []Task{c.task}, Completions: c.done}, at(c.now), paris)
			part, item := where(b, 1)
			if due := item.Due.In(paris).Format(time.DateOnly); part != c.part || (part != "none" && due != c.due) {
				t.Errorf("%s on %s, want %s on %s", part, due, c.part, c.due)
			}
			if other, _ := where(b, 2); other != "none" {
				t.Errorf("the other system has it too: %s", other)
			}
		})
	}
}

// A task of a profile is each system's own, with its own completions; a task
// of neither is the room's.
func TestTemplatesAndTheRoom(t *testing.T) {
	start := at("2026-03-02 00:00")
	b := MakeAgenda(Input{
		Systems: systems, Tasks: []Task{{ID: 1, Profile: 5, Title: "Clean", Every: 7, Start: start},
			{ID: 2, Title: "Probes", Every: 28, Start: start}},
		Completions: []Completion{{Task: 1, System: 1, At: at("2026-03-09 18:00")}},
	}, at("2026-03-10 08:00"), paris)
	one, _ := where(b, 1)
	two, _ := where(b, 2)
	room, item := where(b, 0)
	if one != "soon" || two != "overdue" || room != "overdue" || item.Title != "Probes" {
		t.Errorf("%s %s %s %q", one, two, room, item.Title)
	}
}

func TestOrder(t *testing.T) {
	low := tanks.Verdict{Word: tanks.BelowBand, Sure: tanks.Firm}
	in := Input{
		Systems: systems,
		Bands:   map[tanks.SystemID][]tanks.Band{1: {band(chem.Calcium, 10)}, 2: {band(chem.Alkalinity, 2)}},
		LastTested: map[tanks.Cell]Last{{System: 1, Analyte: chem.Calcium}: {At: at("2026-02-26 08:00")},
			{System: 2, Analyte: chem.Alkalinity}: {At: at("2026-03-06 08:00")}},
	}
	// Both two days late: half the time of one interval, a fifth of the other.
	if b := MakeAgenda(in, at("2026-03-10 08:00"), paris); len(b.Overdue) != 2 || b.Overdue[0].System != 2 {
		t.Errorf("%+v", b.Overdue)
	}
	in.Bands = map[tanks.SystemID][]tanks.Band{1: {band(chem.Calcium, 10)}, 2: {band(chem.Calcium, 10)}}
	in.LastTested = map[tanks.Cell]Last{{System: 1, Analyte: chem.Calcium}: {At: at("2026-02-26 08:00")},
		{System: 2, Analyte: chem.Calcium}: {At: at("2026-02-26 08:00")}}
	in.Verdicts = map[tanks.Cell]tanks.Verdict{{System: 2, Analyte: chem.Calcium}: low}
	if b := MakeAgenda(in, at("2026-03-10 08:00"), paris); b.Overdue[0].System != 2 {
		t.Errorf("out of its band, F2 comes %+v", b.Overdue)
	}
}

// Everything due stands in one part of the agenda at the most, in the part
// of its day.
func TestAgendaParts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		now := at("2026-03-10 00:00").Add(time.Duration(rapid.IntRange(0, 400*24*60).Draw(t, "minutes")) * time.Minute)
		ago := rapid.IntRange(0, 60).Draw(t, "ago")
		every := rapid.IntRange(1, 40).Draw(t, "every")
		in := Input{Systems: systems[:1], Bands: map[tanks.SystemID][]tanks.Band{1: {band(chem.Calcium, every)}},
			LastTested: map[tanks.Cell]Last{{System: 1, Analyte: chem.Calcium}: {At: now.AddDate(0, 0, -ago)}}}
		b := MakeAgenda(in, now, paris)
		want := [3]int{}
		switch late := ago - every; {
		case late > 0:
			want[0] = 1
		case late == 0:
			want[1] = 1
		case late >= -soonDays:
			want[2] = 1
		}
		if got := [3]int{len(b.Overdue), len(b.Today), len(b.Soon)}; got != want {
			t.Fatalf("tested %d days ago, every %d: %v, want %v", ago, every, got, want)
		}
	})
}

func TestAttention(t *testing.T) {
	in := AttentionInput{
		Systems: systems,
		Bands: map[tanks.SystemID][]tanks.Band{1: {band(chem.Calcium, 7), band(chem.Nitrate, 7), band(chem.Temperature, 7)},
			2: {band(chem.Calcium, 7), band(chem.Alkalinity, 7)}},
		Verdicts: map[tanks.Cell]tanks.Verdict{
			{System: 1, Analyte: chem.Calcium}:     {Word: tanks.BelowBand, Sure: tanks.Likely, PBelow: 0.8},
			{System: 1, Analyte: chem.Nitrate}:     {Word: tanks.AboveBand, Sure: tanks.Firm, PAbove: 0.99},
			{System: 1, Analyte: chem.Temperature}: {Word: tanks.AboveBand, Sure: tanks.Firm, PAbove: 0.97},
			{System: 2, Analyte: chem.Calcium}:     {Word: tanks.WithinBand, Sure: tanks.Firm},
			{System: 2, Analyte: chem.Alkalinity}:  {Word: tanks.BelowBand, Sure: tanks.Unsure, PBelow: 0.5},
		},
		Disagree: map[tanks.Cell]words.Text{{System: 2, Analyte: chem.Calcium}: "They disagree."},
		Say:      func(c Concern) words.Text { return c.Analyte.Words() },
	}
	stale := in.Verdicts[tanks.Cell{System: 2, Analyte: chem.Alkalinity}]
	got := Attention(in)
	want := []struct {
		system  tanks.SystemID
		analyte chem.Analyte
		step    NextStep
	}{{1, chem.Nitrate, PlanChange}, {1, chem.Temperature, AddToRound}, {1, chem.Calcium, PlanDose}, {2, chem.Calcium, Compare}}
	if len(got) != len(want) {
		t.Fatalf("%+v", got)
	}
	for i, w := range want {
		if got[i].System != w.system || got[i].Analyte != w.analyte || got[i].Next != w.step || got[i].Text == "" {
			t.Errorf("%d is %+v, want %+v", i, got[i], w)
		}
	}
	source := in
	source.Systems = []tanks.System{{ID: 1, Code: "S1", Kind: tanks.Source}}
	for _, c := range Attention(source) {
		if c.Next != AddToRound {
			t.Errorf("in a source, %s wants %v", c.Analyte, c.Next)
		}
	}
	stale.Stale = true
	in.Verdicts[tanks.Cell{System: 2, Analyte: chem.Alkalinity}] = stale
	if got = Attention(in); len(got) != 5 || got[4].Next != AddToRound || got[4].System != 2 {
		t.Errorf("the stale one is %+v", got)
	}
}

func TestValidate(t *testing.T) {
	good := Task{Title: "Clean", Every: 7, Start: at("2026-03-02 00:00")}
	cases := map[string]struct {
		change func(*Task)
		field  string
	}{
		"good":                 {func(*Task) {}, ""},
		"no title":             {func(t *Task) { t.Title = " " }, "title"},
		"negative interval":    {func(t *Task) { t.Every = -1 }, "every"},
		"interval and rule":    {func(t *Task) { t.Rule = "FREQ=DAILY" }, "every"},
		"rule not understood":  {func(t *Task) { t.Every, t.Rule = 0, "now and then" }, "rule"},
		"rule by the hour":     {func(t *Task) { t.Every, t.Rule = 0, "FREQ=HOURLY" }, "rule"},
		"count and until":      {func(t *Task) { t.Every, t.Rule = 0, "FREQ=DAILY;COUNT=3;UNTIL=20270101T000000Z" }, "rule"},
		"no first day":         {func(t *Task) { t.Start = time.Time{} }, "start"},
		"a rule that is right": {func(t *Task) { t.Every, t.Rule = 0, "FREQ=WEEKLY;BYDAY=MO,TH" }, ""},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			task := good
			c.change(&task)
			fs := tanks.FaultsOf(task.Validate())
			if c.field == "" && len(fs) > 0 {
				t.Errorf("refused: %v", fs)
			}
			if _, ok := fs.Field(c.field); c.field != "" && !ok {
				t.Errorf("no fault at %s: %v", c.field, fs)
			}
		})
	}
	now := at("2026-03-10 08:00")
	for name, c := range map[string]struct {
		c     Completion
		field string
	}{
		"skipped without reason": {Completion{At: now, Outcome: Skipped}, "reason"},
		"moved into the past":    {Completion{At: now, Outcome: Moved, MovedTo: now.Add(-time.Hour)}, "moved_to"},
		"in the future":          {Completion{At: now.Add(time.Hour)}, "at"},
	} {
		t.Run(name, func(t *testing.T) {
			if _, ok := tanks.FaultsOf(c.c.Validate(now)).Field(c.field); !ok {
				t.Errorf("no fault at %s", c.field)
			}
		})
	}
	if err := (Completion{At: now}).Validate(now); err != nil {
		t.Error(err)
	}
	for o, want := range map[Outcome]string{Done: "done", Skipped: "skipped", Moved: "moved", 7: "outcome 7"} {
		if o.String() != want {
			t.Errorf("%d is %q", int(o), o)
		}
	}
}
