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
		sum, _, err := ledgerfile.SumOf(ctx, filepath.Join(folder, filepath.Base(file)))
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

// copyPhotos copies the pictures that the folder to lacks. A picture never
// changes under its name, so that what is there is left alone.
func copyPhotos(ctx context.Context, from, to string) error {
	entries, err := os.ReadDir(from)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return words.Errorf("reading the folder of photos: %w", err)
	}
	for _, e := range entries {
		if !e.Type().IsRegular() || strings.HasSuffix(e.Name(), ledgerfile.PartSuffix) {
			continue
		}
		if err := copyPhoto(ctx, filepath.Join(from, e.Name()), to, e.Name()); err != nil {
			return words.Errorf("copying the photo %s: %w", e.Name(), err)
		}
	}
	return nil
}

// newPhotos copies pictures into the folder of a ledger that is being made, and
// removes a folder that it made when not all of them came.
func newPhotos(ctx context.Context, from, to string) error {
	_, missing := os.Lstat(to)
	err := copyPhotos(ctx, from, to)
	if err != nil && errors.Is(missing, fs.ErrNotExist) {
		os.RemoveAll(to)
	}
	return err
}

// sameFile tells two files that differ.
func sameFile(ctx context.Context, a, b string) error {
	one, _, err := ledgerfile.SumOf(ctx, a)
	if err != nil {
		return err
	}
	other, _, err := ledgerfile.SumOf(ctx, b)
	if err == nil && one != other {
		err = words.Errorf("%s is no true copy of %s: check the drive", b, a)
	}
	return err
}

func copyPhoto(ctx context.Context, from, folder, name string) error {
	target := filepath.Join(folder, name)
	if there, err := os.Stat(target); err == nil {
		here, err := os.Stat(from)
		if err == nil && here.Size() == there.Size() {
			return nil
		}
	}
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return err
	}
	part := target + ledgerfile.PartSuffix
	err := ledgerfile.CopyFile(ctx, part, from)
	if err == nil {
		err = sameFile(ctx, from, part)
	}
	if err == nil {
		err = os.Rename(part, target)
	}
	if err != nil {
		os.Remove(part)
	}
	return err
}
