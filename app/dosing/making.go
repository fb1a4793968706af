package dosing

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/sums"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/making"
)

// makingView is the bench for new water: waters, goal and minerals at the left, what to do and what comes
// of it at the right. Nothing is recorded by it but a recipe.
type makingView struct {
	session *session.Session
	loaded  *loaded
	fields  makingFields
	made    making.Made
	fine    bool // made is what the fields ask for

	does    *widgets.Paragraph
	steps   *fyne.Container
	how     *widgets.Check
	result  *widgets.Table
	remarks *fyne.Container
	list    *fyne.Container
	filled  fyne.CanvasObject
	want    session.Route
	recipe  tanks.WaterRecipe // that was opened or saved last
}

// leastPane is the width in which the work and what comes of it can be read.
const leastPane = 330

func newMakingView(s *session.Session) *makingView {
	v := &makingView{session: s, does: widgets.NewSmall(""), list: container.NewStack(), steps: container.NewVBox(),
		remarks: container.NewVBox()}
	v.fields = newMakingFields(s, v.compute, v.systemChosen)
	v.how = widgets.NewCheck(say.L("Show the arithmetic"), func(bool) { v.showMade() })
	number := fyne.TextAlignTrailing
	v.result = widgets.NewTable([]widgets.Column{
		{Title: say.L("Analyte"), Weight: 2, Min: 140}, {Title: say.L("Before"), Width: 56, Align: number, Spare: true},
		{Title: say.L("After"), Width: 96, Align: number},
		{Title: say.L("Goal"), Width: 60, Align: number, Spare: true}, {Title: say.L("In the band"), Weight: 1, Min: 76, Spare: true},
	})
	buttons := widgets.NewBar(widgets.NewPrimary(say.L("Use for a water change"), v.use).With(look.IconWave),
		widgets.NewSecondary(say.L("Print the weigh list"), v.print).With(look.IconPrint),
		widgets.NewSecondary(say.L("Save as a recipe"), v.saveRecipe).With(look.IconSave),
		widgets.NewSecondary(say.L("Open a recipe"), v.openRecipe).With(look.IconSamples),
		widgets.NewSecondary(say.L("Sums"), v.openSums).With(look.IconMeasure))
	work := container.NewBorder(container.NewVBox(widgets.NewHeading(say.L("Weigh and add"), ""), v.how), nil, nil, nil,
		widgets.NewScrolled(container.NewVBox(v.remarks, v.steps)))
	result := container.NewBorder(widgets.NewHeading(say.L("What it holds"), ""), nil, nil, nil, v.result)
	right := widgets.NewSides(work, result, 0.46).Stacking(leastPane)
	top := container.NewVBox(buttons, v.does)
	v.filled = container.New(layout.NewBorderLayout(top, nil, nil, nil), top,
		widgets.NewSides(widgets.NewScrolled(v.fields.form), right, 0.28))
	return v
}

func (v *makingView) object() fyne.CanvasObject { return v.list }

func (v *makingView) focus() fyne.Focusable {
	return widgets.IfShown(v.list, v.filled, v.fields.litres.FocusTarget())
}

// ask opens the section for a route's system.
func (v *makingView) ask(r session.Route) { v.want = r }

func (v *makingView) show(l *loaded) {
	v.loaded = l
	if len(sourcesOf(l)) == 0 {
		text := say.L("New water is made from sources, such as tap, rain, an RO/DI store or a mixing vat. Add each as a system of the kind " +
			"source, and type its report or what you tested on the Test sheet.")
		v.list.Objects = []fyne.CanvasObject{widgets.NewEmpty(say.L("No source yet"), text, addSystem(v.session))}
		v.list.Refresh()
		return
	}
	first := v.fields.offer(l)
	if v.want.System != 0 {
		v.fields.forWhom.SetSelected(v.want.System)
		v.want = session.Route{}
	} else if first {
		v.systemChosen()
	}
	v.list.Objects = []fyne.CanvasObject{v.filled}
	v.list.Refresh()
	v.compute()
}

// sourcesOf are the room's waters.
func sourcesOf(l *loaded) []tanks.System {
	var out []tanks.System
	for _, s := range l.room.Systems {
		if s.Kind == tanks.Source {
			out = append(out, s)
		}
	}
	return out
}

// systemChosen takes goals and waters from the system, or the kind of water, that
// it is made for.
func (v *makingView) systemChosen() {
	if v.loaded == nil || v.fields.filling {
		return
	}
	v.fields.fillGoals(v.loaded)
	v.fields.fillWaters(v.loaded)
	v.fields.fillMinerals(v.loaded)
	v.compute()
}

// compute reckons the batch anew as one types.
func (v *makingView) compute() {
	if v.loaded == nil || v.fields.filling {
		return
	}
	order, faults := v.fields.order(v.loaded, v.session)
	v.fine = false
	order.By = v.by()
	if len(faults) == 0 {
		made, err := order.Make()
		if err != nil {
			faults = v.fields.faultsOf(err)
		}
		v.made, v.fine = made, err == nil
	}
	v.fields.form.Mark(faults)
	v.showMade()
}

// by is what the sources' pH and the room's air are reckoned by.
func (v *makingView) by() chem.Conventions {
	return v.loaded.room.Conventions(v.fields.waters[0].source.Value())
}

// system is the one that the water is made for; ok is false when it is for none.
func (v *makingView) system() (tanks.System, bool) {
	return v.loaded.room.System(v.fields.forWhom.Value())
}

// openSums lists the sums, begun with what is known of the system and its first water.
func (v *makingView) openSums() {
	var given sums.Given
	if s, ok := v.system(); ok {
		given = givenOf(v.loaded.room, s, v.fields.waters[0].source.Value())
	}
	sums.ShowList(v.session, given)
}

// use hands the water over to a water change.
func (v *makingView) use() {
	s, ok := v.system()
	switch {
	case !v.fine:
		v.session.Say(session.Notice{Title: say.L("The water is not settled yet"),
			Text: say.L("See what is asked at its fields at the left.")})
		return
	case !ok:
		v.session.Say(session.Notice{Title: say.L("It is made for no system"),
			Text: say.L("Choose the system whose water is to be changed.")})
		v.session.Window.Canvas().Focus(v.fields.forWhom)
		return
	}
	v.session.Go(session.Route{Place: session.Dosing, Section: session.DosingChanges, System: s.ID, Water: v.newWater()})
}

// newWater is what was made, as a water change takes it.
func (v *makingView) newWater() *tanks.NewWater {
	w := &tanks.NewWater{Name: v.recipe.Name, Litres: v.made.Litres * float64(v.made.Batches)}
	for _, info := range chem.Catalogue() {
		a := info.Analyte
		if value, known := v.made.After[a]; known && !slices.Contains([]chem.Analyte{chem.Temperature, chem.PH}, a) {
			w.Levels = append(w.Levels, tanks.Level{Analyte: a, Value: value})
		}
	}
	return w
}
