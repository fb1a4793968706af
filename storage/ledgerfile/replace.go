package ledgerfile

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/storage/durable"
)

// replacement is written down beside a ledger while another file takes its place.
// From then on the new file counts: whoever finds it brings the work to its end.
type replacement struct {
	SHA256 string `json:"sha256"` // of the new file
	Kept   string `json:"kept"`   // the folder beside the ledger in which the former files are
}

const (
	// longestSuffix is that of SQLite's journal.
	longestSuffix = len("-journal")
	mostReplace   = 1 << 12
	// leftInFolder is how much of a long name of a ledger is not in that of the folder
	// in which it is kept: SQLite opens no file whose path is longer than 512 bytes.
	leftInFolder = 160
)

// Why a file takes a ledger's place: what the folder of the former files is called.
const (
	Restored = "before-restore"
	Rescued  = "before-rescue"
)

// Replace puts a finished and proved file in the place of the ledger at path, whose
// lock the caller holds. The former files, a log that was left without its ledger
// too, go into a new folder beside it, which is returned; empty: there were none.
// The file keeps the mode of the one that it replaces, else it gets mode. A cut at
// any instant leaves the former ledger or the new one, whole, once it is opened. After
// an error the ledger is as it was, but after an *UnfinishedError the new one counts.
func Replace(ctx context.Context, part, path string, mode fs.FileMode, why string, now time.Time) (kept string, err error) {
	path, err = durable.Resolve(path)
	if err != nil {
		return "", err
	}
	sum, _, err := durable.SumOf(ctx, part)
	if err != nil {
		return "", err
	}
	if err := durable.Place(part, newFor(path), durable.ModeOf(path, mode)); err != nil {
		return "", err
	}
	if kept, err = keepFormer(path, why, now); err != nil {
		durable.Drop(newFor(path))
		return "", words.Errorf("setting the present ledger aside: %w", err)
	}
	if err := writeDown(path, sum, kept); err != nil {
		durable.Drop(newFor(path))
		forgetKept(kept)
		return "", err
	}
	if err := finishReplacement(path); err != nil {
		return kept, &UnfinishedError{Path: path, Kept: kept, Cause: err}
	}
	return kept, nil
}

// UnfinishedError tells that a file is to take a ledger's place, and that it could not
// be given it yet: it gets it when the ledger is opened.
type UnfinishedError struct {
	Path  string
	Kept  string // where the former files are; empty: there were none
	Cause error
}

// Error says it in English.
func (e *UnfinishedError) Error() string { return e.Words().String() }

// Words implements words.Worded.
func (e *UnfinishedError) Words() words.Text {
	text := words.T("the new file lies beside %s and takes its place when the ledger is opened, since that could not be done now: %s",
		e.Path, words.Of(e.Cause))
	if e.Kept != "" {
		text = words.T("%s; the former files are kept in %s", text, e.Kept)
	}
	return text
}

// Unwrap returns why.
func (e *UnfinishedError) Unwrap() error { return e.Cause }

// writeDown says what is to be done from here on.
func writeDown(path, sum, kept string) error {
	r := replacement{SHA256: sum}
	if kept != "" {
		r.Kept = filepath.Base(kept)
	}
	data, err := json.Marshal(r)
	if err != nil {
		return err
	}
	return durable.WriteData(writtenDown(path), append(data, '\n'), durable.Private)
}

// forgetKept removes the second names of a ledger that stays where it is: left
// there, they would look like a copy, and change with it.
func forgetKept(folder string) {
	if folder != "" {
		_ = durable.RemoveAll(folder)
	}
}

// writtenDown is where the replacement of a ledger is written down, and newFor where
// the new file lies until then.
func writtenDown(path string) string { return NameBeside(path, ".restore-journal") }
func newFor(path string) string      { return NameBeside(path, ".restore-new") }

// keepFormer gives what lies at a ledger's place a second name in a new folder.
func keepFormer(path, why string, now time.Time) (string, error) {
	var there []string
	for _, end := range Endings() {
		if _, err := os.Lstat(path + end); err == nil {
			there = append(there, end)
		}
	}
	if len(there) == 0 {
		return "", nil
	}
	name := durable.Short(filepath.Base(path), leftInFolder) + "-" + why + "-" + now.UTC().Format(Stamp)
	folder, err := newFolder(filepath.Join(filepath.Dir(path), name))
	if err != nil {
		return "", err
	}
	for _, end := range there {
		if err := durable.Link(path+end, filepath.Join(folder, filepath.Base(path)+end)); err != nil {
			forgetKept(folder)
			return "", err
		}
	}
	return folder, nil
}

