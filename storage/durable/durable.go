// Package durable is the one way in which the program's files come, change and go:
// whole or not at all, and so that what was done outlasts a power cut. A file is
// written under another name in the same folder, made certain, and given its name;
// the folder is made certain behind it. No link is followed on the way.
package durable

import (
	"crypto/rand"
	"encoding/hex"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// Private is the mode of a new file that concerns its owner alone.
const Private fs.FileMode = 0o600

// Kind tells what was done to a file.
type Kind byte

// The kinds.
const (
	Made     Kind = 'C' // a file, empty
	Written  Kind = 'W' // Data at Offset
	Synced   Kind = 'S' // a file's contents
	Renamed  Kind = 'R' // to To
	Linked   Kind = 'L' // a second name To
	Removed  Kind = 'U' // a file or an empty folder
	Folder   Kind = 'M' // a folder was made
	Moded    Kind = 'P' // its mode was changed
	NamesSet Kind = 'F' // the names in a folder were made certain
)

// Op is one operation on a file.
type Op struct {
	Kind     Kind
	Path, To string
	Offset   int64
	Data     []byte
}

// Watch is told of each operation behind it; nil: nobody watches. Whoever sets it
// does so before anything is written.
var Watch func(Op)

func did(kind Kind, path, to string) {
	if Watch != nil {
		Watch(Op{Kind: kind, Path: path, To: to})
	}
}

// Names of files that are not finished.
const (
	partPrefix = ".weirkeeper-"
	partSuffix = ".partial"
	// abandoned is the age at which nobody works on an unfinished file any more.
	abandoned = 24 * time.Hour
)

// Temporary makes an empty file of a name that nobody has, for its owner alone. It
// is given its name by Place, or removed by Drop.
func Temporary(folder string) (part string, err error) {
	for {
		var number [8]byte
		if _, err := rand.Read(number[:]); err != nil {
			return "", err
		}
		part = filepath.Join(folder, partPrefix+hex.EncodeToString(number[:])+partSuffix)
		file, err := os.OpenFile(part, os.O_WRONLY|os.O_CREATE|os.O_EXCL|noFollow, Private)
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err != nil {
			return "", err
		}
		did(Made, part, "")
		return part, file.Close()
	}
}

// Unfinished tells whether a name is that of a file that was never finished.
func Unfinished(name string) bool {
	return strings.HasPrefix(name, partPrefix) && strings.HasSuffix(name, partSuffix)
}

// Drop removes a file that is not to be finished. That it cannot be does not
// matter: it is nobody's.
func Drop(part string) { _ = remove(part) }

// Sweep removes the unfinished files in a folder that were left a day or more
// before now.
func Sweep(folder string, now time.Time) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return // whoever writes there says so
	}
	for _, e := range entries {
		if info, err := e.Info(); Unfinished(e.Name()) && err == nil && now.Sub(info.ModTime()) > abandoned {
			Drop(filepath.Join(folder, e.Name()))
		}
	}
}

// Place gives a finished file its name, in place of the file that has it. That
// one's mode is kept; where there is none the file gets mode.
func Place(part, path string, mode fs.FileMode) error {
	if err := finish(part, ModeOf(path, mode)); err != nil {
		return err
	}
	return Rename(part, path)
}

// PlaceNew gives a finished file its name and mode, but never in place of another:
// the error then is fs.ErrExist.
func PlaceNew(part, path string, mode fs.FileMode) error {
	if err := finish(part, mode); err != nil {
		return err
	}
	err := os.Link(part, path)
	if err == nil {
		did(Linked, part, path)
		if err := SyncFolder(filepath.Dir(path)); err != nil {
			return err
		}
		return Remove(part)
	}
	if errors.Is(err, fs.ErrExist) {
		return err
	}
	// Some file systems have no second names.
	if _, err := os.Lstat(path); !errors.Is(err, fs.ErrNotExist) {
		return &fs.PathError{Op: "make", Path: path, Err: fs.ErrExist}
	}
	return Rename(part, path)
}

// finish makes the contents and mode of a file certain.
func finish(part string, mode fs.FileMode) error {
	if info, err := os.Lstat(part); err == nil && info.Mode().Perm() != mode.Perm() {
		if err := os.Chmod(part, mode.Perm()); err != nil {
			return err
		}
		did(Moded, part, "")
	}
	return Sync(part)
}

