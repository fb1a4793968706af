package safekeeping

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage/ledgerfile"
)

// mend makes whole what refers to rows that are lost: a reference that may be
// missing is dropped, a lost system or product is invented with its number, and
// what cannot be without what is lost goes.
func (s *salvage) mend(ctx context.Context) error {
	if err := s.inventRoom(ctx); err != nil {
		return err
	}
	for _, info := range chem.Catalogue() {
		if _, err := s.tx.ExecContext(ctx, rightKey, int(info.Analyte), info.Key); err != nil {
			return err
		}
	}
	for {
		lost, err := s.lostReferences(ctx)
		if err != nil || len(lost) == 0 {
			return err
		}
		for _, l := range lost {
			if err := s.mendOne(ctx, l); err != nil {
				return words.Errorf("%s refers to no %s: %w", l.table, l.parent, err)
			}
		}
	}
}

// rightKey writes the key of an analyte, whatever the damaged ledger called it.
const rightKey = "INSERT INTO analytes (id, key) VALUES (?, ?) ON CONFLICT (id) DO UPDATE SET key = excluded.key WHERE key <> excluded.key"

func (s *salvage) inventRoom(ctx context.Context) error {
	done, err := s.tx.ExecContext(ctx, "INSERT OR IGNORE INTO room (id, name, zone) VALUES (1, 'Salvaged room', 'UTC')")
	if err != nil {
		return err
	}
	if n, err := done.RowsAffected(); err != nil || n == 0 {
		return err
	}
	s.Invented = append(s.Invented, "the room's name and time zone")
	return nil
}

// lostReference is a column of a table that refers to rows that are lost.
type lostReference struct{ table, parent, column string }

func (s *salvage) lostReferences(ctx context.Context) ([]lostReference, error) {
	rows, err := s.tx.QueryContext(
		ctx,
		`SELECT DISTINCT c."table", c."parent", f."from" FROM pragma_foreign_key_check c JOIN pragma_foreign_key_list(c."table") f ON f.id = c.fkid`,
	)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var all []lostReference
	for rows.Next() {
		var l lostReference
		if err := rows.Scan(&l.table, &l.parent, &l.column); err != nil {
			return nil, err
		}
		all = append(all, l)
	}
	return all, rows.Err()
}

// stands invents the least that a lost row of a table can be. A system that has
// the code already does not take the place of the lost one.
var stands = map[string]string{
	"systems": `INSERT OR IGNORE INTO systems (id, code, name, kind)
		SELECT DISTINCT %[1]s, 'LOST' || %[1]s || CASE WHEN EXISTS (SELECT 1 FROM systems WHERE code = 'LOST' || %[1]s) THEN '?' ELSE '' END,
			'lost system ' || %[1]s, 1 FROM %[2]s WHERE %[1]s NOT IN (SELECT id FROM systems)`,
	"products": `INSERT OR IGNORE INTO products (id, name, form)
		SELECT DISTINCT %[1]s, 'lost product ' || %[1]s, 1 FROM %[2]s WHERE %[1]s NOT IN (SELECT id FROM products)`,
}

func (s *salvage) mendOne(ctx context.Context, l lostReference) error {
	columns, err := ledgerfile.Columns(ctx, s.tx, l.table)
	if err != nil {
		return err
	}
	if stand, ok := stands[l.parent]; ok {
		made := false
		err := s.count(ctx, fmt.Sprintf(stand, l.column, l.table), func(n int64) {
			made = true
			s.Invented = append(s.Invented, fmt.Sprintf("%d of the %s", n, l.parent))
		})
		if made || err != nil {
			return err
		}
	}
	at := slices.IndexFunc(columns, func(c ledgerfile.Column) bool { return c.Name == l.column })
	where := fmt.Sprintf(" WHERE %[1]s IS NOT NULL AND %[1]s NOT IN (SELECT id FROM %[2]s)", l.column, l.parent)
	if at >= 0 && columns[at].Nullable {
		// Where a row must have one of several references this fails, and the row
		// goes.
		err := s.count(ctx, "UPDATE "+l.table+" SET "+l.column+" = NULL"+where, func(n int64) {
			s.lose(l.table, int(n), words.T("%s: %d stay without the %s that they were of", spaced(l.table), n, spaced(l.parent)))
		})
		if err == nil {
			return nil
		}
	}
	// Rows that belong to one number count once.
	var numbers int
	query := fmt.Sprintf(`SELECT count(DISTINCT "%s") FROM %s%s`, columns[0].Name, l.table, where)
	if err := s.tx.QueryRowContext(ctx, query).Scan(&numbers); err != nil {
		return err
	}
	return s.count(ctx, "DELETE FROM "+l.table+where, func(n int64) {
		s.Lost[l.table] += numbers
		s.lose(l.table, int(n), words.T("%s: %d, which cannot be without lost %s", spaced(l.table), n, spaced(l.parent)))
	})
}

// spaced is the name of a table in words.
func spaced(table string) string { return strings.ReplaceAll(table, "_", " ") }

func (s *salvage) count(ctx context.Context, statement string, tell func(n int64)) error {
	done, err := s.tx.ExecContext(ctx, statement)
	if err != nil {
		return err
	}
	n, err := done.RowsAffected()
	if err == nil && n > 0 {
		tell(n)
	}
	return err
}
