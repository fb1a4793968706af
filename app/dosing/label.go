package dosing

import (
	"fmt"
	"strings"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// mostLabelled is how many analytes the form takes from a label.
const mostLabelled = 4

// labelFields ask for what a label says: so much in so much water raises this by
// that, several analytes at once.
type labelFields struct {
	session *session.Session
	amount  *widgets.NumberEntry
	litres  *widgets.QuantityEntry
	analyte [mostLabelled]*widgets.Choice[chem.Analyte]
	raises  [mostLabelled]*widgets.TextEntry
}

func newLabelFields(in *session.Session, label []chem.Strength) labelFields {
	f := labelFields{session: in, amount: widgets.NewNumberEntry("")}
	litres := 0.0
	if len(label) > 0 {
		f.amount, litres = widgets.NewNumberEntryOf(label[0].Amount), label[0].Litres
	}
	f.litres = in.VolumeEntry(litres, 1)
	for i := range mostLabelled {
		var analyte chem.Analyte
		var text string
		if i < len(label) {
			analyte, text = label[i].Analyte, strengthText(in, label[i], label[0])
		}
		f.analyte[i], f.raises[i] = widgets.NewChoice(labelled(), analyte), widgets.NewTextEntry(text)
	}
	return f
}

// labelled offers what rises in proportion to a dose, none first.
func labelled() []widgets.Option[chem.Analyte] {
	return append([]widgets.Option[chem.Analyte]{{}}, session.AnalyteOptions(chem.Analyte.Additive)...)
}

// strengthText writes a strength in the unit shown, for the amount and volume of
// the label's first line.
func strengthText(in *session.Session, s, first chem.Strength) string {
	info, _ := chem.Lookup(s.Analyte)
	u := in.Unit(s.Analyte)
	raises := s.Raises * s.Litres / s.Amount * first.Amount / first.Litres
	v, err := chem.ConvertDelta(s.Analyte, 0, raises, info.Unit, u, chem.Water{})
	if err != nil {
		return ""
	}
	return fmt.Sprintf("%.6g %s", v, u)
}

func (f labelFields) fields() []widgets.Field {
	fields := []widgets.Field{
		{Name: "labelamount", Label: say.L("By its label"), Input: f.amount,
			Help: say.L("mL or g that the label speaks of; leave it empty for a product that is described by its compounds")},
		{Name: "labellitres", Label: say.L("in water of"), Input: f.litres},
	}
	for i := range mostLabelled {
		help := ""
		if i == 0 {
			help = say.L("the change with its unit, 3 dGH or 2 mg/L; below zero for what it lowers")
		}
		fields = append(fields,
			widgets.Field{Name: fmt.Sprintf("labelanalyte%d", i), Label: say.F("changes %d", i+1), Input: f.analyte[i]},
			widgets.Field{Name: fmt.Sprintf("label%d", i), Label: say.L("by"), Input: f.raises[i], Help: help})
	}
	return fields
}

// read returns what the label says, or what is wrong at which field.
func (f labelFields) read() ([]chem.Strength, []widgets.Fault) {
	if !f.used() {
		return nil, nil
	}
	var faults []widgets.Fault
	fault := func(field, problem string) { faults = append(faults, widgets.Fault{Field: field, Problem: problem}) }
	amount, err := f.amount.Value()
	if err != nil {
		fault("labelamount", say.L("Give the mL or g that the label speaks of."))
	}
	litres, err := f.litres.Value()
	if err != nil {
		fault("labellitres", say.L("Give the volume of water that the label speaks of."))
	}
	var out []chem.Strength
	for i := range mostLabelled {
		a, text := f.analyte[i].Value(), strings.TrimSpace(f.raises[i].Text)
		switch {
		case a == 0 && text == "":
			continue
		case a == 0:
			fault(fmt.Sprintf("labelanalyte%d", i), say.L("Choose what this is the change of."))
			continue
		}
		raises, err := f.change(a, text)
		if err != nil {
			fault(fmt.Sprintf("label%d", i), say.Of(err))
			continue
		}
		out = append(out, chem.Strength{Analyte: a, Amount: amount, Litres: litres, Raises: raises})
	}
	return out, faults
}

// used tells whether anything was given of a label.
func (f labelFields) used() bool {
	for i := range mostLabelled {
		if f.analyte[i].Value() != 0 || strings.TrimSpace(f.raises[i].Text) != "" {
			return true
		}
	}
	return strings.TrimSpace(f.amount.Text) != ""
}

// change reads a change of an analyte with or without its unit.
func (f labelFields) change(a chem.Analyte, text string) (float64, error) {
	sign := 1.0
	if rest, below := strings.CutPrefix(strings.Replace(text, "\u2212", "-", 1), "-"); below {
		sign, text = -1, rest
	}
	v, err := tanks.ReadTyped(tanks.Typed{Analyte: a, Text: text, Unit: f.session.Unit(a)})
	if err != nil {
		return 0, err
	}
	raises, err := v.Exact()
	return sign * raises, err
}
