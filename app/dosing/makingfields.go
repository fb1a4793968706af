package dosing

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"weirkeeper/app/forms"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/sums"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/making"
)

const (
	mostWaters   = 4
	mostMinerals = 5
)

// Waters that are made for no system.
const (
	freshForNone tanks.SystemID = 0
	saltForNone  tanks.SystemID = -1
)

// makingFields ask for a batch of water.
type makingFields struct {
	forWhom  *widgets.Choice[tanks.SystemID]
	litres   *widgets.QuantityEntry
	vat      *widgets.QuantityEntry
	waters   [mostWaters]waterField
	goals    []goalField
	ratio    *widgets.NumberEntry
	minerals [mostMinerals]*widgets.Choice[tanks.ProductID]
	readable *widgets.NumberEntry
	watts    *widgets.NumberEntry
	air      *widgets.NumberEntry
	moisture *widgets.NumberEntry
	form     *widgets.Form
	filling  bool // fields are filled from a system or a recipe: one computation does for all
	offered  bool
}

// waterField is a water and how much of it; empty: as the goals ask.
type waterField struct {
	source *widgets.Choice[tanks.SystemID]
	litres *widgets.QuantityEntry
}

// goalField is what the water is to have of an analyte; empty: any.
type goalField struct {
	analyte chem.Analyte
	atMost  bool
	entry   *widgets.QuantityEntry
}

func (g goalField) name() string { return fmt.Sprintf("goal %d", g.analyte) }

// asked are the goals that can be given, in the order of the form.
var asked = []goalField{
	{analyte: chem.Salinity}, {analyte: chem.Hardness}, {analyte: chem.Alkalinity}, {analyte: chem.Calcium}, {analyte: chem.Magnesium},
	{analyte: chem.Potassium}, {analyte: chem.TDS}, {analyte: chem.Nitrate, atMost: true}, {analyte: chem.Sodium, atMost: true},
	{analyte: chem.Temperature},
}

// newMakingFields returns the form; changed is told of any field, chosen of another system.
func newMakingFields(s *session.Session, changed, chosen func()) makingFields {
	f := makingFields{
		forWhom: widgets.NewChoice[tanks.SystemID](nil, freshForNone), litres: s.VolumeEntry(sums.UsualVat, 0),
		vat:   s.VolumeEntry(0, 0),
		ratio: widgets.NewNumberEntry(""), readable: widgets.NewNumberEntry(""), watts: widgets.NewNumberEntry(""),
		air: widgets.NewNumberEntryOf(chem.AirCO2), moisture: widgets.NewNumberEntryOf(sums.UsualMoisture),
	}
	fields := []widgets.Field{
		{Name: "for", Label: say.L("Water for"), Input: f.forWhom, Help: say.L("its bands give the goals")},
		{Name: making.FieldLitres, Label: say.L("Volume to make"), Input: f.litres},
		{Name: making.FieldVat, Label: say.L("The vat holds"), Input: f.vat, Help: say.L("empty: all in one batch")},
	}
	for i := range f.waters {
		w := waterField{widgets.NewChoice[tanks.SystemID](nil, noSource), s.VolumeEntry(0, 1)}
		w.source.OnChanged, w.litres.OnChanged = func(tanks.SystemID) { changed() }, changed
		f.waters[i] = w
		field := widgets.Field{Name: waterName(i), Label: say.F("Water %d", i+1), Input: widgets.NewPair(w.source, w.litres, 0.5)}
		if i == 0 {
			field.Help = say.L("no volume: as much as the goals ask, or what fills up")
		}
		fields = append(fields, field)
	}
	for _, g := range asked {
		g.entry = s.ValueEntry(g.analyte, chem.WaterOf(0))
		g.entry.OnChanged = changed
		f.goals = append(f.goals, g)
		label := say.Of(g.analyte)
		if g.atMost {
			label = say.F("%s at most", label)
		}
		fields = append(fields, widgets.Field{Name: g.name(), Label: label, Input: g.entry})
	}
	fields = append(fields, widgets.Field{Name: making.FieldRatio, Label: say.L("Calcium to magnesium"), Input: f.ratio,
		Help: say.L("by mass; empty: any")})
	for i := range f.minerals {
		f.minerals[i] = widgets.NewChoice[tanks.ProductID](nil, 0)
		f.minerals[i].OnChanged = func(tanks.ProductID) { changed() }
		fields = append(fields, widgets.Field{Name: mineralName(i), Label: say.F("Put in %d", i+1), Input: f.minerals[i]})
	}
	fields = append(fields,
		widgets.Field{Name: "readable", Label: say.L("The balance shows"), Input: f.readable,
			Help: say.F("g or mL; empty: %.1f", making.UsualReadable)},
		widgets.Field{Name: "watts", Label: say.L("Heater"), Input: f.watts, Help: say.L("W; empty: not said")},
		widgets.Field{Name: "air", Label: say.L("Carbon dioxide in the air"), Input: f.air,
			Help: say.L("ppm; outdoors some 425, in closed rooms with people 800 to 1500")},
		widgets.Field{Name: making.FieldMoisture, Label: say.L("Moisture of the sea salt"), Input: f.moisture,
			Help: say.L("%; a tenth is common practice, no source")})
	f.forWhom.OnChanged = func(tanks.SystemID) { chosen() }
	f.litres.OnChanged, f.vat.OnChanged = changed, changed
	for _, e := range []*widgets.NumberEntry{f.ratio, f.readable, f.watts, f.air, f.moisture} {
		e.OnChanged = func(string) { changed() }
	}
	f.form = widgets.NewForm(fields...)
	return f
}

