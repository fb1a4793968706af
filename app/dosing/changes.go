package dosing

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/sums"
	"weirkeeper/app/widgets"
	"weirkeeper/tanks"
)

// changeWay is how water is changed.
type changeWay int

const (
	oneChange changeWay = iota
	manyChanges
	runningIn
)

// changesView plans water changes of one system, one or a course over days, and
// records them.
type changesView struct {
	session *session.Session
	loaded  *loaded
	system  *widgets.Choice[tanks.SystemID]
	water   *newWater
	way     *widgets.Choice[changeWay]
	once    *onceView
	course  *courseView
	fields  *fyne.Container // of the way that is chosen
	does    *fyne.Container // what it does
	want    session.Route
	list    *fyne.Container
	filled  fyne.CanvasObject
}

func newChangesView(s *session.Session) *changesView {
	v := &changesView{session: s, list: container.NewStack(), fields: container.NewStack(), does: container.NewStack()}
	v.system = widgets.NewChoice[tanks.SystemID](nil, 0)
	v.system.OnChanged = func(tanks.SystemID) { v.systemChosen() }
	v.water = newNewWater(v)
	v.way = widgets.NewChoice([]widgets.Option[changeWay]{
		{Value: oneChange, Name: say.L("one change")}, {Value: manyChanges, Name: say.L("several changes over days")},
		{Value: runningIn, Name: say.L("new water runs in all day")},
	}, oneChange)
	v.way.OnChanged = func(changeWay) { v.wayChosen() }
	v.once, v.course = newOnceView(v), newCourseView(v)
	form := widgets.NewForm(
		widgets.Field{Name: "system", Label: say.L("System"), Input: v.system},
		widgets.Field{Name: "from", Label: say.L("New water"), Input: v.water.from,
			Help: say.L("the newest readings of a source, or what you type")},
		widgets.Field{Name: "way", Label: say.L("How"), Input: v.way},
	)
	caution := widgets.NewWrapped(say.L("Match temperature and salinity first. Switch off heaters and pumps that fall dry. " +
		"Do not pour treated or medicated water where local rules forbid it."))
	buttons := widgets.NewBar(widgets.NewSecondary(say.L("Type the new water"), v.water.ask).With(look.IconChange),
		widgets.NewSecondary(say.L("Making water"), v.toMaking).With(look.IconSamples),
		widgets.NewSecondary(say.L("Mix salt water"), v.sum(sums.MixSalt)).With(look.IconSamples),
		widgets.NewSecondary(say.L("Correct salinity"), v.sum(sums.CorrectSalinity)).With(look.IconWave),
		widgets.NewSecondary(say.L("Take out chlorine"), v.sum(sums.TakeOutChlorine)).With(look.IconWave),
		widgets.NewSecondary(say.L("Sums"), func() { sums.ShowList(v.session, v.given()) }).With(look.IconMeasure))
	left := container.NewVBox(form, v.fields, caution, buttons)
	v.filled = widgets.NewSides(widgets.NewScrolled(left), v.does, 0.36)
	v.wayChosen()
	return v
}

func (v *changesView) object() fyne.CanvasObject { return v.list }

func (v *changesView) focus() fyne.Focusable { return widgets.IfShown(v.list, v.filled, v.system) }

// ask opens the section for a route's system, with water that was made for it.
func (v *changesView) ask(r session.Route) { v.want = r }

func (v *changesView) show(l *loaded) {
	v.loaded = l
	var systems []widgets.Option[tanks.SystemID]
	for _, s := range l.room.Systems {
		if s.Kind != tanks.Source {
			systems = append(systems, widgets.Option[tanks.SystemID]{Value: s.ID, Name: s.Label()})
		}
	}
	if len(systems) == 0 {
		text := say.L("A water change belongs to a system, and new water to a source such as a mixing vat. Add both in Setup.")
		v.list.Objects = []fyne.CanvasObject{widgets.NewEmpty(say.L("No system yet"), text, addSystem(v.session))}
		v.list.Refresh()
		return
	}
	v.water.offer(l.room.Systems)
	v.system.SetOptions(systems)
	if _, chosen := v.system.Selected(); !chosen {
		v.system.SetSelected(systems[0].Value)
	}
	v.system.SetSelected(v.want.System)
	if v.want.Water != nil {
		v.water.take(*v.want.Water)
	}
	v.want = session.Route{}
	v.list.Objects = []fyne.CanvasObject{v.filled}
	v.list.Refresh()
	v.compute()
}

// chosen returns the system whose water is changed.
func (v *changesView) chosen() (tanks.System, bool) {
	if v.loaded == nil {
		return tanks.System{}, false
	}
	return v.loaded.room.System(v.system.Value())
}

// given is the chosen system, for a sum.
func (v *changesView) given() sums.Given {
	system, ok := v.chosen()
	if !ok {
		return sums.Given{}
	}
	g := givenOf(v.loaded.room, system, v.water.source())
	g.Source = v.water.levels()
	return g
}

// sum opens a sum about the chosen system.
func (v *changesView) sum(id sums.ID) func() {
	return func() { sums.Open(v.session, id, v.given()) }
}

// toMaking leads to where new water is made for the chosen system.
func (v *changesView) toMaking() {
	v.session.Go(session.Route{Place: session.Dosing, Section: session.DosingMaking, System: v.system.Value()})
}

// systemChosen proposes the usual new water and a volume.
func (v *changesView) systemChosen() {
	s, ok := v.chosen()
	if !ok {
		return
	}
	v.water.usual(s)
	v.once.propose(s)
	v.course.begin(s)
	v.compute()
}

// wayChosen shows the fields of the way, and what it does.
func (v *changesView) wayChosen() {
	fields, does := v.once.fields, v.once.does
	if v.way.Value() != oneChange {
		fields, does = v.course.fields, v.course.does
		v.course.propose()
	}
	v.fields.Objects, v.does.Objects = []fyne.CanvasObject{fields}, []fyne.CanvasObject{does}
	v.fields.Refresh()
	v.does.Refresh()
	v.compute()
}

// compute shows what the changes do.
func (v *changesView) compute() {
	s, ok := v.chosen()
	if !ok {
		return
	}
	if v.way.Value() == oneChange {
		v.once.compute(s)
		return
	}
	v.course.compute()
}

// save does the main act of the way that is chosen.
func (v *changesView) save() {
	if v.way.Value() == oneChange {
		v.once.save()
		return
	}
	v.course.putDown()
}
