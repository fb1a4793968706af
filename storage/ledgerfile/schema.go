package ledgerfile

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"weirkeeper/assets/words"
)

// object is a table, index, view or trigger as a schema declares it.
type object struct{ kind, name, declared string }

// Said names an object in words: "the table readings".
func (o object) said() string { return "the " + o.kind + " " + o.name }

// objectsOf reads the schema of a database; what SQLite keeps for itself, such as
// the indexes of keys, is told apart by name alone.
func objectsOf(ctx context.Context, db Querier) ([]object, error) {
	rows, err := db.QueryContext(ctx, "SELECT type, name, coalesce(sql, '') FROM sqlite_schema ORDER BY rowid")
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var all []object
	for rows.Next() {
		var o object
		if err := rows.Scan(&o.kind, &o.name, &o.declared); err != nil {
			return nil, err
		}
		all = append(all, o)
	}
	return all, rows.Err()
}

// wrongSchema says what of a ledger's schema is not that of a fresh ledger of the
// same version, and what the tables hold that a fresh ledger would refuse.
func wrongSchema(ctx context.Context, db Querier, version int) ([]string, error) {
	newest, err := Newest()
	if err != nil {
		return nil, err
	}
	if version < 1 || version > newest {
		return []string{fmt.Sprintf("damaged: there is no version %d of a ledger, only 1 to %d", version, newest)}, nil
	}
	want, err := blankOf(version)
	if err != nil {
		return nil, words.Errorf("making a ledger to compare with: %w", err)
	}
	got, err := objectsOf(ctx, db)
	if err != nil {
		return nil, err
	}
	if faults := differing(got, want.objects); len(faults) > 0 {
		return faults, nil
	}
	return broken(ctx, db, want.rules)
}

// differing says what two schemas differ in.
func differing(got, want []object) []string {
	var faults []string
	for _, o := range want {
		at := slices.IndexFunc(got, func(g object) bool { return g.kind == o.kind && g.name == o.name })
		switch {
		case at < 0:
			faults = append(faults, o.said()+" is gone")
		case got[at].declared != o.declared:
			faults = append(faults, o.said()+" is not declared as it was")
		}
	}
	for _, g := range got {
		if !slices.ContainsFunc(want, func(o object) bool { return g.kind == o.kind && g.name == o.name }) {
			faults = append(faults, g.said()+" is none of a ledger's")
		}
	}
	return faults[:min(len(faults), MostFaults)]
}

// rule is what the rows of a table must keep: the CHECKs of its declaration. SQLite
// forgets them when it opens a file that it may not write.
type rule struct {
	table  string
	key    []Column
	checks []string
}

func rulesOf(ctx context.Context, db Querier, objects []object) ([]rule, error) {
	columns, err := AllColumns(ctx, db)
	if err != nil {
		return nil, err
	}
	var all []rule
	for _, o := range objects {
		checks := checksOf(o.declared)
		if o.kind != "table" || len(checks) == 0 {
			continue
		}
		all = append(all, rule{o.name, KeyOf(columns[o.name]), checks})
	}
	return all, nil
}

// checksOf returns the conditions behind the CHECKs of a declaration.
func checksOf(declared string) []string {
	var all []string
	for at := 0; at < len(declared); at++ {
		switch declared[at] {
		case '\'', '"':
			at += quoted(declared[at:]) - 1
		case '-':
			if strings.HasPrefix(declared[at:], "--") {
				at += len(strings.SplitAfterN(declared[at:], "\n", 2)[0]) - 1
			}
		case 'C':
			rest, found := strings.CutPrefix(declared[at:], "CHECK (")
			if !found {
				continue
			}
			end := closing(rest)
			all = append(all, rest[:end])
			at += len("CHECK (") + end
		}
	}
	return all
}

// quoted is the length of the quoted text that a text begins with.
func quoted(text string) int {
	if end := strings.IndexByte(text[1:], text[0]); end >= 0 {
		return end + 2
	}
	return len(text)
}

// closing is where the parenthesis closes that was opened before a text.
func closing(text string) int {
	depth := 1
	for at := 0; at < len(text); at++ {
		switch text[at] {
		case '\'', '"':
			at += quoted(text[at:]) - 1
		case '(':
			depth++
		case ')':
			if depth--; depth == 0 {
				return at
			}
		}
	}
	return len(text)
}

// broken says which rows do not keep the rules, the first MostFaults of a table.
func broken(ctx context.Context, db Querier, rules []rule) ([]string, error) {
	var faults []string
	for _, r := range rules {
		var cases, any []string
		for _, c := range r.checks {
			cases = append(cases, fmt.Sprintf("WHEN NOT (%s) THEN '%s'", c, strings.ReplaceAll(c, "'", "''")))
			any = append(any, "NOT ("+c+")")
		}
		var key []string
		for _, c := range r.key {
			key = append(key, `"`+c.Name+`"`)
		}
		found, err := TextColumn(ctx, db, fmt.Sprintf(
			`SELECT '%s row ' || %s || ' holds what cannot be, it must be: ' || CASE %s END FROM "%s" WHERE %s LIMIT %d`,
			r.table, strings.Join(key, " || ', ' || "), strings.Join(cases, " "), r.table, strings.Join(any, " OR "), MostFaults))
		if err != nil {
			return nil, words.Errorf("looking at the values of %s: %w", r.table, err)
		}
		faults = append(faults, found...)
	}
	return faults, nil
}

// VersionDeclared tells which version of a ledger declares the most of some
// declarations, the newest of several, and how many.
func VersionDeclared(declared map[string]bool) (version, most int, err error) {
	newest, err := Newest()
	if err != nil {
		return 0, 0, err
	}
	for v := newest; v >= 1; v-- {
		blank, err := blankOf(v)
		if err != nil {
			return 0, 0, err
		}
		n := 0
		for _, o := range blank.objects {
			if o.declared != "" && declared[o.declared] {
				n++
			}
		}
		if n > most {
			version, most = v, n
		}
	}
	return version, most, nil
}
