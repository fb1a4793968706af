package safekeeping

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/storage"
	"weirkeeper/storage/durable"
	"weirkeeper/storage/ledgerfile"
)

// Backup is a verified copy of a ledger with what it held.
type Backup struct {
	Path   string    `json:"-"`
	Taken  time.Time `json:"taken"`
	Size   int64     `json:"size"`
	SHA256 string    `json:"sha256"`
	ledgerfile.Contents
	// Ledger is where the ledger lay, as seen from the backup's folder, and Origin tells
	// it from others of that name.
	Ledger string            `json:"ledger,omitempty"`
	Origin ledgerfile.Origin `json:"origin,omitzero"`
	// Verified is when it was proved anew; zero: only when it was made.
	Verified time.Time `json:"verified,omitzero"`
}

const (
	backupSuffix = ".backup"
	aboutSuffix  = ".backup.json" // beside it: what it held
	sumSuffix    = ".backup.sha256"
)

// TakeBackup writes a copy of a ledger into a folder while it is in use, under a
// name with the time now, and proves it before it counts: integrity, foreign keys,
// the rows of every table (the account of actions among them), SHA-256. The photos
// go into a folder beside it. Saves wait for the copy, not for the proof. progress,
// which may be nil, is told the step at hand. When anything is wrong, or ctx ends,
// no backup is left behind.
func TakeBackup(ctx context.Context, s *storage.Store, folder string, now time.Time, progress func(step string)) (Backup, error) {
	if progress == nil {
		progress = func(string) {}
	}
	if info, err := os.Stat(folder); err != nil || !info.IsDir() {
		return Backup{}, words.Errorf(
			"the backup folder %s is not there: plug in the drive that it is on, make the folder, or choose another one",
			folder,
		)
	}
	durable.Sweep(folder, now)
	b, err := reserve(folder, s.Path(), now.UTC())
	if err != nil {
		return Backup{}, words.Errorf("making the backup's files: %s; choose a folder that you may write to", ledgerfile.PlainCause(err))
	}
	if err := b.take(ctx, s, progress); err != nil {
		b.Remove()
		return Backup{}, words.Errorf("backing up: %w", err)
	}
	return b, nil
}

// reserve finds names that nobody has for a backup and takes that of its
// description, so that no other program does.
func reserve(folder, ledger string, now time.Time) (Backup, error) {
	stem := filepath.Join(folder, stemOf(ledger)+now.Format(ledgerfile.Stamp))
	for n := 1; ; n++ {
		b := Backup{Path: stem + backupSuffix, Taken: now.Truncate(time.Second)}
		if n > 1 {
			b.Path = fmt.Sprintf("%s-%d%s", stem, n, backupSuffix)
		}
		if taken(b.Path) || taken(b.sumFile()) {
			continue
		}
		err := durable.New(b.aboutFile(), durable.Private)
		if !errors.Is(err, fs.ErrExist) {
			return b, err
		}
	}
}

func taken(path string) bool {
	_, err := os.Lstat(path)
	return err == nil
}

func (b Backup) aboutFile() string { return strings.TrimSuffix(b.Path, backupSuffix) + aboutSuffix }
func (b Backup) sumFile() string   { return strings.TrimSuffix(b.Path, backupSuffix) + sumSuffix }

