// Package program holds only tests: of the built program in a real window, of
// its start beside an empty window, and of the house's own rules.
package program
