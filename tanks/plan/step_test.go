package plan

import (
	"strings"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// The amount of a day is given in as many doses as keep each within the largest step:
// that of the band, else the usual one of the kind of water, no more than the band's
// change of a day. By hand: 32 mg/L in 341 L are 149.35 mL, 74.7 a day, 16 mg/L.
func TestDosesWithinTheStep(t *testing.T) {
	for _, c := range []struct {
		name      string
		kind      tanks.Kind
		day, step float64
		parts     int
		daily     float64
		of        float64
		from      string
	}{
		{"of the band", tanks.Marine, 20, 20, 1, 75, 20, "the band"},
		{"two of the band", tanks.Marine, 20, 9, 2, 75, 9, "the band"},
		{"three of the band", tanks.Marine, 20, 6, 3, 75, 6, "the band"},
		{"usual of the sea", tanks.Marine, 20, 0, 2, 75, 10, "common practice, no source"},
		{"usual of fresh water", tanks.Freshwater, 20, 0, 2, 75, 8, "common practice, no source"},
		{"usual, less than a day's", tanks.Marine, 6, 0, 1, 25, 6, "the band"},
		{"just as much", tanks.Marine, 20, 16.069, 1, 75, 16.069, "the band"},
		{"within what rounding does", tanks.Marine, 20, 15.9, 1, 75, 15.9, "the band"},
	} {
		t.Run(c.name, func(t *testing.T) {
			band := calciumBand
			band.MaxRise, band.MaxStep = c.day, c.step
			in := input(341, []tanks.Band{band}, 388)
			in.System.Kind = c.kind
			l := one(t, in, options())
			if l.Parts != c.parts || l.Daily != c.daily || l.Proposed != c.daily || l.Step != c.of || l.StepFrom.String() != c.from {
				t.Errorf("%g mL in %d doses, step %g of %s", l.Daily, l.Parts, l.Step, l.StepFrom)
			}
			near(t, "a dose", l.Dose(), c.daily/float64(c.parts), 1e-12)
			if _, ok := said(l, RuleStep); ok {
				t.Error("it is said to be more than a step")
			}
		})
	}
}

// What four doses a day do not keep within the step is said, with what helps: upkeep that
// the animals live by is not stopped for it. Doses that a syringe cannot show are not
// made.
func TestMoreThanDosesByHandCanDo(t *testing.T) {
	band := calciumBand
	band.MaxStep = 3
	in := input(341, []tanks.Band{band}, 388)
	l := one(t, in, options())
	g, ok := said(l, RuleStep)
	if !ok || g.Stops || l.Hold() || l.Parts != 4 ||
		g.Message.String() != "Even in 4 doses a day, one raises calcium by 4.0 mg/L, more than the largest step of 3.0 mg/L (the band). "+
			"Use a weaker product or a pump, take more days, or raise the step in the band." {
		t.Fatalf("%g mL in %d doses: %+v", l.Daily, l.Parts, l.Guards)
	}
	decided := l.WithDaily(76, 2, in, options())
	if g, ok := said(decided, RuleStep); !ok || g.Stops || decided.Hold() || decided.Parts != 4 || decided.Dose() != 19 {
		t.Errorf("decided: %g mL in %d doses, %+v", decided.Daily, decided.Parts, decided.Guards)
	}
	jar := one(t, input(0.3, []tanks.Band{band}, 400), options()) // 0.04 mL a day are 10 mg/L
	if jar.Parts > 1 && jar.Dose() < 0.1 {
		t.Errorf("of a jar: %g mL in %d doses", jar.Daily, jar.Parts)
	}
}

// Doses of a day lie three hours apart, those of different lines half an hour.
func TestDosesOfADayLieApart(t *testing.T) {
	narrow, other := calciumBand, alkalinityBand
	narrow.MaxStep, other.MaxStep = 9, dkh(0.3)
	in := input(341, []tanks.Band{narrow, other}, 388, dkh(7.4))
	p := Make([]Input{in}, options())[0]
	all := p.Doses(options())
	calcium, alkalinity := all[chem.Calcium], all[chem.Alkalinity]
	if len(calcium) != 4 || len(alkalinity) < 4 {
		t.Fatalf("%d doses of calcium, %d of alkalinity", len(calcium), len(alkalinity))
	}
	for n, want := range []time.Duration{0, 3 * time.Hour, 24 * time.Hour, 27 * time.Hour} {
		if got := calcium[n].Due.Sub(now); got != want {
			t.Errorf("dose %d of calcium after %s, want %s", n, got, want)
		}
	}
	for _, a := range alkalinity {
		for _, c := range calcium {
			if d := a.Due.Sub(c.Due).Abs(); d < 30*time.Minute {
				t.Errorf("two doses %s apart", d)
			}
		}
	}
}

// A water change that takes more than the step is made in as many as it takes.
func TestWaterChangesWithinTheStep(t *testing.T) {
	for value, want := range map[float64]string{
		440.5: "23 % new water (45 L) brings it to the aim, in 3 changes: the largest step is 8.0 mg/L (the band).",
		428:   "10 % new water (21 L) brings it to the aim.",
	} {
		band := calciumBand
		band.High, band.MaxStep = 425, 8
		in := input(200, []tanks.Band{band}, value)
		in.Estimates[chem.Calcium] = tanks.Estimate{Value: value, Uncertainty: 1, At: now, N: 1}
		in.Verdicts[chem.Calcium] = tanks.Judge(in.Estimates[chem.Calcium], band, chem.Water{}, now)
		in.Fresh = map[chem.Analyte]float64{chem.Calcium: 350}
		if l := one(t, in, options()); l.Dilution.Text.String() != want {
			t.Errorf("at %g: %s", value, l.Dilution.Text)
		}
	}
}

// Where nothing raises hardness, and where phosphate is too high, the line names the ways
// that are a choice; of calcium it does not.
func TestWaysAreNamed(t *testing.T) {
	hardness := tanks.Band{Analyte: chem.Hardness, Low: 1, Aim: 1.5, High: 2}
	phosphate := tanks.Band{Analyte: chem.Phosphate, Low: 0.02, Aim: 0.05, High: 0.1}
	in := input(200, []tanks.Band{hardness, phosphate, calciumBand}, 0.3, 0.5, 388)
	in.System.Kind = tanks.Freshwater
	opt := options()
	opt.Products, opt.Analytes = nil, []chem.Analyte{chem.Hardness, chem.Phosphate, chem.Calcium}
	for _, l := range Make([]Input{in}, opt)[0].Lines {
		nothing, _ := said(l, RuleNoDoseFor)
		high, _ := said(l, RuleNotDown)
		text := nothing.Message.String() + high.Message.String()
		if l.Analyte == chem.Hardness && !strings.Contains(text, "What raises it is a choice: Calcium and magnesium sulfate; ") ||
			l.Analyte == chem.Phosphate && !strings.Contains(text, "What lowers it is a choice: Water changes; ") ||
			l.Analyte == chem.Calcium && (strings.Contains(text, "is a choice") || text == "") {
			t.Errorf("%s: %q", l.Analyte, text)
		}
	}
}