// Rename gives a file or folder another name. A file of that name goes.
func Rename(from, to string) error {
	if err := os.Rename(from, to); err != nil {
		return err
	}
	did(Renamed, from, to)
	if filepath.Dir(from) != filepath.Dir(to) {
		if err := SyncFolder(filepath.Dir(from)); err != nil {
			return err
		}
	}
	return SyncFolder(filepath.Dir(to))
}

// Link gives a file a second name, or where the file system has none makes a copy.
func Link(from, to string) error {
	if err := os.Link(from, to); err != nil {
		return copyNew(from, to)
	}
	did(Linked, from, to)
	return SyncFolder(filepath.Dir(to))
}

// Remove removes a file or an empty folder.
func Remove(path string) error {
	if err := remove(path); err != nil {
		return err
	}
	return SyncFolder(filepath.Dir(path))
}

func remove(path string) error {
	err := os.Remove(path)
	if err == nil {
		did(Removed, path, "")
	}
	return err
}

// RemoveAll removes a file, or a folder with all that is in it.
func RemoveAll(path string) error {
	err := filepath.WalkDir(path, func(at string, e fs.DirEntry, err error) error {
		if err == nil && !e.IsDir() {
			err = remove(at)
		}
		if errors.Is(err, fs.ErrNotExist) {
			return nil // whoever had it open may have taken it away
		}
		return err
	})
	if err != nil {
		return err
	}
	if err := os.RemoveAll(path); err != nil {
		return err
	}
	did(Removed, path, "")
	return SyncFolder(filepath.Dir(path))
}

// MakeFolder makes a folder, but not the one that it is to lie in.
func MakeFolder(path string, mode fs.FileMode) error {
	if err := os.Mkdir(path, mode); err != nil {
		return err
	}
	did(Folder, path, "")
	return SyncFolder(filepath.Dir(path))
}

// MakeFolders makes a folder, and those that it is to lie in, where they are not
// there.
func MakeFolders(path string, mode fs.FileMode) error {
	if info, err := os.Stat(path); err == nil {
		if !info.IsDir() {
			return &fs.PathError{Op: "make", Path: path, Err: errNoFolder}
		}
		return nil
	}
	if above := filepath.Dir(path); above != path {
		if err := MakeFolders(above, mode); err != nil {
			return err
		}
	}
	if err := MakeFolder(path, mode); !errors.Is(err, fs.ErrExist) {
		return err
	}
	return nil
}

var errNoFolder = errors.New("is no folder")

// TemporaryFolder makes a folder of a name that nobody has, for its owner alone.
func TemporaryFolder(in string) (string, error) {
	path, err := os.MkdirTemp(in, partPrefix+"*"+partSuffix)
	if err == nil {
		did(Folder, path, "")
	}
	return path, err
}

// SetMode changes the mode of a file or folder.
func SetMode(path string, mode fs.FileMode) error {
	if err := os.Chmod(path, mode); err != nil {
		return err
	}
	did(Moded, path, "")
	return nil
}

// New makes an empty file, never in place of another or through a link.
func New(path string, mode fs.FileMode) error {
	file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL|noFollow, mode)
	if err != nil {
		return err
	}
	did(Made, path, "")
	return errors.Join(file.Close(), SyncFolder(filepath.Dir(path)))
}

// Write writes a file whole, in place of the one of that name, whose mode is kept.
func Write(path string, mode fs.FileMode, write func(io.Writer) error) error {
	part, err := Temporary(filepath.Dir(path))
	if err != nil {
		return err
	}
	if err = fill(part, write); err == nil {
		err = Place(part, path, mode)
	}
	if err != nil {
		Drop(part)
	}
	return err
}

// WriteData writes data as Write does.
func WriteData(path string, data []byte, mode fs.FileMode) error {
	return Write(path, mode, func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	})
}

// ModeOf returns the mode of the file at path, which no link is followed to, else
// the given one.
func ModeOf(path string, otherwise fs.FileMode) fs.FileMode {
	if info, err := os.Lstat(path); err == nil && info.Mode().IsRegular() {
		return info.Mode().Perm()
	}
	return otherwise
}

// FolderMode is the mode of a folder whose files have that mode: who may read them
// may enter it.
func FolderMode(files fs.FileMode) fs.FileMode { return files | files&0o444>>2 }
