package durable

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"unicode/utf8"
)

// longestName is how many bytes a name may have on the usual file systems.
const longestName = 255

// Short returns a name to which that many bytes can be added. One that is too long
// is cut, and ends in a sum of the whole of it, so that two names stay two.
func Short(name string, added int) string {
	most := longestName - added
	if len(name) <= most {
		return name
	}
	sum := sha256.Sum256([]byte(name))
	end := "~" + hex.EncodeToString(sum[:6])
	cut := most - len(end)
	for cut > 0 && !utf8.RuneStart(name[cut]) {
		cut--
	}
	return name[:cut] + end
}

// mostLinks bounds the links that are followed to a file.
const mostLinks = 40

// Resolve returns the name under which a file really lies, or would if it were
// there: all links are followed, a link to nothing too.
func Resolve(path string) (string, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return "", err
	}
	for range mostLinks {
		folder, err := filepath.EvalSymlinks(filepath.Dir(path))
		if errors.Is(err, fs.ErrNotExist) {
			return path, nil
		}
		if err != nil {
			return "", err
		}
		path = filepath.Join(folder, filepath.Base(path))
		info, err := os.Lstat(path)
		if err != nil || info.Mode()&fs.ModeSymlink == 0 {
			return path, nil
		}
		to, err := os.Readlink(path)
		if err != nil {
			return "", err
		}
		if !filepath.IsAbs(to) {
			to = filepath.Join(folder, to)
		}
		path = to
	}
	return "", &fs.PathError{Op: "follow", Path: path, Err: errors.New("its links lead in a circle")}
}
