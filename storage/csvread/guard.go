package csvread

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Guard makes the text of a cell safe to open in a spreadsheet, which takes a
// cell for a formula that begins with = + - or @, plain or wide, also behind
// blanks, line ends, signs without width and dividers. Such a text, and one that
// begins with an apostrophe, gets an apostrophe in front. [Unguard] takes it off:
// any text comes back as it was.
func Guard(text string) string {
	if strings.HasPrefix(text, "'") || runs(text) {
		return "'" + text
	}
	return text
}

// Unguard returns the text of a guarded cell.
func Unguard(cell string) string { return strings.TrimPrefix(cell, "'") }

// runs tells whether a spreadsheet might run a text.
func runs(text string) bool {
	rest := strings.TrimLeftFunc(text, passedOver)
	switch {
	case rest == "":
		return text != "" && strings.ContainsRune("\t\r\n", rune(text[0]))
	case strings.ContainsRune("\t\r\n", rune(text[0])):
		return true
	}
	first, _ := utf8.DecodeRuneInString(rest)
	return beginsFormula(first)
}

// beginsFormula tells a sign with which a formula begins, of full width too.
func beginsFormula(r rune) bool {
	if r >= 0xff01 && r <= 0xff5e {
		r -= 0xff01 - '!'
	}
	return strings.ContainsRune("=+-@\u2212", r)
}

// passedOver are the signs that a spreadsheet may not see before a formula.
func passedOver(r rune) bool {
	return unicode.IsSpace(r) || unicode.IsControl(r) || unicode.In(r, unicode.Cf, unicode.Zs, unicode.Mn) ||
		strings.ContainsRune(";,\"|", r) || r == unicode.ReplacementChar
}
