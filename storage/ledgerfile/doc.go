// Package ledgerfile is a ledger as a file: how it is known, opened, held by one
// writer, brought to the newest version of its schema, copied and proved to be
// whole. It knows tables and rows, and not what they mean.
package ledgerfile
