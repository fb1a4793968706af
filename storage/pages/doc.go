// Package pages reads the pages of an SQLite file without SQLite, to find rows in a
// file that is damaged. It follows "Database File Format" (sqlite.org/fileformat2.html),
// whose sections the comments name, and believes nothing that it reads: whatever the
// bytes are, it ends, in memory bounded by the size of the file. It knows no table.
package pages
