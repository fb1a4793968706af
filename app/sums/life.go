package sums

import (
	"math"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
)

// process is what life does to a water as it uses an analyte.
type process struct {
	title   words.Text
	uses    chem.Analyte
	label   words.Text
	effects func(float64) (chem.Effects, error)
	shows   []chem.Analyte
	formula func(used float64, e chem.Effects) string
	source  words.Text
	caution words.Text
	losesKH bool // what bicarbonate gives back is said
}

func nitrification(s *session.Session, g Given) {
	process{
		title: "Nitrification", uses: chem.Ammonia, label: "Ammonium used", effects: chem.Nitrification,
		shows: []chem.Analyte{chem.Nitrate, chem.Alkalinity, chem.Oxygen},
		formula: func(used float64, e chem.Effects) string {
			return say.F("NH4⁺ + 2 O2 → NO3⁻ + H2O + 2 H⁺: %.4g mg/L ÷ 18.04 = %.4g mmol/L; × 62.00 = %.4g mg/L NO3, × 2 = %.4g meq/L, "+
				"× 2 × 32.00 = %.4g mg/L O2", used, used/18.039, e[chem.Nitrate], -e[chem.Alkalinity], -e[chem.Oxygen])
		},
		source: "Wolf-Gladrow et al. 2007, Mar. Chem. 106, 287-300; the growth of the bacteria is not counted. Fish give ammonia off as " +
			"NH3, which first gives half of the alkalinity back.",
		caution: "With little KH the pH falls as it is used and the bacteria slow down: ammonia then stays. Measure KH in a filter that is " +
			"being started.",
		losesKH: true,
	}.ask(s, g)
}

func denitrification(s *session.Session, g Given) {
	process{
		title: "Denitrification", uses: chem.Nitrate, label: "Nitrate used", effects: chem.Denitrification,
		shows: []chem.Analyte{chem.Alkalinity},
		formula: func(used float64, e chem.Effects) string {
			return say.F("A mole of nitrate gives one equivalent back: %.4g mg/L ÷ 62.00 = %.4g meq/L", used, e[chem.Alkalinity])
		},
		source: "Wolf-Gladrow et al. 2007, Mar. Chem. 106, 287-300. Nitrate that plants or algae take up gives the same back.",
		caution: "Carbon sources feed bacteria that use oxygen: little at first, with much air, and never where nitrate is at its end, for " +
			"hydrogen sulfide can form.",
	}.ask(s, g)
}

func calcification(s *session.Session, g Given) {
	process{
		title: "Calcification", uses: chem.Alkalinity, label: "Alkalinity used", effects: chem.Calcification,
		shows: []chem.Analyte{chem.Calcium, chem.Hardness},
		formula: func(used float64, e chem.Effects) string {
			return say.F("Ca²⁺ + 2 HCO3⁻ → CaCO3 + CO2 + H2O: %.4g meq/L ÷ 2 × 40.078 = %.4g mg/L Ca", used, -e[chem.Calcium])
		},
		source: "Half a mole of calcium for an equivalent of alkalinity; the magnesium and strontium of skeletons, some per cent, are not " +
			"counted.",
		caution: "A system whose calcium falls in another proportion has something else at work: a test, a dose, a precipitate.",
	}.ask(s, g)
}

// ask asks how much is used in how much water.
func (p process) ask(s *session.Session, g Given) {
	b := newSheet(s)
	b.otherwise = "used"
	used := b.quantity("used", say.L(p.label), say.L("in the water, by whatever time"), b.value(p.uses, math.NaN()), required)
	litres := b.quantity("litres", say.L("Net volume"), say.L("may be empty"), s.VolumeEntry(math.Round(g.Litres), 0), optional)
	b.show(say.L(p.title), func() (answer, error) {
		e, err := p.effects(used.v)
		if err != nil {
			return answer{}, err
		}
		a := answer{formula: p.formula(used.v, e), source: say.L(p.source), notes: []string{say.L(p.caution)}}
		for _, analyte := range p.shows {
			a.results = append(a.results, say.F("%s: %s", say.Of(analyte), b.change(analyte, e[analyte])))
		}
		if p.losesKH && litres.given && used.v > 0 {
			grams, err := bicarbonateFor(-e[chem.Alkalinity], litres.v)
			if err != nil {
				return answer{}, at("litres", err)
			}
			a.results = append(a.results, say.F("%.3g g of sodium bicarbonate give the alkalinity of %s back.", grams,
				s.Volume(litres.v, 0)))
		}
		return a, nil
	})
}

// bicarbonateFor returns the grams of sodium bicarbonate that raise litres of water
// by meq/L of alkalinity.
func bicarbonateFor(meq, litres float64) (float64, error) {
	soda := chem.Product{Form: chem.Solid, Ingredients: []chem.Ingredient{{Compound: "NaHCO3", Amount: 1}}}
	e, err := soda.Effects()
	if err != nil {
		return 0, err
	}
	return chem.Amount(e[chem.Alkalinity], meq, litres)
}
