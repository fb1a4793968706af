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
