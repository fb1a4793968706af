package say

import (
	"encoding/json"
	"regexp"
	"strings"
)

// accents stands for the letters of a language that is not English.
var accents = strings.NewReplacer(
	"a",
	"á",
	"c",
	"č",
	"d",
	"ď",
	"e",
	"é",
	"g",
	"ğ",
	"i",
	"í",
	"l",
	"ľ",
	"n",
	"ñ",
	"o",
	"ó",
	"r",
	"ř",
	"s",
	"š",
	"t",
	"ť",
	"u",
	"ů",
	"y",
	"ý",
	"z",
	"ž",
	"A",
	"Á",
	"C",
	"Č",
	"D",
	"Ď",
	"E",
	"É",
	"I",
	"Í",
	"L",
	"Ľ",
	"N",
	"Ñ",
	"O",
	"Ó",
	"R",
	"Ř",
	"S",
	"Š",
	"T",
	"Ť",
	"U",
	"Ů",
	"Y",
	"Ý",
	"Z",
	"Ž",
)

// pseudoLonger is how much longer the pseudo-language is than English.
const pseudoLonger = 0.4

// Pseudo makes a language of a file of sentences: every letter that can has an
// accent, and the words are 40 % longer. What then reads as English on a screen
// is not translated, and what is cut off has no room for another language.
func Pseudo(sentences []byte) []byte {
	var all map[string]any
	if json.Unmarshal(sentences, &all) != nil {
		return sentences
	}
	for key, said := range all {
		switch said := said.(type) {
		case string:
			all[key] = pseudo(said)
		case map[string]any:
			for form, text := range said {
				said[form] = pseudo(text.(string))
			}
		}
	}
	out, err := json.Marshal(all)
	if err != nil {
		return sentences
	}
	return out
}

// verb is a verb of a format with its flags.
var verb = regexp.MustCompile(`%[-+#0-9.*\[\]]*[a-zA-Z%]`)

// pseudo changes a sentence, but for its verbs.
func pseudo(text string) string {
	var b strings.Builder
	letters, from := 0, 0
	add := func(part string) {
		b.WriteString(accents.Replace(part))
		letters += len([]rune(part))
	}
	for _, at := range verb.FindAllStringIndex(text, -1) {
		add(text[from:at[0]])
		b.WriteString(text[at[0]:at[1]])
		from = at[1]
	}
	add(text[from:])
	return longer(b.String(), letters)
}

// longer adds letters before the sign that ends the sentence.
func longer(text string, letters int) string {
	more := int(float64(letters)*pseudoLonger + 0.999)
	tail := ""
	if n := len(text); n > 0 && strings.ContainsRune(".?: ", rune(text[n-1])) {
		text, tail = text[:n-1], text[n-1:]
	}
	const syllables = "óñé ťwó ťřéé "
	fill := strings.Repeat(syllables, more/8+1)
	return text + " " + strings.TrimSpace(string([]rune(fill)[:max(more-1, 1)])) + tail
}
