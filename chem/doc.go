// Package chem knows the chemistry that a fish room is run by: what is
// measured and in which units, formulae and compounds, what a product does to
// a body of water, and how much of it closes a gap. It knows no tank.
package chem
