package storage

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"

	"weirkeeper/assets/words"
	"weirkeeper/storage/durable"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/tanks"
)

// PhotosLeftError tells that a copy of a ledger is whole, but that not all of its
// photos could be copied with it.
type PhotosLeftError struct {
	Folder string // where they are
	Cause  error
}

// Error says it in English.
func (e *PhotosLeftError) Error() string { return e.Words().String() }

// Words implements words.Worded.
func (e *PhotosLeftError) Words() words.Text {
	return words.T("not all of the photos could be copied, they are in %s: %s", e.Folder, words.Of(e.Cause))
}

// Unwrap returns why.
func (e *PhotosLeftError) Unwrap() error { return e.Cause }

// bringPhotos copies the photos to where those of the ledger's copy at to lie. The
// error is a *PhotosLeftError.
func (s *Store) bringPhotos(ctx context.Context, to string) error {
	from := ledgerfile.PhotoFolder(s.Path())
	to, err := durable.Resolve(to)
	if err == nil && ledgerfile.PhotoFolder(to) == from {
		return nil
	}
	entries, unread := os.ReadDir(from)
	if errors.Is(unread, fs.ErrNotExist) {
		return nil
	}
	if err = errors.Join(err, unread); err == nil {
		err = durable.MakeFolders(ledgerfile.PhotoFolder(to), durable.FolderMode(durable.Private))
	}
	for _, e := range entries {
		if err != nil {
			break
		}
		if e.Type().IsRegular() && !durable.Unfinished(e.Name()) {
			err = durable.Copy(ctx, filepath.Join(ledgerfile.PhotoFolder(to), e.Name()), filepath.Join(from, e.Name()), durable.Private)
		}
	}
	if err != nil {
		return &PhotosLeftError{from, err}
	}
	return nil
}

type photoRow struct {
	ID            int64 `gorm:"primaryKey"`
	SystemID      int64
	ObservationID *int64
	LotID         *int64
	TakenAt       int64
	File          string
	Sha256        string
	Size          int64
	Caption       string
	Person        string
	Status        int
}

func (photoRow) TableName() string { return "photos" }

func (r photoRow) photo() tanks.Photo {
	return tanks.Photo{
		ID: tanks.PhotoID(
			r.ID,
		), System: tanks.SystemID(r.SystemID), Note: referred[tanks.NoteID](r.ObservationID), Lot: referred[tanks.LotID](r.LotID),
		At: instant(
			r.TakenAt,
		), File: r.File, SHA256: r.Sha256, Size: r.Size, Caption: r.Caption, Person: r.Person, Status: tanks.Status(r.Status),
	}
}

// PhotoError tells that a photo's file is not there or not what it was.
type PhotoError struct {
	File    string
	Problem words.Text
}

// Error says it in English.
func (e *PhotoError) Error() string { return e.Words().String() }

// Words implements words.Worded.
func (e *PhotoError) Words() words.Text {
	return words.T("the photo %s %s: look for it in a backup", e.File, e.Problem)
}

// photoKinds are the pictures that are taken, with the ending of their names.
var photoKinds = map[string]string{"image/jpeg": ".jpg", "image/png": ".png", "image/webp": ".webp", "image/gif": ".gif"}

// largestPhoto bounds a photo, in bytes.
const largestPhoto = 64 << 20

