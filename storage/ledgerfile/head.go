package ledgerfile

import (
	"context"
	"database/sql"
	"errors"
	"slices"
)

// Head is the newest action of a ledger's account with its hash, which holds the
// hashes of all before it: two ledgers of one head are of one history. Zero: none.
type Head struct {
	Action int64 `json:"action"`
	Hash   int64 `json:"hash"`
}

// HeadOf reads the head of a ledger, zero in one from before there was an account
// that is proved.
func HeadOf(ctx context.Context, db Querier) (h Head, err error) {
	columns, err := Columns(ctx, db, "actions")
	if err != nil || !slices.ContainsFunc(columns, func(c Column) bool { return c.Name == "hash" }) {
		return Head{}, err
	}
	err = db.QueryRowContext(ctx, "SELECT id, coalesce(hash, 0) FROM actions ORDER BY id DESC LIMIT 1").Scan(&h.Action, &h.Hash)
	if errors.Is(err, sql.ErrNoRows) {
		return Head{}, nil
	}
	return h, err
}

// HashAt reads the hash of an action.
func HashAt(ctx context.Context, db Querier, action int64) (hash int64, there bool, err error) {
	err = db.QueryRowContext(ctx, "SELECT coalesce(hash, 0) FROM actions WHERE id = ?", action).Scan(&hash)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, false, nil
	}
	return hash, err == nil, err
}

// Origin is the first action of a ledger's account, by which its copies are told from
// those of another ledger, whatever they are called. Zero: not known, as in a ledger from
// before there was an account.
type Origin struct {
	At   int64 `json:"at"`             // when it was done, in milliseconds since 1970
	Hash int64 `json:"hash,omitempty"` // zero in a ledger from before the account was proved
}

// Other tells that two ledgers, of which both are known, are not of one origin.
func (o Origin) Other(than Origin) bool {
	return o != Origin{} && than != Origin{} && (o.At != than.At || o.Hash != 0 && than.Hash != 0 && o.Hash != than.Hash)
}

// OriginOf reads the origin of a ledger. A first action that states what an older ledger
// held tells nothing: each upgrade makes another.
func OriginOf(ctx context.Context, db Querier) (o Origin, err error) {
	columns, err := Columns(ctx, db, "actions")
	if err != nil || len(columns) == 0 {
		return Origin{}, err
	}
	query, baseline := "SELECT done_at, 0, 0 FROM actions ORDER BY id LIMIT 1", 0
	if slices.ContainsFunc(columns, func(c Column) bool { return c.Name == "hash" }) {
		query = "SELECT done_at, coalesce(hash, 0), baseline FROM actions ORDER BY id LIMIT 1"
	}
	err = db.QueryRowContext(ctx, query).Scan(&o.At, &o.Hash, &baseline)
	if errors.Is(err, sql.ErrNoRows) || err == nil && baseline == 1 {
		return Origin{}, nil
	}
	return o, err
}

// ContentsOf reads how much a ledger holds.
func ContentsOf(ctx context.Context, db Querier) (c Contents, err error) {
	if c.Version, err = Version(ctx, db); err != nil {
		return c, err
	}
	if c.Rows, err = RowsOf(ctx, db); err != nil {
		return c, err
	}
	c.Head, err = HeadOf(ctx, db)
	return c, err
}
