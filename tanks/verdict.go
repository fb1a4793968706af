package tanks

import (
	"math"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
)

// Word is where the true value most probably lies.
type Word int

// The words of a verdict. NoVerdict: there is no band, or nothing is known.
const (
	NoVerdict Word = iota
	BelowBand
	WithinBand
	AboveBand
)

// Words implements words.Worded: "none", "below", "within" or "above".
func (w Word) Words() words.Text {
	switch w {
	case BelowBand:
		return "below"
	case WithinBand:
		return "within"
	case AboveBand:
		return "above"
	}
	return "none"
}

// String returns the word in English.
func (w Word) String() string { return w.Words().String() }

// Sureness is how probable the word is.
type Sureness int

// The degrees of sureness: a probability of at least 0.95 is firm, of at
// least 0.66 likely (the words of the IPCC's 2010 guidance note on
// uncertainties), less is unsure.
const (
	Unsure Sureness = iota
	Likely
	Firm
)

// Probabilities from which a verdict is likely and firm.
const (
	likelyFrom = 0.66
	firmFrom   = 0.95
)

// Words implements words.Worded: "unsure", "likely" or "firm".
func (s Sureness) Words() words.Text {
	switch s {
	case Likely:
		return "likely"
	case Firm:
		return "firm"
	}
	return "unsure"
}

// String returns the word in English.
func (s Sureness) String() string { return s.Words().String() }

// Verdict tells where a value lies to its band and how sure that is.
type Verdict struct {
	Word  Word
	Sure  Sureness
	Stale bool // older than its test interval plus grace
	// PBelow, PWithin and PAbove are the probabilities that the true value is
	// below, within or above the band; they add to 1, or are all 0 without a
	// verdict.
	PBelow, PWithin, PAbove float64
	// AtSalinity is the practical salinity that the band holds at where its edges
	// were scaled to that of the water; zero: judged by the edges as they are.
	AtSalinity float64
}

// Words implements words.Worded: "below, firm", "within, likely, stale" or
// "none".
func (v Verdict) Words() words.Text {
	said := []words.Text{v.Word.Words()}
	if v.Word != NoVerdict {
		said = append(said, v.Sure.Words())
	}
	if v.Stale {
		said = append(said, "stale")
	}
	return words.Join(said, ", ")
}

// String returns the verdict in English.
func (v Verdict) String() string { return v.Words().String() }

// Grace returns how long beyond its test interval a value still counts: half
// of the interval, at least a day (common practice, no source).
func Grace(every time.Duration) time.Duration { return max(every/2, 24*time.Hour) }

// Judge returns the verdict on e by band b at the instant now, by the
// probabilities of conformity of JCGM 106:2012, section 7, with a normal
// distribution for the true value. A result below a limit L is taken as
// uniform on 0 to L; one above a limit says only that it is above: sure only
// when the limit is at or over the band's high edge. The band is taken as it
// holds in the water that e is of, see [Band.In]. A band that begins with nothing
// is one-sided, with only its high edge: no water holds less than nothing.
func Judge(e Estimate, b Band, w chem.Water, now time.Time) Verdict {
	var v Verdict
	v.Stale = b.TestEvery > 0 && now.Sub(e.At) > b.TestEvery+Grace(b.TestEvery)
	if !b.HasEdges() || !finite(e.Value) || math.IsNaN(e.Uncertainty) {
		return v
	}
	if b.scale(w) != 1 {
		b, v.AtSalinity = b.In(w), b.AtSalinity
	}
	switch e.Limit {
	case Below:
		v.PBelow, v.PAbove = shareBelow(b.Low, 2*e.Value), 1-shareBelow(b.High, 2*e.Value)
	case Above:
		return judgeAbove(v, e.Value, b)
	default:
		if !b.fromNothing() {
			v.PBelow = normalBelow(b.Low, e.Value, e.Uncertainty)
		}
		v.PAbove = normalBelow(-b.High, -e.Value, e.Uncertainty)
	}
	v.PWithin = max(0, 1-v.PBelow-v.PAbove)
	v.Word, v.Sure = wordOf(v.PBelow, v.PWithin, v.PAbove)
	return v
}

// judgeAbove judges a value known only to be above the bound. Where the bound
// leaves more than one side open, they count as equally probable: nothing
// says which.
func judgeAbove(v Verdict, bound float64, b Band) Verdict {
	switch {
	case bound >= b.High:
		v.PAbove, v.Word, v.Sure = 1, AboveBand, Firm
	case bound >= b.Low:
		v.PWithin, v.PAbove, v.Word = 0.5, 0.5, AboveBand
	}
	return v
}

func wordOf(below, within, above float64) (Word, Sureness) {
	word, p := WithinBand, within
	if below > p {
		word, p = BelowBand, below
	}
	if above > p {
		word, p = AboveBand, above
	}
	switch {
	case p >= firmFrom:
		return word, Firm
	case p >= likelyFrom:
		return word, Likely
	}
	return word, Unsure
}

// normalBelow returns the probability that a normal variable of the given
// mean and standard deviation is below x. Without a deviation the edge itself
// counts as within.
func normalBelow(x, mean, sd float64) float64 {
	if sd <= 0 {
		if mean < x {
			return 1
		}
		return 0
	}
	return 0.5 * math.Erfc((mean-x)/(sd*math.Sqrt2))
}

// shareBelow returns the part of the interval 0 to top that lies below x.
func shareBelow(x, top float64) float64 {
	if top <= 0 {
		if x > 0 {
			return 1
		}
		return 0
	}
	return min(1, max(0, x/top))
}
