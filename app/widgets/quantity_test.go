package widgets

import (
	"errors"
	"math"
	"testing"

	"fyne.io/fyne/v2/container"

	"weirkeeper/app/apptest"
	"weirkeeper/app/say"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
)

func volumes(units ...chem.VolumeUnit) []QuantityUnit {
	var out []QuantityUnit
	for _, u := range units {
		out = append(out, QuantityUnit{Name: u.Words(), Decimals: 1,
			Of: func(l float64) (float64, error) { return u.Of(l), nil }, Kept: func(v float64) (float64, error) {
				return v * u.Litres(),
					nil
			}})
	}
	return out
}

func TestQuantityEntry(t *testing.T) {
	e := NewQuantityEntry(volumes(chem.USGallon, chem.Litre)...)
	e.Limits = true
	w := apptest.Window(t, container.NewVBox(e), 400, 200)
	changes := 0
	e.OnChanged = func() { changes++ }
	w.Canvas().Focus(e.FocusTarget())
	apptest.Type(t, w.Canvas(), "90")
	if v, err := e.Value(); err != nil || math.Abs(v-90*3.785411784) > 1e-9 || e.below.Text() != "= 340.7 L" || changes != 2 {
		t.Errorf("%v, %v, under it %q, told %d times", v, err, e.below.Text(), changes)
	}
	for text, want := range map[string]struct {
		kept  float64
		limit string
		below string
	}{
		"340 L": {340, "", "= 89.8 US gal"}, "340 l": {340, "", "= 89.8 US gal"}, "10,5": {10.5 * 3.785411784, "",
			"= 39.7 L"}, "<100 L": {100, "<", "= <26.4 US gal"}, "90us gal": {90 * 3.785411784, "", "= 340.7 L"},
	} {
		e.SetText(text)
		kept, limit, err := e.Bound()
		if err != nil || math.Abs(kept-want.kept) > 1e-9 || limit != want.limit || e.below.Text() != want.below {
			t.Errorf("%q: %v %q %v, under it %q", text, kept, limit, err, e.below.Text())
		}
	}
	few := NewQuantityEntry(volumes(chem.Litre, chem.USGallon)...)
	few.SetText("90 US gal") // it ends like "L" as well
	if v, err := few.Value(); err != nil || math.Abs(v-90*3.785411784) > 1e-9 {
		t.Errorf("gallons where litres come first: %v, %v", v, err)
	}
	e.Limits = false
	for text, says := range map[string]string{"<5": `"<5" is a bound: give the number alone`,
		"8.3.1": `"8.3.1" has a second decimal mark '.': type one point or comma, and no mark between thousands`} {
		e.SetText(text)
		if _, err := e.Value(); err == nil || e.below.Text() != says {
			t.Errorf("%q: under it %q", text, e.below.Text())
		}
	}
	e.SetText(" ")
	if _, err := e.Value(); !errors.Is(err, ErrNoNumber) || !e.Empty() || e.below.Visible() {
		t.Errorf("empty: %v", err)
	}
}

func TestQuantityShowsItsValue(t *testing.T) {
	t.Cleanup(func() { say.Use(say.Style{}) })
	say.Use(say.Style{Comma: true})
	e := NewQuantityEntry(volumes(chem.USGallon, chem.Litre)...)
	apptest.Window(t, container.NewVBox(e), 400, 200)
	e.SetValue(340)
	if e.Text() != "89,8" || e.below.Text() != "= 339,9 L" {
		t.Errorf("%q, under it %q", e.Text(), e.below.Text())
	}
	cannot := NewQuantityEntry(QuantityUnit{Name: words.Text("SG"), Of: func(float64) (float64, error) { return 0, errors.New("outside") }})
	cannot.SetValue(90)
	if !cannot.Empty() {
		t.Errorf("a value without a place in the unit shows as %q", cannot.Text())
	}
}