func waterName(i int) string   { return fmt.Sprintf("water %d", i) }
func mineralName(i int) string { return fmt.Sprintf("mineral %d", i) }

// offer fills the lists to choose from; first is true when nothing was offered before.
func (f *makingFields) offer(l *loaded) (first bool) {
	f.filling = true
	defer func() { f.filling = false }()
	systems := []widgets.Option[tanks.SystemID]{{Value: freshForNone, Name: say.L("fresh water, for no system")},
		{Value: saltForNone, Name: say.L("salt water, for no system")}}
	sources := []widgets.Option[tanks.SystemID]{{Value: noSource, Name: say.L("none")}}
	for _, system := range l.room.Systems {
		option := widgets.Option[tanks.SystemID]{Value: system.ID, Name: system.Label()}
		if system.Kind != tanks.Source {
			systems = append(systems, option)
			continue
		}
		if system.Purified {
			option.Detail = say.L("purified")
		}
		sources = append(sources, option)
	}
	f.forWhom.SetOptions(systems)
	for _, w := range f.waters {
		w.source.SetOptions(sources)
	}
	products := []widgets.Option[tanks.ProductID]{{Value: 0, Name: say.L("none")}}
	for _, p := range l.products {
		if !p.Retired {
			products = append(products, widgets.Option[tanks.ProductID]{Value: p.ID, Name: p.Name,
				Detail: say.F("%s left", amount(p.Stock, p))})
		}
	}
	for _, c := range f.minerals {
		c.SetOptions(products)
	}
	first = !f.offered
	f.offered = true
	if first {
		f.forWhom.SetSelected(freshForNone)
	}
	return first
}

// salty tells whether the water is made with sea salt.
func (f *makingFields) salty(l *loaded) bool {
	s, ok := l.room.System(f.forWhom.Value())
	return f.forWhom.Value() == saltForNone || ok && (s.Kind == tanks.Marine || s.Kind == tanks.Brackish)
}

// seaPSU is the salinity that salt water for no system is made to.
const seaPSU = 35

// fillGoals takes the goals from the bands of the system: of salt water salinity and
// temperature, as the salt brings the rest.
func (f *makingFields) fillGoals(l *loaded) {
	f.filling = true
	defer func() { f.filling = false }()
	of := []chem.Analyte{chem.Hardness, chem.Alkalinity, chem.Nitrate, chem.Temperature}
	if f.salty(l) {
		of = []chem.Analyte{chem.Salinity, chem.Nitrate, chem.Temperature}
	}
	for _, g := range f.goals {
		band, ok := l.room.BandHere(tanks.Cell{System: f.forWhom.Value(), Analyte: g.analyte})
		switch {
		case slices.Contains(of, g.analyte) && ok && band.HasEdges():
			g.entry.SetValue(band.Aim)
		case g.analyte == chem.Salinity && f.forWhom.Value() == saltForNone:
			g.entry.SetValue(seaPSU)
		default:
			g.entry.SetText("")
		}
	}
}

// fillWaters proposes purified water, for fresh water beside the first other one.
func (f *makingFields) fillWaters(l *loaded) {
	f.filling = true
	defer func() { f.filling = false }()
	var pure, other tanks.SystemID
	for _, s := range sourcesOf(l) {
		psu, _ := l.room.Water(s.ID).Salinity()
		switch {
		case s.Purified && pure == 0:
			pure = s.ID
		case !s.Purified && psu <= 2 && other == 0:
			other = s.ID
		}
	}
	chosen := []tanks.SystemID{other, pure}
	if pure == 0 || other == 0 || f.salty(l) {
		chosen = []tanks.SystemID{max(pure, noSource), noSource}
		if pure == 0 {
			chosen[0] = other
		}
	}
	for i, w := range f.waters {
		id := noSource
		if i < len(chosen) {
			id = chosen[i]
		}
		w.source.SetSelected(id)
		w.litres.SetText("")
	}
}

