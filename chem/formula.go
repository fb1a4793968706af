package chem

import (
	"slices"
	"strings"
	"unicode/utf8"

	"weirkeeper/assets/words"
)

// Formula is a chemical formula counted out by element. The zero value is the
// empty formula, of no mass.
type Formula struct {
	text   string
	atoms  []atoms // by element, in the order of appearance
	water  float64 // molecules of water of crystallisation
	charge int     // elementary charges
}

type atoms struct {
	element string
	n       float64
}

// FormulaError tells where a formula is not understood.
type FormulaError struct {
	Formula string
	At      int // byte offset in Formula
	Problem words.Text
}

// Error says it in English.
func (e *FormulaError) Error() string { return e.Words().String() }

// Words implements words.Worded: what is wrong and at which character, counted
// from 1.
func (e *FormulaError) Words() words.Text {
	return words.T("the formula %q is not understood at character %d: %s", e.Formula, utf8.RuneCountInString(e.Formula[:e.At])+1, e.Problem)
}

const (
	deepestBracket = 8
	highestCount   = 9999
)

// ParseFormula reads a formula with brackets, hydrates and a charge:
// "CaCl2·2H2O", "Mg(OH)2", "Na2B4O7.10H2O", "SO4^2-". The hydrate's dot may be
// ·, •, . or *, counts may be subscripts, of a hydrate also a half: "CaSO4·0.5H2O",
// "CaSO4·½H2O". A charge stands at the end, behind ^ or
// raised: "Ca^2+", "Ca²⁺", "NO3⁻"; a single one may stand bare behind a letter or
// bracket, "Na+". The error is a *FormulaError.
func ParseFormula(s string) (Formula, error) {
	p := formulaParser{text: s}
	f := Formula{text: s}
	if err := p.part(&f, 1); err != nil {
		return Formula{}, err
	}
	for p.at < len(s) && !p.atCharge() {
		if !p.take("·", "•", ".", "*") {
			return Formula{}, p.fail("expected an element, a bracket, a count, a charge or the dot of a hydrate")
		}
		n, err := p.share()
		if err != nil {
			return Formula{}, err
		}
		start := p.at
		if err := p.part(&f, n); err != nil {
			return Formula{}, err
		}
		if plainDigits(s[start:p.at]) == "H2O" {
			f.water += n
		}
	}
	var err error
	f.charge, err = p.charge()
	if err != nil {
		return Formula{}, err
	}
	return f, nil
}

type formulaParser struct {
	text string
	at   int
}

func (p *formulaParser) fail(problem words.Text) error {
	return &FormulaError{Formula: p.text, At: p.at, Problem: problem}
}

func (p *formulaParser) peek() byte {
	if p.at < len(p.text) {
		return p.text[p.at]
	}
	return 0
}

// take steps over the first of the texts that comes next.
func (p *formulaParser) take(texts ...string) bool {
	for _, t := range texts {
		if strings.HasPrefix(p.text[p.at:], t) {
			p.at += len(t)
			return true
		}
	}
	return false
}

// part reads elements and brackets up to a dot or the end and adds them n
// times.
func (p *formulaParser) part(f *Formula, n float64) error {
	found, err := p.group(0)
	if err != nil {
		return err
	}
	for _, a := range found {
		f.atoms = add(f.atoms, a.element, a.n*n)
	}
	return nil
}

func add(list []atoms, element string, n float64) []atoms {
	for i := range list {
		if list[i].element == element {
			list[i].n += n
			return list
		}
	}
	return append(list, atoms{element, n})
}

// closing brackets by their opening ones.
var closing = map[byte]string{'(': ")", '[': "]"}

func (p *formulaParser) group(depth int) ([]atoms, error) {
	var list []atoms
	for {
		c := p.peek()
		switch {
		case c >= 'A' && c <= 'Z':
			element, err := p.element()
			if err != nil {
				return nil, err
			}
			n, err := p.count()
			if err != nil {
				return nil, err
			}
			list = add(list, element, float64(n))
		case closing[c] != "":
			inner, err := p.bracket(closing[c], depth+1)
			if err != nil {
				return nil, err
			}
			for _, a := range inner {
				list = add(list, a.element, a.n)
			}
		case len(list) == 0:
			return nil, p.fail("expected an element")
		default:
			return list, nil
		}
	}
}

// bracket reads a bracketed group and its count.
func (p *formulaParser) bracket(end string, depth int) ([]atoms, error) {
	if depth > deepestBracket {
		return nil, p.fail("the brackets are nested too deep")
	}
	p.at++
	inner, err := p.group(depth)
	if err != nil {
		return nil, err
	}
	if !p.take(end) {
		return nil, p.fail(words.T("expected an element or the closing bracket %s", end))
	}
	n, err := p.count()
	if err != nil {
		return nil, err
	}
	for i := range inner {
		inner[i].n *= float64(n)
	}
	return inner, nil
}

func (p *formulaParser) element() (string, error) {
	end := p.at + 1
	if end < len(p.text) && p.text[end] >= 'a' && p.text[end] <= 'z' {
		end++
	}
	symbol := p.text[p.at:end]
	if _, ok := weights[symbol]; !ok {
		return "", p.fail(words.T("%q is not in the table of elements", symbol))
	}
	p.at = end
	return symbol, nil
}

