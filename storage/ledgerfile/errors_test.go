package ledgerfile

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"syscall"
	"testing"

	sqlite3 "github.com/mattn/go-sqlite3"
)

func TestErrorsSayWhatToDo(t *testing.T) {
	for _, c := range []struct {
		code         sqlite3.ErrNo
		open, saving string
	}{
		{sqlite3.ErrNotADB, "no ledger", ""},
		{sqlite3.ErrCorrupt, "damaged", ""},
		{sqlite3.ErrReadonly, "not written", "permissions"},
		{sqlite3.ErrPerm, "not written", "permissions"},
		{sqlite3.ErrCantOpen, "cannot be opened", ""},
		{sqlite3.ErrBusy, "another program", "another program"},
		{sqlite3.ErrLocked, "another program", "another program"},
		{sqlite3.ErrFull, "", "disk is full"},
		{sqlite3.ErrIoErr, "", "check the drive"},
	} {
		cause := fmt.Errorf("deep down: %w", sqlite3.Error{Code: c.code})
		var refused *OpenError
		if got := OpenFailed("room", cause); errors.As(got, &refused) != (c.open != "") || !strings.Contains(got.Error(), c.open) ||
			!strings.Contains(got.Error(), "room") {
			t.Errorf("opening, code %d: %v", c.code, got)
		}
		got := WriteFailed("saving", cause)
		if !errors.Is(got, cause) || !strings.Contains(got.Error(), c.saving) ||
			strings.Contains(got.Error(), "not saved") != (c.saving != "") {
			t.Errorf("saving, code %d: %v", c.code, got)
		}
	}
	if got := OpenFailed("room", syscall.EIO); !errors.Is(got, syscall.EIO) {
		t.Errorf("got %v", got)
	}
	for cause, want := range map[error]string{fs.ErrPermission: "no permission", fs.ErrNotExist: "folder does not exist",
		syscall.ENOSPC: "disk is full", syscall.EIO: syscall.EIO.Error()} {
		if got := PlainCause(cause); !strings.Contains(got.String(), want) {
			t.Errorf("%v: %s", cause, got)
		}
	}
}
