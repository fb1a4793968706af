// Package csvread turns the lines of a file into readings: the file's letters
// (UTF-8, UTF-16, Latin-1), what its columns hold, its times and units. It knows
// the systems and methods that it is given and no ledger.
package csvread