// count reads a whole number above zero, 1 when there is none.
func (p *formulaParser) count() (int, error) {
	start, n := p.at, 0
	for {
		d, size := digit(p.text[p.at:])
		if size == 0 {
			break
		}
		if n = n*10 + d; n > highestCount {
			p.at = start
			return 0, p.fail(words.T("a count above %d", highestCount))
		}
		p.at += size
	}
	if p.at == start {
		return 1, nil
	}
	if n == 0 {
		p.at = start
		return 0, p.fail("a count of zero")
	}
	return n, nil
}

// share reads how many parts of a hydrate there are: a count, or with a half.
func (p *formulaParser) share() (float64, error) {
	if p.take("½") {
		return 0.5, nil
	}
	start := p.at
	for _, half := range []string{"0.5", "0,5", "1/2"} {
		if p.take(half) {
			if d, _ := digit(p.text[p.at:]); d == 0 && p.peek() != '0' {
				return 0.5, nil
			}
			p.at = start
		}
	}
	n, err := p.count()
	if err != nil {
		return 0, err
	}
	if p.at > start && (p.take(".5") || p.take(",5") || p.take("½")) {
		return float64(n) + 0.5, nil
	}
	return float64(n), nil
}

// digit reads one digit, plain or subscript; size is 0 when there is none.
func digit(s string) (d, size int) {
	r, size := utf8.DecodeRuneInString(s)
	switch {
	case r >= '0' && r <= '9':
		return int(r - '0'), size
	case r >= '₀' && r <= '₉':
		return int(r - '₀'), size
	}
	return 0, 0
}

// raised are the plain forms of raised digits and signs, and of the true minus.
var raised = strings.NewReplacer("⁰", "0", "¹", "1", "²", "2", "³", "3", "⁴", "4", "⁵", "5", "⁶", "6", "⁷", "7", "⁸", "8", "⁹", "9",
	"⁺", "+", "⁻", "-", "\u2212", "-")

// atCharge tells whether what is left begins a charge.
func (p *formulaParser) atCharge() bool {
	r, _ := utf8.DecodeRuneInString(p.text[p.at:])
	return strings.ContainsRune("^+-\u2212⁺⁻⁰¹²³⁴⁵⁶⁷⁸⁹", r)
}

// highestCharge bounds what is taken for a charge.
const highestCharge = 9

// charge reads the charge that ends a formula, zero when there is none.
func (p *formulaParser) charge() (int, error) {
	if p.at == len(p.text) {
		return 0, nil
	}
	start := p.at
	raw := p.text[p.at:]
	if (raw[0] == '+' || raw[0] == '-') && p.text[p.at-1] >= '0' && p.text[p.at-1] <= '9' {
		return 0, p.fail("a count or a charge? put ^ before the charge, as in Ca^2+ or NO3^-")
	}
	text := strings.TrimPrefix(raised.Replace(raw), "^")
	sign := 1
	number, found := strings.CutSuffix(text, "+")
	if !found {
		sign = -1
		number, found = strings.CutSuffix(text, "-")
	}
	n := 1
	if number != "" && found {
		n = int(number[0] - '0')
		found = len(number) == 1 && n >= 1 && n <= highestCharge
	}
	if !found {
		p.at = start
		return 0, p.fail("expected a charge such as 2+ or - to end it")
	}
	p.at = len(p.text)
	return sign * n, nil
}

// plainDigits replaces subscript digits by plain ones.
func plainDigits(s string) string {
	return strings.Map(func(r rune) rune {
		if r >= '₀' && r <= '₉' {
			return '0' + r - '₀'
		}
		return r
	}, s)
}

// String returns the formula as it was given.
func (f Formula) String() string { return f.text }

// MolarMass returns the mass of a mole in g/mol.
func (f Formula) MolarMass() float64 {
	var m float64
	for _, a := range f.atoms {
		m += weights[a.element] * a.n
	}
	return m
}

// Atoms returns how many atoms of an element the formula has; with half a water
// they need not be whole.
func (f Formula) Atoms(element string) float64 {
	i := slices.IndexFunc(f.atoms, func(a atoms) bool { return a.element == element })
	if i < 0 {
		return 0
	}
	return f.atoms[i].n
}

// Water returns the molecules of water of crystallisation: 2 in CaCl2·2H2O.
func (f Formula) Water() float64 { return f.water }

// Charge returns the charge in elementary charges: −2 of SO4^2-. The mass of
// the electrons is not counted in [Formula.MolarMass].
func (f Formula) Charge() int { return f.charge }

// MassFraction returns the share of an element in the mass, 0 to 1.
func (f Formula) MassFraction(element string) float64 {
	n := f.Atoms(element)
	if n == 0 {
		return 0
	}
	return weights[element] * n / f.MolarMass()
}

// mustFormula reads a formula written in this package's source.
func mustFormula(formula string) Formula {
	f, err := ParseFormula(formula)
	if err != nil {
		panic(err)
	}
	return f
}

func molarMass(formula string) float64 { return mustFormula(formula).MolarMass() }