// AddPhoto copies a picture into the folder beside the ledger and records it;
// the photo gets its ID, File, SHA256 and Size. The file's name is the ledger's
// own, so that no imported name can lead out of the folder. What is no JPEG, PNG,
// WebP or GIF picture, or too large, is a tanks.Fault of "file".
func (s *Store) AddPhoto(ctx context.Context, p *tanks.Photo, picture io.Reader) error {
	if err := p.Validate(s.clock()); err != nil {
		return err
	}
	if s.ReadOnly() {
		return ErrReadOnly
	}
	saved := *p
	if err := s.keepPicture(ctx, &saved, picture); err != nil {
		return err
	}
	row := photoRow{
		SystemID: int64(
			p.System,
		), ObservationID: reference(p.Note), LotID: reference(p.Lot), TakenAt: stamp(p.At), File: saved.File, Sha256: saved.SHA256,
		Size: saved.Size, Caption: p.Caption, Person: p.Person, Status: int(p.Status),
	}
	err := s.act(ctx, "saving the photo", of(KindPhoto, p.System), func(tx *act) error { return tx.insert(&row) })
	if err == nil {
		saved.ID = tanks.PhotoID(row.ID)
		*p = saved
	}
	return err
}

// keepPicture writes the picture under a name made of its day and its hash: the
// same picture twice is one file.
func (s *Store) keepPicture(ctx context.Context, p *tanks.Photo, picture io.Reader) error {
	data, err := io.ReadAll(io.LimitReader(picture, largestPhoto+1))
	if err != nil {
		return words.Errorf("reading the picture: %w", err)
	}
	if len(data) > largestPhoto {
		return tanks.Fault{Field: "file", Problem: words.T("The picture is larger than %d MB", largestPhoto>>20), Remedy: "save it smaller"}
	}
	ending, ok := photoKinds[http.DetectContentType(data)]
	if !ok {
		return tanks.Fault{Field: "file", Problem: "The file is no picture that can be shown", Remedy: "save it as JPEG or PNG"}
	}
	sum := sha256.Sum256(data)
	p.SHA256, p.Size = hex.EncodeToString(sum[:]), int64(len(data))
	p.File = p.At.UTC().Format("20060102") + "-" + p.SHA256[:16] + ending
	folder := ledgerfile.PhotoFolder(s.Path())
	mode := durable.ModeOf(s.Path(), durable.Private)
	if err := durable.MakeFolders(folder, durable.FolderMode(mode)); err != nil {
		return words.Errorf("making the folder of photos: %s; check that you may write beside the ledger", ledgerfile.PlainCause(err))
	}
	if sum, _, err := durable.SumOf(ctx, filepath.Join(folder, p.File)); err == nil && sum == p.SHA256 {
		return nil
	}
	if err := durable.WriteData(filepath.Join(folder, p.File), data, mode); err != nil {
		return words.Errorf("saving the picture: not saved, %s", ledgerfile.PlainCause(err))
	}
	return nil
}

// Photos returns the photos of a system, withdrawn ones too, in order of time.
func (s *Store) Photos(ctx context.Context, id tanks.SystemID) ([]tanks.Photo, error) {
	var rows []photoRow
	if err := s.read.WithContext(ctx).Where("system_id = ?", int64(id)).Order("taken_at, id").Find(&rows).Error; err != nil {
		return nil, words.Errorf("reading the photos: %w", err)
	}
	out := make([]tanks.Photo, len(rows))
	for i, r := range rows {
		out[i] = r.photo()
	}
	return out, nil
}

// OpenPhoto opens a photo's file. The error is a *PhotoError when it is not
// there; a name that leads out of the folder is refused.
func (s *Store) OpenPhoto(p tanks.Photo) (io.ReadCloser, error) {
	root, err := os.OpenRoot(ledgerfile.PhotoFolder(s.Path()))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, &PhotoError{p.File, "is missing"}
	}
	if err != nil {
		return nil, words.Errorf("opening the folder of photos: %w", err)
	}
	defer root.Close()
	file, err := root.Open(p.File)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, &PhotoError{p.File, "is missing"}
	}
	if err != nil {
		return nil, words.Errorf("opening the photo: %w", err)
	}
	return file, nil
}

// WithdrawPhoto makes a photo count no more; it and its file stay.
func (s *Store) WithdrawPhoto(ctx context.Context, id tanks.PhotoID, reason, person string) error {
	return s.withdraw(ctx, withdrawal{entity: "photo", table: "photos", kind: KindPhoto}, int64(id), reason, person)
}
