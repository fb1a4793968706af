package ledgerfile

import (
	"errors"
	"io"
	"os"
	"syscall"
)

const (
	// ofdLock is F_OFD_SETLK of fcntl(2): a lock of an open file, not of a process.
	ofdLock = 37
	// lockedByte lies in the page that SQLite keeps free of data for its own locks,
	// behind those: its file format, section 1.4.
	lockedByte = 0x40000000 + 1024
)

// holdFile locks a ledger itself, so that its other names do not get round the
// lock. Where there is no file, or its system has no such locks, there is none.
func holdFile(path string) (*os.File, error) {
	file, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return nil, nil // that it is not there, or may not be written, shows when it is opened
	}
	lock := syscall.Flock_t{Type: syscall.F_WRLCK, Whence: io.SeekStart, Start: lockedByte, Len: 1}
	err = syscall.FcntlFlock(file.Fd(), ofdLock, &lock)
	if errors.Is(err, syscall.EAGAIN) || errors.Is(err, syscall.EACCES) {
		file.Close()
		return nil, &HeldError{Path: path, Holder: holderOf(path)}
	}
	if err != nil {
		file.Close()
		return nil, nil
	}
	return file, nil
}
