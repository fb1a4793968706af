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
		sum, _, err := ledgerfile.SumOf(filepath.Join(folder, filepath.Base(file)))
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
func copyPhotos(from, to string) error {
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
		if err := copyPhoto(filepath.Join(from, e.Name()), to, e.Name()); err != nil {
			return words.Errorf("copying the photo %s: %w", e.Name(), err)
		}
	}
	return nil
}

// sameFile tells two files that differ.
func sameFile(a, b string) error {
	one, _, err := ledgerfile.SumOf(a)
	if err != nil {
		return err
	}
	other, _, err := ledgerfile.SumOf(b)
	if err == nil && one != other {
		err = words.Errorf("%s is no true copy of %s: check the drive", b, a)
	}
	return err
}

func copyPhoto(from, folder, name string) error {
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
	err := ledgerfile.CopyFile(part, from)
	if err == nil {
		err = sameFile(from, part)
	}
	if err == nil {
		err = os.Rename(part, target)
	}
	if err != nil {
		os.Remove(part)
	}
	return err
}