// usualRatio is calcium to magnesium by mass as most fresh waters have it (common
// practice, no source).
const usualRatio = 3

// fillMinerals proposes what is on the shelf for hardness and alkalinity, each by a
// solid of one compound, and what takes chlorine out. A keeper chooses otherwise.
func (f *makingFields) fillMinerals(l *loaded) {
	f.filling = true
	defer func() { f.filling = false }()
	var proposed []tanks.ProductID
	add := func(fits func(tanks.Product, chem.Effects) bool) bool {
		i := slices.IndexFunc(l.products, func(p tanks.Product) bool {
			e, err := p.Contents.Effects()
			return err == nil && !p.Retired && p.Stock > 0 && len(p.Contents.Ingredients) == 1 && fits(p, e)
		})
		if i >= 0 {
			proposed = append(proposed, l.products[i].ID)
		}
		return i >= 0
	}
	ratio := ""
	if f.asks(chem.Hardness) {
		calcium := add(func(p tanks.Product, e chem.Effects) bool {
			return p.Contents.Form == chem.Solid && e[chem.Calcium] > 0 && e[chem.Alkalinity] == 0 && e[chem.Nitrate] == 0
		})
		magnesium := add(func(p tanks.Product, e chem.Effects) bool {
			return p.Contents.Form == chem.Solid && e[chem.Magnesium] > 0 && e[chem.Alkalinity] == 0 && e[chem.Nitrate] == 0
		})
		if calcium && magnesium && f.allKnow(l, chem.Calcium) && f.allKnow(l, chem.Magnesium) {
			ratio = widgets.PlainNumber(usualRatio)
		}
	}
	if f.asks(chem.Alkalinity) {
		add(func(p tanks.Product, e chem.Effects) bool {
			return p.Contents.Form == chem.Solid && e[chem.Alkalinity] > 0 && e[chem.Potassium] > 0
		})
	}
	if f.asks(chem.Hardness) || f.salty(l) {
		add(func(p tanks.Product, _ chem.Effects) bool { return making.TakesChlorine(p.Contents) })
	}
	f.ratio.SetText(ratio)
	for i, c := range f.minerals {
		id := tanks.ProductID(0)
		if i < len(proposed) {
			id = proposed[i]
		}
		c.SetSelected(id)
	}
}

// asks tells whether a goal is given for an analyte.
func (f *makingFields) asks(a chem.Analyte) bool {
	return slices.ContainsFunc(f.goals, func(g goalField) bool { return g.analyte == a && !g.entry.Empty() })
}

// allKnow tells whether each chosen water that is not purified was tested for an
// analyte.
func (f *makingFields) allKnow(l *loaded, a chem.Analyte) bool {
	return !slices.ContainsFunc(f.waters[:], func(w waterField) bool {
		s, ok := l.room.System(w.source.Value())
		if !ok || s.Purified {
			return false
		}
		_, known := l.room.Estimate(tanks.Cell{System: s.ID, Analyte: a})
		return !known
	})
}

// reading collects what is wrong at fields as they are read.
type reading struct{ faults []widgets.Fault }

func (r *reading) wrong(field string, err error) {
	r.faults = append(r.faults, widgets.Fault{Field: field, Problem: say.Of(err)})
}

// optional reads a field that may be empty; what must be above zero is refused else.
func (r *reading) optional(field string, e *widgets.QuantityEntry) float64 {
	if e.Empty() {
		return 0
	}
	v, err := e.Value()
	if err != nil {
		r.wrong(field, err)
	}
	return v
}

func (r *reading) number(field string, e *widgets.NumberEntry, low, high float64) float64 {
	if strings.TrimSpace(e.Text) == "" {
		return 0
	}
	v, err := e.Value()
	switch {
	case err != nil:
		r.wrong(field, err)
	case !(v >= low && v <= high):
		r.faults = append(r.faults, widgets.Fault{Field: field, Problem: say.F("%q is outside %g to %g", e.Text, low, high),
			Remedy: say.L("check the value and its unit")})
	}
	return v
}

