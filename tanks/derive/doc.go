// Package derive computes what follows from several readings of one water: free
// carbon dioxide, saturation of the carbonate minerals, un-ionised ammonia,
// oxygen saturation, the charge balance, and how the ions stand to the sea.
// [Of] gives each with the uncertainty that the readings pass on, and says of
// what cannot be told which reading is missing.
package derive