func (b *Backup) take(ctx context.Context, s *storage.Store, progress func(string)) error {
	progress("copying the ledger")
	part, err := durable.Temporary(filepath.Dir(b.Path))
	if err != nil {
		return err
	}
	defer durable.Drop(part)
	if b.Contents, err = s.CopyInto(ctx, part); err != nil {
		return ledgerfile.WriteFailed("copying the ledger", err)
	}
	progress("verifying the copy")
	if err := prove(ctx, part, b.Contents); err != nil {
		return words.Errorf("the copy is not good, check the drive: %w", err)
	}
	if b.SHA256, b.Size, err = durable.SumOf(ctx, part); err != nil {
		return err
	}
	b.Ledger, b.Origin = seenFrom(filepath.Dir(b.Path), s.Path()), originIn(ctx, part, ledgerfile.Alone)
	mode := durable.ModeOf(s.Path(), durable.Private)
	progress("copying the photos")
	if err := copyPhotos(ctx, ledgerfile.PhotoFolder(s.Path()), photosBeside(b.Path), mode, false); err != nil {
		return err
	}
	progress("putting it in place")
	if err := b.describe(); err != nil {
		return err
	}
	if err := durable.WriteData(b.sumFile(), []byte(b.SHA256+"  "+filepath.Base(b.Path)+"\n"), mode); err != nil {
		return err
	}
	return durable.PlaceNew(part, b.Path, mode)
}

// named is what the name of a backup is made of, without its ending: the ledger's,
// the time, and a number when there were several in one second.
var named = regexp.MustCompile(`^(.*-)(\d{8}-\d{6})(-\d+)?$`)

// photosBeside is the folder of the photos of all backups of a ledger, beside
// the backup at path. A photo never changes, so that they share it. A backup that
// was given another name has none.
func photosBeside(path string) string {
	parts := named.FindStringSubmatch(strings.TrimSuffix(filepath.Base(path), backupSuffix))
	if parts == nil {
		return ""
	}
	return filepath.Join(filepath.Dir(path), parts[1]+"photos")
}

// longestEnd is what is added to a ledger's name in those of its backups, at the most.
const longestEnd = len("-") + len(ledgerfile.Stamp) + len("-9999") + len(sumSuffix)

// stemOf is what the names of a ledger's backups begin with: that of the file
// itself, whatever link it was opened by, cut if it is too long.
func stemOf(ledger string) string {
	if real, err := durable.Resolve(ledger); err == nil {
		ledger = real
	}
	return durable.Short(strings.TrimSuffix(filepath.Base(ledger), filepath.Ext(ledger)), longestEnd) + "-"
}

// Backups returns the finished backups of a ledger in a folder, the newest
// first. Files that are none, or whose description is missing, are passed over, and so
// are those of another ledger of the same name; a folder that does not exist holds none.
func Backups(folder, ledger string) ([]Backup, error) {
	if real, err := durable.Resolve(ledger); err == nil {
		ledger = real
	}
	stem := stemOf(ledger)
	entries, err := os.ReadDir(folder)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, words.Errorf("reading the backup folder: %w", err)
	}
	var all []Backup
	for _, e := range entries {
		name, finished := strings.CutSuffix(e.Name(), backupSuffix)
		if parts := named.FindStringSubmatch(name); !finished || parts == nil || parts[1] != stem {
			continue
		}
		if b, err := BackupAt(filepath.Join(folder, e.Name())); err == nil {
			if b.Origin == (ledgerfile.Origin{}) { // from before a description said it
				b.Origin = originIn(context.Background(), b.Path, ledgerfile.Alone)
			}
			all = append(all, b)
		}
	}
	slices.SortFunc(all, func(a, b Backup) int { return b.compare(a) })
	return ownOf(all, ledger, seenFrom(folder, ledger)), nil
}

// seenFrom is the way from a folder to a file, or where there is none the file's path.
func seenFrom(folder, path string) string {
	real, err := durable.Resolve(folder)
	if err != nil {
		return path
	}
	way, err := filepath.Rel(real, path)
	if err != nil {
		return path
	}
	return way
}

// ownOf leaves out the backups, newest first, that are not of the ledger at path, which
// their folder sees at a place. Where that does not tell its origin, a damaged one for
// one, it is that of the newest backup which was made of it there; where a backup does
// not, the place of its ledger counts.
func ownOf(all []Backup, path, place string) []Backup {
	own := originIn(context.Background(), path, ledgerfile.InUse)
	for _, b := range all {
		if own == (ledgerfile.Origin{}) && b.Ledger == place {
			own = b.Origin
		}
	}
	return slices.DeleteFunc(all, func(b Backup) bool {
		if own == (ledgerfile.Origin{}) || b.Origin == (ledgerfile.Origin{}) {
			return b.Ledger != "" && b.Ledger != place
		}
		return own.Other(b.Origin)
	})
}