// order reads the fields; what is wrong stands at its own.
func (f *makingFields) order(l *loaded, s *session.Session) (making.Order, []widgets.Fault) {
	var r reading
	o := making.Order{Litres: r.optional(making.FieldLitres, f.litres), Vat: r.optional(making.FieldVat, f.vat), Unit: s.Unit,
		Volume: s.VolumeUnit()}
	f.readNumbers(&r, &o)
	f.readWaters(&r, &o, l)
	for _, g := range f.goals {
		if !g.entry.Empty() {
			o.Goals = append(o.Goals, making.Goal{Analyte: g.analyte, Value: r.optional(g.name(), g.entry), AtMost: g.atMost})
		}
	}
	f.readMinerals(&r, &o, l)
	addThiosulfate(&o, l)
	return o, r.faults
}

func (f *makingFields) readNumbers(r *reading, o *making.Order) {
	o.CalciumToMagnesium = r.number(making.FieldRatio, f.ratio, 0.01, 1000)
	o.Readable = r.number("readable", f.readable, 0.0001, 100)
	o.Watts = r.number("watts", f.watts, 1, 100000)
	o.Air = r.number("air", f.air, 100, 30000)
	if o.Air == 0 {
		o.Air = chem.AirCO2
	}
	o.Moisture = r.number(making.FieldMoisture, f.moisture, 0, 40) / 100
}

func (f *makingFields) readWaters(r *reading, o *making.Order, l *loaded) {
	for i, w := range f.waters {
		source, ok := l.room.System(w.source.Value())
		if !ok {
			continue
		}
		o.Sources = append(o.Sources, making.Source{ID: source.ID, Code: source.Code, Purified: source.Purified,
			Known: l.room.Estimates(source.ID), Litres: r.optional(waterName(i), w.litres), Auto: w.litres.Empty()})
		if slices.ContainsFunc(o.Sources[:len(o.Sources)-1], func(x making.Source) bool { return x.ID == source.ID }) {
			r.faults = append(r.faults, widgets.Fault{Field: waterName(i), Problem: say.F("%s stands there twice", source.Code),
				Remedy: say.L("keep one")})
		}
	}
}

func (f *makingFields) readMinerals(r *reading, o *making.Order, l *loaded) {
	for i, c := range f.minerals {
		n := slices.IndexFunc(l.products, func(p tanks.Product) bool { return p.ID == c.Value() })
		if c.Value() == 0 || n < 0 {
			continue
		}
		if slices.ContainsFunc(o.Products, func(p tanks.Product) bool { return p.ID == c.Value() }) {
			r.faults = append(r.faults, widgets.Fault{Field: mineralName(i), Problem: say.F("%s stands there twice", l.products[n].Name),
				Remedy: say.L("keep one")})
		}
		o.Products = append(o.Products, l.products[n])
	}
}

// addThiosulfate puts what takes chlorine out behind the chosen products, where the
// shelf has it and none was chosen.
func addThiosulfate(o *making.Order, l *loaded) {
	takes := func(p tanks.Product) bool { return making.TakesChlorine(p.Contents) }
	if slices.ContainsFunc(o.Products, takes) {
		return
	}
	i := slices.IndexFunc(l.products, func(p tanks.Product) bool { return !p.Retired && p.Stock > 0 && takes(p) })
	if i >= 0 {
		o.Products = append(o.Products, l.products[i])
	}
}

// faultsOf puts what the reckoning found wrong at the fields that it is about.
func (f *makingFields) faultsOf(err error) []widgets.Fault {
	var found tanks.Faults
	if !errors.As(err, &found) {
		return forms.Faults(err)
	}
	out := forms.Faults(err)
	for i := range out {
		out[i].Field = f.fieldOf(out[i].Field)
	}
	return out
}

// fieldOf is the field of the form that a field of an order stands for.
func (f *makingFields) fieldOf(name string) string {
	var n int
	kind, _, _ := strings.Cut(name, ".")
	if _, err := fmt.Sscanf(name, kind+".%d", &n); err != nil {
		if name == making.FieldSources {
			return waterName(0)
		}
		return name
	}
	at := func(count int, filled func(int) bool) int {
		for i := range count {
			if !filled(i) {
				continue
			}
			if n == 0 {
				return i
			}
			n--
		}
		return 0
	}
	switch kind {
	case "source":
		return waterName(at(len(f.waters), func(i int) bool { return f.waters[i].source.Value() != noSource }))
	case "goal":
		return f.goals[at(len(f.goals), func(i int) bool { return !f.goals[i].entry.Empty() })].name()
	default:
		return mineralName(at(len(f.minerals), func(i int) bool { return f.minerals[i].Value() != 0 }))
	}
}
