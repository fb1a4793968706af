// Package translations holds the program's sentences by language, in the JSON
// that Fyne's package lang reads: the English sentence or its format is the
// key; a sentence with a count has a form for each plural.
package translations

import _ "embed"

// English is the sentences in English; every other language has the same keys.
//
//go:embed en.json
var English []byte
