package versions

import "weirkeeper/storage/ledgerfile"

// cells reads the columns of a row by their names.
type cells struct {
	t   *Table
	row []any
}

func (c cells) value(name string) any {
	if at := c.t.At(name); at >= 0 {
		return c.row[at]
	}
	return nil
}

func (c cells) number(name string) int64 {
	n, _ := c.value(name).(int64)
	return n
}

func (c cells) text(name string) string {
	s, _ := c.value(name).(string)
	return s
}

func (c cells) reference(name string) *int64 {
	if n, ok := c.value(name).(int64); ok {
		return &n
	}
	return nil
}

// ActionOf makes an action of a row of its table.
func ActionOf(t *Table, row []any) Action {
	c := cells{t, row}
	return Action{
		ID: c.number("id"), DoneAt: c.number("done_at"), Doing: c.text("doing"), Undoes: c.reference("undoes"), Person: c.text("person"),
		Workstation: c.text("workstation"), Root: c.reference("root"), Baseline: c.number("baseline"), Hash: c.number("hash"),
	}
}

// VersionOf makes a version of a row of its table.
func VersionOf(t *Table, row []any) Version {
	c := cells{t, row}
	v := Version{
		Action: c.number("action_id"), Place: int(c.number("place")), Entity: c.text("entity"), First: c.number("first"), Last: c.number("last"),
		Event: Event(c.number("change")), HashBefore: c.number("hash_before"), HashAfter: c.number("hash_after"),
	}
	if before, ok := c.value("before").(string); ok {
		v.Before = &before
	}
	return v
}

// PartOf makes a part of the sums of single rows of a row of its table.
func PartOf(t *Table, row []any) Part {
	c := cells{t, row}
	sums, _ := c.value("sums").([]byte)
	return Part{Action: c.number("action_id"), Place: int(c.number("place")), First: c.number("first"), Sums: sums}
}

// Proved tells whether the hash of an action is that of itself, its versions and the
// hash before.
func (a *Action) Proved(before int64, versions []Version) bool {
	return a.hash(before, versions) == a.Hash
}

// KeyOf returns the positions of the columns that name a row.
func (t *Table) KeyOf() []int { return t.key }

// Summed tells whether the account says what the rows of a table are.
func Summed(table string) bool {
	for _, name := range Unsummed {
		if name == table {
			return false
		}
	}
	return true
}

// TablesOfAccount are the tables of the account itself.
func TablesOfAccount() []string { return []string{"actions", "versions", sumsTable} }

// Fits tells whether a value is one that a column of a strict table can hold, and
// returns it as such.
func Fits(c ledgerfile.Column, v any) (any, bool) {
	switch v := v.(type) {
	case nil:
		return nil, c.Nullable
	case int64:
		if c.Kind == "REAL" {
			return float64(v), true
		}
		return v, c.Kind == "INTEGER"
	case float64:
		return v, c.Kind == "REAL"
	case string:
		return v, c.Kind == "TEXT"
	case []byte:
		return v, c.Kind == "BLOB"
	}
	return nil, false
}
