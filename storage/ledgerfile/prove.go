package ledgerfile

import (
	"context"
	"database/sql"
	"fmt"
	"maps"
	"os"
	"slices"
	"strings"

	"weirkeeper/assets/words"
	"weirkeeper/storage/durable"
)

// Contents is how much a ledger holds.
type Contents struct {
	Version int            `json:"version"` // of the schema
	Rows    map[string]int `json:"rows"`    // by table
	Head    Head           `json:"head,omitzero"`
}

// differs tells contents that are not those that were wanted; where no head was
// noted any will do.
func (c Contents) differs(want Contents) bool {
	return c.Version != want.Version || !maps.Equal(c.Rows, want.Rows) || want.Head != Head{} && c.Head != want.Head
}

// Report is what a check of a ledger's file found.
type Report struct {
	Contents
	// Faults say what is wrong, in plain words; none: the file is sound.
	Faults []string
}

// Sound tells whether nothing is wrong.
func (r Report) Sound() bool { return len(r.Faults) == 0 }

// MostFaults bounds the faults that a check lists of each kind.
const MostFaults = 20

// LostReferences says in words which rows refer to nothing, the first MostFaults.
func LostReferences(ctx context.Context, db Querier) ([]string, error) {
	return TextColumn(
		ctx,
		db,
		fmt.Sprintf(
			`SELECT "table" || ' row ' || ifnull(rowid, '?') || ' refers to no ' || "parent" FROM pragma_foreign_key_check LIMIT %d`,
			MostFaults,
		),
	)
}

// Examine reads a ledger's file from end to end: SQLite's own structures, the
// schema, values that it does not allow, and references that point nowhere. What is
// damaged is not counted: Rows are then nil. The error is an *OpenError when the
// file at path is no ledger.
func Examine(ctx context.Context, path string, db Querier) (Report, error) {
	r := Report{}
	found, err := TextColumn(ctx, db, fmt.Sprintf("PRAGMA integrity_check(%d)", MostFaults))
	if err != nil {
		return Report{}, OpenFailed(path, err)
	}
	if !slices.Equal(found, []string{"ok"}) {
		for _, text := range found {
			r.Faults = append(r.Faults, "damaged: "+text)
		}
		return r, nil
	}
	if r.Faults, err = tooShort(ctx, path, db); err != nil {
		return Report{}, OpenFailed(path, err)
	}
	if !r.Sound() {
		return r, nil
	}
	if r.Version, err = Version(ctx, db); err != nil {
		return Report{}, OpenFailed(path, err)
	}
	r.Faults, err = wrongSchema(ctx, db, r.Version)
	if err != nil {
		return Report{}, OpenFailed(path, err)
	}
	if !r.Sound() {
		return r, nil
	}
	if r.Contents, err = ContentsOf(ctx, db); err != nil {
		return Report{}, OpenFailed(path, err)
	}
	if r.Faults, err = LostReferences(ctx, db); err != nil {
		return Report{}, OpenFailed(path, err)
	}
	return r, nil
}

// tooShort says whether the end of a file is cut off, which SQLite takes for zeros.
// Where a log lies beside it, its end may be in there.
func tooShort(ctx context.Context, path string, db Querier) ([]string, error) {
	if logged(path) {
		return nil, nil
	}
	var pages, size int64
	if err := db.QueryRowContext(ctx, "SELECT page_count, page_size FROM pragma_page_count, pragma_page_size").Scan(&pages,
		&size); err != nil {
		return nil, err
	}
	info, err := os.Stat(path)
	if err != nil || info.Size() >= pages*size {
		return nil, err
	}
	return []string{fmt.Sprintf("damaged: the last %d bytes of the file are gone", pages*size-info.Size())}, nil
}

// Prove proves that a closed file is a sound ledger with these contents. It must
// not be open elsewhere: it is read as it lies, without a log. What more a sound
// ledger must be, also says.
func Prove(ctx context.Context, path string, want Contents, also ...func(context.Context, Querier) ([]string, error)) error {
	if err := Identify(path); err != nil {
		return err
	}
	db, err := OpenToRead(path, Alone)
	if err != nil {
		return OpenFailed(path, err)
	}
	defer db.Close()
	r, err := Examine(ctx, path, db)
	if err != nil {
		return err
	}
	for _, more := range also {
		if !r.Sound() {
			break
		}
		if r.Faults, err = more(ctx, db); err != nil {
			return OpenFailed(path, err)
		}
	}
	if !r.Sound() {
		return words.Errorf("%s: %s", path, strings.Join(r.Faults, "; "))
	}
	if r.differs(want) {
		return words.Errorf(
			"%s does not hold what the ledger held: %v rows of version %d up to action %d, not %v of version %d up to action %d",
			path,
			r.Rows,
			r.Version,
			r.Head.Action,
			want.Rows,
			want.Version,
			want.Head.Action,
		)
	}
	return nil
}

// CopyInto writes a copy of the ledger as it is at one instant into an empty file,
// and returns what it must hold. In the program that writes it runs on the one
// connection that does, so that nothing is saved between the count of rows and
// the copy; beside another program it copies again when rows came in between.
func (f *File) CopyInto(ctx context.Context, path string) (Contents, error) {
	from := f.write
	if f.ReadOnly() {
		from = f.read
	}
	conn, err := from.Conn(ctx)
	if err != nil {
		return Contents{}, err
	}
	defer conn.Close()
	const attempts = 5
	for range attempts {
		before, err := ContentsOf(ctx, conn)
		if err != nil {
			return Contents{}, err
		}
		if err := vacuumInto(ctx, conn, path); err != nil {
			return Contents{}, err
		}
		after, err := ContentsOf(ctx, conn)
		if err != nil {
			return Contents{}, err
		}
		if !after.differs(before) {
			return before, nil
		}
		if err := durable.Remove(path); err != nil {
			return Contents{}, err
		}
		if err := durable.New(path, durable.Private); err != nil {
			return Contents{}, err
		}
	}
	return Contents{}, words.Errorf("the ledger changed during each of %d copies: try again when less is saved", attempts)
}

// vacuumInto writes the copy. A connection that may not write the ledger may
// write no copy either, so that is lifted for the while.
func vacuumInto(ctx context.Context, conn *sql.Conn, path string) error {
	var guarded int
	if err := conn.QueryRowContext(ctx, "PRAGMA query_only").Scan(&guarded); err != nil {
		return err
	}
	if guarded == 1 {
		if _, err := conn.ExecContext(ctx, "PRAGMA query_only = 0"); err != nil {
			return err
		}
		defer conn.ExecContext(context.WithoutCancel(ctx), "PRAGMA query_only = 1")
	}
	_, err := conn.ExecContext(ctx, "VACUUM INTO ?", path)
	return err
}
