package chem

import (
	"fmt"
	"strconv"
)

// weights are CIAAW Standard Atomic Weights 2021, the conventional single
// values for the elements whose weight is an interval. g/mol.
var weights = map[string]float64{
	"H": 1.008, "Li": 6.94, "B": 10.81, "C": 12.011, "N": 14.007, "O": 15.999, "F": 18.99840316,
	"Na": 22.98976928, "Mg": 24.305, "Al": 26.9815384, "Si": 28.085, "P": 30.973762, "S": 32.06, "Cl": 35.45,
	"K": 39.0983, "Ca": 40.078, "V": 50.9415, "Cr": 51.9961, "Mn": 54.938043, "Fe": 55.845, "Co": 58.933194,
	"Ni": 58.6934, "Cu": 63.546, "Zn": 65.38, "Se": 78.971, "Br": 79.904, "Rb": 85.4678, "Sr": 87.62,
	"Mo": 95.95, "Sn": 118.71, "I": 126.90447, "Ba": 137.327, "La": 138.90547,
}

// AtomicWeight returns the standard atomic weight of an element in g/mol.
func AtomicWeight(symbol string) (float64, bool) {
	w, ok := weights[symbol]
	return w, ok
}

// Formula is a chemical formula counted out by element.
type Formula struct {
	text  string
	atoms map[string]float64
}

// FormulaError tells where a formula is not understood.
type FormulaError struct {
	Formula string
	At      int // byte offset
	Problem string
}

// Error says what is wrong and where.
func (e *FormulaError) Error() string {
	return fmt.Sprintf("the formula %q is not understood at character %d: %s", e.Formula, e.At+1, e.Problem)
}

// ParseFormula reads a formula with brackets and hydrates: "CaCl2·2H2O",
// "Mg(OH)2", "Na2B4O7.10H2O". The error is a *FormulaError.
func ParseFormula(s string) (Formula, error) {
	p := formulaParser{text: s}
	f := Formula{text: s, atoms: map[string]float64{}}
	if s == "" {
		return Formula{}, p.fail("it is empty")
	}
	for {
		n := p.number()
		part, err := p.group(0)
		if err != nil {
			return Formula{}, err
		}
		for e, c := range part {
			f.atoms[e] += c * n
		}
		if p.at >= len(s) {
			return f, nil
		}
		if !p.dot() {
			return Formula{}, p.fail("an element, a bracket or a dot is expected")
		}
	}
}

type formulaParser struct {
	text string
	at   int
}

func (p *formulaParser) fail(problem string) error {
	return &FormulaError{Formula: p.text, At: p.at, Problem: problem}
}

func (p *formulaParser) peek() byte {
	if p.at < len(p.text) {
		return p.text[p.at]
	}
	return 0
}

func (p *formulaParser) dot() bool {
	for _, d := range []string{"·", ".", "*", "•"} {
		if len(p.text)-p.at >= len(d) && p.text[p.at:p.at+len(d)] == d {
			p.at += len(d)
			return true
		}
	}
	return false
}

// number reads a count, 1 when there is none.
func (p *formulaParser) number() float64 {
	start := p.at
	for p.peek() >= '0' && p.peek() <= '9' && p.at-start < 6 {
		p.at++
	}
	n, err := strconv.Atoi(p.text[start:p.at])
	if err != nil {
		return 1
	}
	return float64(n)
}

const deepestBracket = 8

func (p *formulaParser) group(depth int) (map[string]float64, error) {
	atoms := map[string]float64{}
	start := p.at
	for {
		c := p.peek()
		switch {
		case c >= 'A' && c <= 'Z':
			symbol, err := p.element()
			if err != nil {
				return nil, err
			}
			atoms[symbol] += p.number()
		case c == '(' || c == '[':
			if depth >= deepestBracket {
				return nil, p.fail("brackets are nested too deep")
			}
			p.at++
			inner, err := p.group(depth + 1)
			if err != nil {
				return nil, err
			}
			if p.peek() != ')' && p.peek() != ']' {
				return nil, p.fail("a closing bracket is missing")
			}
			p.at++
			n := p.number()
			for e, count := range inner {
				atoms[e] += count * n
			}
		default:
			if p.at == start {
				return nil, p.fail("an element is expected")
			}
			return atoms, nil
		}
	}
}

func (p *formulaParser) element() (string, error) {
	end := p.at + 1
	if end < len(p.text) && p.text[end] >= 'a' && p.text[end] <= 'z' {
		end++
	}
	symbol := p.text[p.at:end]
	if _, ok := weights[symbol]; !ok {
		return "", p.fail(fmt.Sprintf("%q is no element of the table", symbol))
	}
	p.at = end
	return symbol, nil
}

// String returns the formula as it was given.
func (f Formula) String() string { return f.text }

// MolarMass returns the mass of a mole in g/mol.
func (f Formula) MolarMass() float64 {
	var m float64
	for e, n := range f.atoms {
		m += weights[e] * n
	}
	return m
}

// Atoms returns how many atoms of an element the formula has.
func (f Formula) Atoms(element string) float64 { return f.atoms[element] }

// MassFraction returns the share of an element in the mass, 0 to 1.
func (f Formula) MassFraction(element string) float64 {
	m := f.MolarMass()
	if m == 0 {
		return 0
	}
	return weights[element] * f.atoms[element] / m
}
