package widgets

import (
	"testing"

	"weirkeeper/app/apptest"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
)

// The answer stands below the form also after lines came into it, and a fault leaves
// the keyboard where one types.
func TestCalculatorMakesRoom(t *testing.T) {
	volume, number := NewQuantityEntry(volumes(chem.Litre, chem.USGallon)...), NewNumberEntry("")
	c := NewCalculator(Field{Name: "volume", Label: "Volume", Input: volume}, Field{Name: "number", Label: "Number", Input: number})
	w := apptest.Window(t, c.Content(), 520, 480)
	volume.OnChanged = func() {
		c.Wrong("number", words.New("this is wrong"))
		c.Say()
	}
	w.Canvas().Focus(volume.FocusTarget())
	apptest.Type(t, w.Canvas(), "90")
	if c.Form.FaultOf("number") == "" || w.Canvas().Focused() != volume.FocusTarget() {
		t.Errorf("the keyboard is at %T, the fault is %q", w.Canvas().Focused(), c.Form.FaultOf("number"))
	}
	volume.OnChanged = func() { c.Say("an answer") }
	apptest.Type(t, w.Canvas(), "5")
	if end, begin := c.Form.Position().Y+c.Form.MinSize().Height, c.answer.Position().Y; begin < end {
		t.Errorf("the answer begins at %g, the form ends at %g", begin, end)
	}
}
