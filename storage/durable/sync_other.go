//go:build !unix

package durable

import "os"

// noFollow has no meaning here: a new file is made only where none is.
const noFollow = 0

// syncing is how a file is opened to be made certain.
const syncing = os.O_RDWR

// Shared is the mode of a new file that others may read.
const Shared os.FileMode = 0o644

// SyncFolder does nothing: the file system keeps its names by a journal of its own.
func SyncFolder(string) error { return nil }
