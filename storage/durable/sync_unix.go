//go:build unix

package durable

import (
	"errors"
	"os"
	"syscall"
)

const noFollow = syscall.O_NOFOLLOW

// syncing is how a file is opened to be made certain.
const syncing = os.O_RDONLY

// Shared is the mode of a new file that others may read where the person lets
// them.
var Shared = sharedMode()

// sharedMode reads what the person keeps from others, which can be read only by
// setting it: while the program has one goroutine.
func sharedMode() os.FileMode {
	mask := syscall.Umask(0)
	syscall.Umask(mask)
	return 0o644 &^ os.FileMode(mask)
}

// SyncFolder makes the names in a folder outlast a power cut. Some file systems
// have no way to.
func SyncFolder(path string) error {
	folder, err := os.Open(path)
	if errors.Is(err, os.ErrPermission) {
		return nil // a folder in which one may write but not look
	}
	if err != nil {
		return err
	}
	defer folder.Close()
	err = folder.Sync()
	if errors.Is(err, syscall.EINVAL) || errors.Is(err, syscall.ENOTSUP) || errors.Is(err, syscall.EOPNOTSUPP) {
		err = nil
	}
	if err == nil {
		did(NamesSet, path, "")
	}
	return err
}
