package board

import (
	"math"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// Why says in sentences what is wrong with a cell, its numbers in a unit: how old
// the value is, or where it stands to the edge that it is beyond, at which
// salinity, and what is used and given a day.
func (e *Estimated) Why(c tanks.Cell, unit chem.Unit) words.Text {
	v := e.Judge(c)
	band, _ := e.BandHere(c)
	if v.Stale {
		return words.T("The last value is %s old; it is tested %s.", wholeDays(e.age(c)), everyDays(band.TestEvery))
	}
	s := shown{c.Analyte, unit, e.Water(c.System)}
	estimate, _ := e.Estimate(c)
	edge, where := band.Low, words.Text("below")
	if v.Word == tanks.AboveBand {
		edge, where = band.High, "above"
	}
	text := words.T(
		"%s ± %s %s: %s %s, %s.",
		s.value(estimate.Value),
		s.delta(estimate.Value, 2*estimate.Uncertainty, 0),
		unit,
		where,
		s.value(edge),
		v.Sure,
	)
	if psu, _ := s.water.Salinity(); v.AtSalinity > 0 {
		text = words.T(
			"%s ± %s %s: %s %s, the band's edge at S %.1f, %s.",
			s.value(estimate.Value),
			s.delta(estimate.Value, 2*estimate.Uncertainty, 0),
			unit,
			where,
			s.value(edge),
			psu,
			v.Sure,
		)
	}
	if daily := e.daily(c, s, estimate.Value); daily != "" {
		return words.T("%s %s", text, daily)
	}
	return text
}

func wholeDays(d time.Duration) words.Text { return words.N(int(d.Hours()/24), "%d day", "%d days") }

// everyDays says how often; what is tested more than once a day is tested every day.
func everyDays(d time.Duration) words.Text {
	days := int(math.Round(d.Hours() / 24))
	if days <= 1 {
		return "every day"
	}
	return words.N(days, "every %d day", "every %d days")
}

// daily says what is used and given a day, as far as it stands out.
func (e *Estimated) daily(c tanks.Cell, s shown, at float64) words.Text {
	u, ok := e.Uptake(c)
	if !ok || math.Abs(u.PerDay) <= u.Half(clear) {
		return ""
	}
	if u.PerDay < 0 {
		return words.T("Gains %s a day.", s.delta(at, u.PerDay, 1))
	}
	if given := e.Standing(c); given > 0 {
		return words.T("Uses %s a day, standing doses give %s.", s.delta(at, u.PerDay, 1), s.delta(at, given, 1))
	}
	return words.T("Uses %s a day.", s.delta(at, u.PerDay, 1))
}

// shown writes canonical values of one analyte in a unit and a water.
type shown struct {
	analyte chem.Analyte
	unit    chem.Unit
	water   chem.Water
}

func (s shown) value(v float64) words.Text { return chem.Format(s.analyte, v, s.unit, s.water) }

// delta writes the size of a change of a value, with so many decimals more than
// the value has.
func (s shown) delta(at, v float64, more int) words.Text {
	info, _ := chem.Lookup(s.analyte)
	d, err := chem.ConvertDelta(s.analyte, at, math.Abs(v), info.Unit, s.unit, s.water)
	if err != nil {
		return "?"
	}
	return chem.Decimal(math.Abs(d), chem.Decimals(s.analyte, s.unit)+more)
}
