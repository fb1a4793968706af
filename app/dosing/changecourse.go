package dosing

import (
	"errors"
	"math"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
	"weirkeeper/tanks/changes"
)

// courseView is a course of water changes to a goal, or new water that runs in all
// day: how many, what each does, and the work of it.
type courseView struct {
	changes *changesView
	goal    *widgets.Choice[chem.Analyte]
	to      *widgets.NumberEntry
	each    *widgets.QuantityEntry
	number  *widgets.NumberEntry
	every   *widgets.NumberEntry
	first   *widgets.DateEntry
	form    *widgets.Form
	heading *widgets.Heading
	says    *fyne.Container
	steps   *fyne.Container
	planned coursePlan
	fine    bool // planned is what the fields say
	saving  bool // the work is being put down: a second press would do it twice
	fields  fyne.CanvasObject
	body    *fyne.Container
	does    fyne.CanvasObject
}

// coursePlan is a course with the days and the volume that it is made of.
type coursePlan struct {
	system  tanks.System
	plan    changes.Plan
	course  changes.Course
	litres  float64 // of each change, or of a day
	first   time.Time
	assumed []chem.Analyte // that count as nothing in the new water
}

// textShare is the part of the height that the text of a course takes at the most.
const textShare = 0.45

func newCourseView(v *changesView) *courseView {
	s := v.session
	c := &courseView{changes: v, goal: widgets.NewChoice[chem.Analyte](nil, chem.Nitrate), to: widgets.NewNumberEntry(""),
		each: s.VolumeEntry(0, 0), number: widgets.NewNumberEntry(""), every: widgets.NewNumberEntry("1"),
		first: widgets.NewDateEntry(s.Now(), s.Zone, s.Clock), says: container.NewVBox(), steps: container.NewStack(),
		heading: widgets.NewHeading(say.L("The course"), "")}
	c.goal.OnChanged = func(chem.Analyte) { c.aim(); v.compute() }
	c.each.OnChanged = v.compute
	for _, e := range []*widgets.NumberEntry{c.to, c.number, c.every} {
		e.OnChanged = func(string) { v.compute() }
	}
	c.first.OnChanged = func(time.Time, bool) { v.compute() }
	c.form = widgets.NewForm(
		widgets.Field{Name: "goal", Label: say.L("Analyte"), Input: c.goal, Help: say.L("that is to come to a goal")},
		widgets.Field{Name: "to", Label: say.L("Goal"), Input: c.to,
			Help: say.L("in the analyte's unit, or with another behind the number")},
		widgets.Field{Name: "each", Label: say.L("Each change"), Input: c.each, Help: say.L("where it runs in all day: of a day")},
		widgets.Field{Name: "number", Label: say.L("Number"), Input: c.number,
			Help: say.L("of changes, or of days; empty: as many as it takes of the volume above")},
		widgets.Field{Name: "every", Label: say.L("Every"), Input: c.every, Help: say.L("days, of several changes")},
		widgets.Field{Name: "first", Label: say.L("First day"), Input: c.first},
	)
	c.fields = container.NewVBox(c.form, widgets.NewBar(
		widgets.NewPrimary(say.L("Put it down as work"), c.putDown).With(look.IconDone),
		widgets.NewSecondary(say.L("Largest safe volume"), c.takeLargest).With(look.IconWave)))
	c.body = widgets.NewAbove(c.says, c.steps, textShare)
	c.does = container.NewBorder(c.heading, nil, nil, nil, c.body)
	return c
}

// begin offers what is known of a system's water, the analyte first that lies highest
// over its aim.
func (c *courseView) begin(s tanks.System) {
	room := c.changes.loaded.room
	var options []widgets.Option[chem.Analyte]
	worst, most := chem.Nitrate, 0.0
	for _, info := range chem.Catalogue() {
		a := info.Analyte
		e, known := room.Estimate(tanks.Cell{System: s.ID, Analyte: a})
		if !known || !changes.Mixes(a) {
			continue
		}
		name := say.F("%s, %s", say.L(info.Name), string(c.changes.session.Unit(a)))
		options = append(options, widgets.Option[chem.Analyte]{Value: a, Name: name})
		if band, ok := room.BandHere(tanks.Cell{System: s.ID, Analyte: a}); ok && band.HasEdges() {
			if over := (e.Value - band.High) / band.Width(); over > most {
				worst, most = a, over
			}
		}
	}
	c.goal.SetOptions(options)
	c.goal.SetSelected(worst)
	c.aim()
	c.propose()
}

// aim fills the goal in: the band's aim.
func (c *courseView) aim() {
	s, ok := c.changes.chosen()
	if !ok {
		return
	}
	text := ""
	if band, ok := c.changes.loaded.room.BandHere(tanks.Cell{System: s.ID, Analyte: c.goal.Value()}); ok && band.HasEdges() {
		text = c.changes.session.Value(c.goal.Value(), band.Aim)
	}
	c.to.SetText(text)
}

// mostProposed is the largest share of the water that is proposed of itself.
const mostProposed = 0.5

// propose fills in the largest volume that keeps all limits, at most half of the
// water.
func (c *courseView) propose() {
	s, ok := c.changes.chosen()
	if !ok || !s.NetVolume().Known() {
		return
	}
	plan, _ := c.planOf(s)
	share, _, _ := plan.Largest()
	c.each.SetValue(c.wholeVolume(min(share, mostProposed) * s.NetVolume().Litres))
}

