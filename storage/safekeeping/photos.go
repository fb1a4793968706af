package safekeeping

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"weirkeeper/assets/words"
	"weirkeeper/storage"
	"weirkeeper/storage/durable"
	"weirkeeper/storage/ledgerfile"
)

// PhotosError tells that a ledger is in its place and whole, but that not all of its
// photos could be copied.
type PhotosError struct{ Cause error }

// Error says it in English.
func (e *PhotosError) Error() string { return e.Words().String() }

// Words implements words.Worded.
func (e *PhotosError) Words() words.Text {
	return words.T("the ledger is whole, but not all of its photos are there: %s", words.Of(e.Cause))
}

// Unwrap returns why.
func (e *PhotosError) Unwrap() error { return e.Cause }

// checkPhotos says which of the photos that a ledger records are missing in
// their folder, or changed.
func checkPhotos(ctx context.Context, folder string, db ledgerfile.Querier) ([]string, error) {
	rows, err := db.QueryContext(ctx, "SELECT DISTINCT file, sha256 FROM photos ORDER BY file")
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var faults []string
	for rows.Next() {
		var file, want string
		if err := rows.Scan(&file, &want); err != nil {
			return nil, err
		}
		sum, _, err := durable.SumOf(ctx, filepath.Join(folder, filepath.Base(file)))
		switch {
		case errors.Is(err, fs.ErrNotExist):
			faults = append(faults, (&storage.PhotoError{File: file, Problem: "is missing"}).Error())
		case err != nil:
			faults = append(faults, (&storage.PhotoError{File: file, Problem: "cannot be read"}).Error())
		case sum != want:
			faults = append(faults, (&storage.PhotoError{File: file, Problem: "has changed"}).Error())
		}
		if len(faults) == ledgerfile.MostFaults {
			break
		}
	}
	return faults, rows.Err()
}

// copyPhotos copies the pictures that the folder to lacks, with that mode. A picture
// never changes under its name, in which a part of its sum stands: one that is there
// already stays, unless it is not what its name says and the other is, which is
// looked at in full when all are to be proved.
func copyPhotos(ctx context.Context, from, to string, mode fs.FileMode, proving bool) error {
	entries, err := os.ReadDir(from)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return words.Errorf("reading the folder of photos: %w", err)
	}
	for _, e := range entries {
		if !e.Type().IsRegular() || durable.Unfinished(e.Name()) {
			continue
		}
		c := photoCopy{from: filepath.Join(from, e.Name()), folder: to, name: e.Name(), mode: mode}
		if err := c.make(ctx, proving); err != nil {
			return words.Errorf("copying the photo %s: %w", e.Name(), err)
		}
	}
	return nil
}

// newPhotos copies pictures into the folder of a ledger that is being made, and
// removes a folder that it made when not all of them came.
func newPhotos(ctx context.Context, from, to string, mode fs.FileMode) error {
	_, missing := os.Lstat(to)
	err := copyPhotos(ctx, from, to, mode, true)
	if err != nil && errors.Is(missing, fs.ErrNotExist) {
		durable.RemoveAll(to)
	}
	return err
}

// sameFile tells two files that differ.
func sameFile(ctx context.Context, a, b string) error {
	one, _, err := durable.SumOf(ctx, a)
	if err != nil {
		return err
	}
	other, _, err := durable.SumOf(ctx, b)
	if err == nil && one != other {
		err = words.Errorf("%s is no true copy of %s: check the drive", b, a)
	}
	return err
}

// photoCopy is a picture that is to be copied.
type photoCopy struct {
	from, folder, name string
	mode               fs.FileMode
}

// needed tells whether the picture is missing, or is there and spoilt.
func (c photoCopy) needed(ctx context.Context, proving bool) (bool, error) {
	target := filepath.Join(c.folder, c.name)
	there, err := os.Lstat(target)
	if err != nil {
		return true, nil
	}
	if here, err := os.Stat(c.from); err == nil && here.Size() == there.Size() && !proving {
		return false, nil
	}
	here, _, err := durable.SumOf(ctx, c.from)
	if err != nil {
		return false, err
	}
	if !strings.Contains(c.name, here[:namedSum]) {
		return false, nil // it is itself not what its name says
	}
	sum, _, err := durable.SumOf(ctx, target)
	return err != nil || sum != here, ctx.Err()
}

// namedSum is how many digits of its sum stand in a picture's name.
const namedSum = 16

func (c photoCopy) make(ctx context.Context, proving bool) error {
	if needed, err := c.needed(ctx, proving); err != nil || !needed {
		return err
	}
	if err := durable.MakeFolders(c.folder, durable.FolderMode(c.mode)); err != nil {
		return err
	}
	part, err := durable.Temporary(c.folder)
	if err != nil {
		return err
	}
	defer durable.Drop(part)
	if err := durable.CopyInto(ctx, part, c.from); err != nil {
		return err
	}
	if err := sameFile(ctx, c.from, part); err != nil {
		return err
	}
	return durable.Place(part, filepath.Join(c.folder, c.name), c.mode)
}
