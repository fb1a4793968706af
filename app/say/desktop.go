package say

import (
	"encoding/json"

	"fyne.io/fyne/v2"
	tags "golang.org/x/text/language"
)

// spoken are the languages in which Fyne 2.8 has words of its own. On such a
// desktop it asks for ours in that language too, and complains of each that it
// lacks.
var spoken = []string{"cs", "de", "el", "es", "fr", "ja", "pl", "pt", "pt-BR", "ru", "sv", "ta", "uk", "zh-Hans"}

// alsoAsked returns the languages other than English in which sentences are
// looked for on a desktop.
func alsoAsked(desktop fyne.Locale) []fyne.Locale {
	tag, err := tags.Parse(desktop.LanguageString())
	if err != nil {
		return nil
	}
	base, _ := tag.Base()
	var out []fyne.Locale
	for _, name := range spoken {
		if b, _ := tags.MustParse(name).Base(); b == base {
			out = append(out, fyne.Locale(name))
		}
	}
	return out
}

// forAnyPlural gives sentences of English the plural forms of every language, all
// of them the English one.
func forAnyPlural(sentences []byte) []byte {
	var all map[string]any
	if json.Unmarshal(sentences, &all) != nil {
		return sentences
	}
	for _, said := range all {
		forms, ok := said.(map[string]any)
		if !ok {
			continue
		}
		for _, form := range []string{"zero", "two", "few", "many"} {
			forms[form] = forms["other"]
		}
	}
	out, err := json.Marshal(all)
	if err != nil {
		return sentences
	}
	return out
}