// originIn reads the origin of the ledger in a file; zero: it cannot be told.
func originIn(ctx context.Context, path string, reach ledgerfile.Reach) ledgerfile.Origin {
	if ledgerfile.Identify(path) != nil {
		return ledgerfile.Origin{}
	}
	db, err := ledgerfile.OpenToRead(path, reach)
	if err != nil {
		return ledgerfile.Origin{}
	}
	defer db.Close()
	origin, err := ledgerfile.OriginOf(ctx, db)
	if err != nil {
		return ledgerfile.Origin{}
	}
	return origin
}

// compare orders backups as they were made: those of one second by the numbers in
// their names.
func (b Backup) compare(other Backup) int {
	return cmp.Or(b.Taken.Compare(other.Taken), cmp.Compare(b.number(), other.number()))
}

// number is that in the name of one of several backups of a second, zero of the first.
func (b Backup) number() int {
	parts := named.FindStringSubmatch(strings.TrimSuffix(filepath.Base(b.Path), backupSuffix))
	if parts == nil {
		return 0
	}
	n, _ := strconv.Atoi(strings.TrimPrefix(parts[3], "-"))
	return n
}

// largestAbout bounds a description, in bytes.
const largestAbout = 1 << 20

// BackupAt returns the backup in a file, by the description beside it.
func BackupAt(path string) (Backup, error) {
	data, err := durable.Read(Backup{Path: path}.aboutFile(), largestAbout)
	if err != nil {
		return Backup{}, words.Errorf("what stands beside the backup cannot be read: %w", err)
	}
	b := Backup{}
	if err := json.Unmarshal(data, &b); err != nil {
		return Backup{}, words.Errorf("what stands beside the backup is not understood: %w", err)
	}
	b.Path = path
	return b, nil
}

// Verify proves a backup anew: its SHA-256 against the one taken when it was
// made, integrity, foreign keys and the rows of every table.
func (b Backup) Verify(ctx context.Context) error {
	sum, size, err := durable.SumOf(ctx, b.Path)
	if err != nil {
		return words.Errorf("reading the backup: %w", err)
	}
	if sum != b.SHA256 || size != b.Size {
		return words.Errorf("%s has changed since it was made: use another backup", b.Path)
	}
	return prove(ctx, b.Path, b.Contents)
}

// Undescribed returns the backup in a file beside which its description is missing:
// what the file holds, when a check of the whole of it finds nothing wrong. That it
// is what was once taken cannot be told.
func Undescribed(ctx context.Context, path string) (Backup, error) {
	if err := ledgerfile.Identify(path); err != nil {
		return Backup{}, err
	}
	for _, end := range ledgerfile.Endings()[1:] {
		if taken(path + end) {
			return Backup{}, words.Errorf("%s is no backup: a log lies beside it, in which entries may be", path)
		}
	}
	db, err := ledgerfile.OpenToRead(path, ledgerfile.Alone)
	if err != nil {
		return Backup{}, ledgerfile.OpenFailed(path, err)
	}
	defer db.Close()
	r, err := check(ctx, path, db)
	if err != nil {
		return Backup{}, err
	}
	if !r.Sound() {
		return Backup{}, words.Errorf("%s: %s", path, strings.Join(r.Faults, "; "))
	}
	b := Backup{Path: path, Contents: r.Contents}
	if b.SHA256, b.Size, err = durable.SumOf(ctx, path); err != nil {
		return Backup{}, words.Errorf("reading the backup: %w", err)
	}
	return b, nil
}
