// Package tanks holds the room and its record: systems, bands, methods,
// readings, additions and what follows from them without a database: how sure
// a value is, which side of its band it lies on, and whether a typed value is
// a slip. It is plain Go; every value is in its analyte's canonical unit and
// every instant in UTC.
package tanks
