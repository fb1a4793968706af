//go:build !linux

package ledgerfile

import "os"

// holdFile does nothing: there is no lock of a file here that SQLite's own would not
// meet. The lock of its name, to which links are followed, must do.
func holdFile(string) (*os.File, error) { return nil, nil }
