package storage

import (
	"context"
	"database/sql"
	"sync"
	"time"

	"gorm.io/gorm"
)

// mostKept bounds the statements that are kept prepared: those of the common acts.
const mostKept = 60

// kept are statements of the connection that writes, prepared once for all acts: to
// read and plan them anew took a third of a save.
type kept struct {
	mutex sync.Mutex
	all   map[string]*sql.Stmt
}

func (k *kept) statement(query string) *sql.Stmt {
	k.mutex.Lock()
	defer k.mutex.Unlock()
	return k.all[query]
}

// keepWithin is how long an act waits for the connection, which the next one may have
// by then.
const keepWithin = 20 * time.Millisecond

// keep prepares what an act has met first, once its transaction has let the
// connection go. What cannot be prepared is prepared by each act.
func (k *kept) keep(ctx context.Context, db *sql.DB, queries []string) {
	if len(queries) == 0 {
		return
	}
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), keepWithin)
	defer cancel()
	for _, query := range queries {
		k.mutex.Lock()
		full, there := len(k.all) >= mostKept, k.all[query] != nil
		k.mutex.Unlock()
		if full || there {
			continue
		}
		statement, err := db.PrepareContext(ctx, query)
		if err != nil {
			return
		}
		k.mutex.Lock()
		if k.all == nil {
			k.all = map[string]*sql.Stmt{}
		}
		k.all[query] = statement
		k.mutex.Unlock()
	}
}

// keptPool is a transaction that takes statements from those that are kept.
type keptPool struct {
	gorm.ConnPool
	kept *kept
	met  []string // that were not kept yet
}

// PrepareContext implements gorm.ConnPool.
func (p *keptPool) PrepareContext(ctx context.Context, query string) (*sql.Stmt, error) {
	tx, ok := p.ConnPool.(interface {
		StmtContext(ctx context.Context, stmt *sql.Stmt) *sql.Stmt
	})
	if !ok {
		return p.ConnPool.PrepareContext(ctx, query)
	}
	if statement := p.kept.statement(query); statement != nil {
		return tx.StmtContext(ctx, statement), nil
	}
	p.met = append(p.met, query)
	return p.ConnPool.PrepareContext(ctx, query)
}
