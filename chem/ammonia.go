package chem

import (
	"maps"
	"math"

	"weirkeeper/assets/words"
)

// AmmoniaLimit is how much total ammonia a published criterion allows in a water,
// in mg/L as NH4, and how much of that is NH3, the share that hurts.
type AmmoniaLimit struct {
	Acute, Chronic       float64 // for an hour, for a month (in salt water four days)
	AcuteNH3, ChronicNH3 float64 // mg/L NH3 in these
	Source               words.Text
}

const (
	freshCriterion = "EPA-822-R-13-001, Aquatic Life Ambient Water Quality Criteria for Ammonia, Freshwater 2013"
	seaCriterion   = "EPA 440/5-88-004, Ambient Water Quality Criteria for Ammonia (Saltwater), 1989"
)

// The criteria for salt water in mg/L NH3, of EPA 440/5-88-004, as the Washington
// Administrative Code, WAC 173-201A-240, table 240(3), repeats them for marine water.
const (
	seaAcuteNH3   = 0.233
	seaChronicNH3 = 0.035
)

// seaCriterionFrom is the salinity in PSU above which the criteria of salt water
// are taken; where they begin is common practice, no source.
const seaCriterionFrom = 5

// criterion2013 returns the acute (no salmonids present) and chronic criteria in
// mg/L of total ammonia nitrogen, for pH 6.5 to 9 (NBS) and 0 to 30 °C, as the
// document's tables go.
func criterion2013(pH, tC float64) (acute, chronic float64, err error) {
	if !(pH >= 6.5 && pH <= 9) {
		return 0, 0, RangeError{Quantity: PH.InSentence(), Value: pH, Low: 6.5, High: 9}
	}
	if !(tC >= 0 && tC <= 30) {
		return 0, 0, RangeError{Quantity: Temperature.InSentence(), Value: tC, Low: 0, High: 30, Unit: "°C"}
	}
	share := func(pK, low, high float64) float64 {
		return low/(1+math.Pow(10, pK-pH)) + high/(1+math.Pow(10, pH-pK))
	}
	acute = 0.7249 * share(7.204, 0.0114, 1.6181) * math.Min(51.93, 23.12*math.Pow(10, 0.036*(20-tC)))
	chronic = 0.8876 * share(7.688, 0.0278, 1.1994) * 2.126 * math.Pow(10, 0.028*(20-math.Max(tC, 7)))
	return acute, chronic, nil
}

// SafeAmmonia returns the total ammonia that a published criterion allows in the
// water, by its pH on the given scale, temperature and salinity (or conductivity):
// EPA 2013 below 5 PSU, which protects mussels and snails, the most tender, and
// EPA 1989 above, which limits un-ionised ammonia. Fish of a shop are other species
// than those tested: treat the chronic limit as an alarm, not as a goal. The error
// is a *MissingError or a [RangeError].
func (a Analysis) SafeAmmonia(by Conventions) (AmmoniaLimit, error) {
	if err := a.need("the limit of ammonia", PH, Temperature); err != nil {
		return AmmoniaLimit{}, err
	}
	s, err := a.salinity()
	if err != nil {
		return AmmoniaLimit{}, err
	}
	one := maps.Clone(a)
	one[Ammonia] = 1
	free, err := one.UnionizedAmmonia(by)
	if err != nil {
		return AmmoniaLimit{}, err
	}
	if s >= seaCriterionFrom {
		return AmmoniaLimit{seaAcuteNH3 / free.MgL, seaChronicNH3 / free.MgL, seaAcuteNH3, seaChronicNH3, seaCriterion}, nil
	}
	acute, chronic, err := criterion2013(a[PH], a[Temperature])
	if err != nil {
		return AmmoniaLimit{}, err
	}
	perN := speciesMass[Ammonia] / weights["N"]
	acute, chronic = acute*perN, chronic*perN
	return AmmoniaLimit{acute, chronic, acute * free.MgL, chronic * free.MgL, freshCriterion}, nil
}
