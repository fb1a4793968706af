// Package versions is the account of what was done to a ledger: each action, each
// version of a row that it made, and sums by which both can be proved. It knows
// tables and rows, and neither what they mean nor GORM.
package versions
