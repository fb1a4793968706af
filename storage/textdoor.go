package storage

import (
	"reflect"
	"slices"

	"weirkeeper/assets/words"
	"weirkeeper/storage/versions"
	"weirkeeper/tanks"
)

// Columns that hold what people typed, on one line and on several. What else is
// text the program wrote itself.
var (
	nameColumns = []string{
		"code", "initials", "lab", "name", "person", "place", "source", "species", "standard", "title", "typed", "unit",
	}
	noteColumns = []string{"caption", "caution", "note", "reason", "text", "watch"}
)

// checkTexts refuses texts of a row that cannot be kept, as tanks.Faults by their
// columns. before is the row as it stands, nil of a new one: what stands there
// already, from before texts were checked, may stay.
func checkTexts(t *versions.Table, before, after []any) error {
	var fs tanks.Faults
	for i, c := range t.Columns {
		text, ok := after[i].(string)
		if !ok || before != nil && reflect.DeepEqual(before[i], after[i]) {
			continue
		}
		check := tanks.CheckName
		switch {
		case slices.Contains(noteColumns, c.Name):
			check = tanks.CheckNote
		case !slices.Contains(nameColumns, c.Name):
			continue
		}
		if c.Name == "reason" {
			text = words.Kept(text).String() // a reason may be a sentence of the program
		}
		if f, ok := check(c.Name, text); !ok {
			fs = append(fs, f)
		}
	}
	return fs.Err()
}