// NameBeside returns a name for what belongs to the ledger at path: its name, cut if
// it is too long, and an ending.
func NameBeside(path, end string) string {
	return filepath.Join(filepath.Dir(path), durable.Short(filepath.Base(path), len(end)+longestSuffix)+end)
}

// mostNumbers bounds the search for a free name.
const mostNumbers = 1000

func newFolder(name string) (string, error) {
	folder := name
	for n := 2; ; n++ {
		err := durable.MakeFolder(folder, 0o700)
		if !errors.Is(err, fs.ErrExist) || n > mostNumbers {
			return folder, err
		}
		folder = fmt.Sprintf("%s-%d", name, n)
	}
}

// finishReplacement takes away the log of the former ledger, gives the new file its
// name, and then forgets that it was to be done.
func finishReplacement(path string) error {
	for _, end := range Endings()[1:] {
		if err := durable.Remove(path + end); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	if err := durable.Rename(newFor(path), path); err != nil {
		return err
	}
	return durable.Remove(writtenDown(path))
}

// resume brings a replacement to its end that was cut off. The caller holds the
// lock. When the new file is not what it was, the former one comes back.
func resume(ctx context.Context, path string) error {
	data, err := durable.Read(writtenDown(path), mostReplace)
	if errors.Is(err, fs.ErrNotExist) {
		durable.Drop(newFor(path)) // nothing was to be done with it yet
		return nil
	}
	var r replacement
	if err == nil {
		err = json.Unmarshal(data, &r)
	}
	if err != nil {
		return words.Errorf("%s, which says how a restore that was cut off goes on, cannot be read: %w", writtenDown(path), err)
	}
	sum, _, err := durable.SumOf(ctx, newFor(path))
	switch {
	case err == nil && sum == r.SHA256:
		return finishReplacement(path)
	case errors.Is(err, fs.ErrNotExist):
		if _, err := os.Lstat(path); err == nil {
			return durable.Remove(writtenDown(path)) // it has its name already
		}
	case err != nil:
		return err
	}
	return r.rollBack(ctx, path)
}

// rollBack puts the former files where they were.
func (r replacement) rollBack(ctx context.Context, path string) error {
	folder := filepath.Join(filepath.Dir(path), r.Kept)
	for _, end := range Endings() {
		from := filepath.Join(folder, filepath.Base(path)+end)
		if _, err := os.Lstat(path + end); r.Kept == "" || !errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err := durable.Copy(ctx, path+end, from, durable.ModeOf(from, durable.Private)); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return words.Errorf("bringing the ledger back as it was before a restore that was cut off: %w", err)
		}
	}
	if err := durable.Remove(writtenDown(path)); err != nil {
		return err
	}
	durable.Drop(newFor(path))
	return nil
}

// There tells whether there is a ledger at path, or one that a restore which was cut
// off is to put there.
func There(path string) bool {
	_, err := os.Stat(path)
	return !errors.Is(err, fs.ErrNotExist) || unfinished(path)
}

// unfinished tells whether a replacement of the ledger at path was cut off, or goes
// on at this instant.
func unfinished(path string) bool {
	path, err := durable.Resolve(path)
	if err != nil {
		return false
	}
	_, err = os.Lstat(writtenDown(path))
	return err == nil
}

// Vacant refuses a name for a new ledger beside which a log lies: SQLite would take
// what is in it for the new one's. The error is an *OpenError.
func Vacant(path string) error {
	if _, err := os.Lstat(path); err == nil {
		return &OpenError{path, problemTaken, "choose another name, or open the file"}
	}
	if unfinished(path) {
		return &OpenError{path, problemCutOff, "open it for writing, which brings that to its end"}
	}
	for _, end := range Endings()[1:] {
		if _, err := os.Lstat(path + end); err == nil {
			return &OpenError{
				path,
				words.T("%s lies there, the log of a ledger that is gone, in which entries may be", filepath.Base(path)+end),
				"choose another name, or restore a backup to this one, which keeps the log",
			}
		}
	}
	return nil
}