// wholeVolume is litres rounded down to what the field shows.
func (c *courseView) wholeVolume(litres float64) float64 {
	unit := c.changes.session.VolumeUnit().Litres()
	if litres < 10*unit {
		return litres
	}
	return math.Floor(litres/unit+1e-9) * unit
}

// takeLargest fills in the largest volume that keeps all limits.
func (c *courseView) takeLargest() {
	s, ok := c.changes.chosen()
	if !ok || !s.NetVolume().Known() {
		return
	}
	plan, _ := c.planOf(s)
	share, _, _ := plan.Largest()
	c.number.SetText("")
	c.each.SetValue(c.wholeVolume(share * s.NetVolume().Litres))
}

// planOf is the plan of a system without its share, and what its new water is taken
// to have nothing of.
func (c *courseView) planOf(s tanks.System) (changes.Plan, []chem.Analyte) {
	room := c.changes.loaded.room
	p := changes.Plan{Kind: s.Kind, Now: chem.Analysis{}, Gains: map[chem.Analyte]float64{}, Goal: c.goal.Value()}
	for _, b := range room.Bands[s.ID] {
		p.Bands = append(p.Bands, b.In(room.Water(s.ID)))
	}
	for a, e := range room.Estimates(s.ID) {
		k := tanks.Cell{System: s.ID, Analyte: a}
		p.Now[a] = e.Value
		if used, ok := room.Uptake(k); ok && room.Direction(k) != board.Steady {
			p.Gains[a] = room.Standing(k) - used.PerDay
		}
	}
	var assumed []chem.Analyte
	p.New, assumed = c.changes.water.counted(p.Now)
	if c.changes.way.Value() == runningIn {
		p.Way = changes.Continuous
	}
	return p, assumed
}

// faults collects what is wrong at the fields.
type courseFaults []widgets.Fault

func (f *courseFaults) at(field string, err error) {
	if err != nil {
		*f = append(*f, widgets.Fault{Field: field, Problem: say.Of(err)})
	}
}

// read makes the plan of what is typed.
func (c *courseView) read() (coursePlan, courseFaults) {
	var faults courseFaults
	var p coursePlan
	s, ok := c.changes.chosen()
	if !ok {
		return p, nil
	}
	p.system = s
	p.plan, p.assumed = c.planOf(s)
	a := c.goal.Value()
	to, err := tanks.ReadTyped(tanks.Typed{Analyte: a, Text: c.to.Text, Unit: c.changes.session.Unit(a), Own: c.changes.session.Unit(a),
		Water: c.changes.loaded.room.Water(s.ID)})
	if strings.TrimSpace(c.to.Text) == "" {
		err = widgets.ErrNoNumber
	}
	if err == nil {
		p.plan.To, err = to.Exact()
	}
	faults.at("to", err)
	p.plan.Every, err = wholeNumber(c.every)
	if p.plan.Way == changes.Several {
		faults.at("every", err)
	}
	p.first, err = c.first.Time()
	faults.at("first", err)
	if err == nil && session.DaysBetween(p.first, c.changes.session.Now()) > 0 {
		faults.at("first", words.New("this day is past: choose today or a later one"))
	}
	if !s.NetVolume().Known() {
		faults.at("each", chem.ErrVolume)
	}
	if len(faults) == 0 {
		c.readShare(&p, &faults)
	}
	return p, faults
}

// readShare reads the volume of a change, or works it out of their number.
func (c *courseView) readShare(p *coursePlan, faults *courseFaults) {
	litres := p.system.NetVolume().Litres
	if strings.TrimSpace(c.number.Text) == "" {
		each, err := c.each.Value()
		faults.at("each", err)
		p.litres, p.plan.Share = each, each/litres
		return
	}
	n, err := wholeNumber(c.number)
	if err == nil {
		p.plan.Share, err = p.plan.ShareFor(n)
	}
	faults.at(courseField(err, "number"), err)
	p.litres = p.plan.Share * litres
}

// wholeNumber reads a number without decimals.
func wholeNumber(e *widgets.NumberEntry) (int, error) {
	v, err := e.Value()
	if err == nil && v != math.Trunc(v) {
		err = errNotWhole
	}
	return int(v), err
}

// courseField is the field where an error of a course belongs.
func courseField(err error, otherwise string) string {
	switch {
	case errors.Is(err, chem.ErrFreshCant):
		return "to"
	case errors.Is(err, changes.ErrUnknown):
		return "goal"
	}
	return fieldOf(err, map[string]string{"days between changes": "every", "number of changes": "number"}, otherwise)
}

// compute shows the course, or what is wrong at its field.
func (c *courseView) compute() {
	p, faults := c.read()
	if len(faults) == 0 {
		var err error
		p.course, err = p.plan.Run()
		faults.at(courseField(err, "each"), err)
	}
	c.planned, c.fine = p, len(faults) == 0
	c.form.Mark(faults)
	c.says.Objects, c.steps.Objects = nil, nil
	c.heading.SetSubtitle("")
	if c.fine {
		c.heading.SetSubtitle(say.F("%s, %.1f %% each", p.system.Code, 100*p.plan.Share))
		c.show(p)
	}
	c.body.Refresh()
}
