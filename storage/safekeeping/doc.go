// Package safekeeping looks after a ledger as a whole: backups that are proved,
// thinned out and restored, the check of a file, the salvage of a damaged one, and
// export and import of everything.
package safekeeping
