package tasks

import (
	"cmp"
	"slices"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// NextStep is the next step that a concern asks for.
type NextStep int

// The steps, in the order of how pressing they are among equals.
const (
	PlanDose NextStep = iota
	PlanChange
	Compare
	AddToRound
)

// Concern is something that needs attention, with why and the next step.
type Concern struct {
	System  tanks.SystemID
	Analyte chem.Analyte
	Verdict tanks.Verdict
	Text    words.Text // why, in a sentence
	Next    NextStep
}

// AttentionInput is what concerns are found in. Say writes why in words and
// may be given the concern without its text.
type AttentionInput struct {
	Systems  []tanks.System
	Bands    map[tanks.SystemID][]tanks.Band
	Verdicts map[tanks.Cell]tanks.Verdict
	Say      func(Concern) words.Text
	// Disagree are the cells in which two methods are further apart than both
	// claim, with the sentence that says so.
	Disagree map[tanks.Cell]words.Text
}

// Attention lists what stands out, the most pressing first: firmly outside
// before likely, then methods that disagree, then stale values.
func Attention(in AttentionInput) []Concern {
	type ranked struct {
		Concern
		rank int
		p    float64
	}
	var all []ranked
	for _, s := range in.Systems {
		for _, band := range in.Bands[s.ID] {
			key := tanks.Cell{System: s.ID, Analyte: band.Analyte}
			v := in.Verdicts[key]
			c := Concern{System: s.ID, Analyte: band.Analyte, Verdict: v}
			rank := -1
			switch {
			case v.Stale:
				c.Next, rank = AddToRound, 3
			case v.Word == tanks.BelowBand && v.Sure != tanks.Unsure:
				c.Next, rank = PlanDose, int(tanks.Firm-v.Sure)
			case v.Word == tanks.AboveBand && v.Sure != tanks.Unsure:
				c.Next, rank = PlanChange, int(tanks.Firm-v.Sure)
			}
			if (s.Kind == tanks.Source || undosed(band.Analyte)) && (c.Next == PlanDose || c.Next == PlanChange) {
				c.Next = AddToRound
			}
			if rank >= 0 {
				c.Text = in.Say(c)
				all = append(all, ranked{c, rank, max(v.PBelow, v.PAbove)})
			}
			if text, ok := in.Disagree[key]; ok {
				all = append(all, ranked{Concern{System: s.ID, Analyte: band.Analyte, Text: text, Next: Compare}, 2, 0})
			}
		}
	}
	slices.SortStableFunc(all, func(x, y ranked) int { return cmp.Or(cmp.Compare(x.rank, y.rank), cmp.Compare(y.p, x.p)) })
	out := make([]Concern, len(all))
	for i, r := range all {
		out[i] = r.Concern
	}
	return out
}

// undosed tells the analytes that neither a dose nor a water change mends, as
// in sources: they want a look at the equipment and another test.
func undosed(a chem.Analyte) bool {
	switch a {
	case chem.Temperature, chem.PH, chem.Oxygen, chem.CarbonDi:
		return true
	}
	return false
}
