// Package say puts what the program shows into the person's language and way of
// writing numbers and dates. Sentences are translated by Fyne's package lang;
// the English sentence is the key, and its file is assets/translations/en.json.
//
// Like the theme and the translations of Fyne, the language belongs to the whole
// program. It may be asked from any goroutine.
package say

import (
	"errors"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/lang"

	"weirkeeper/assets/translations"
	"weirkeeper/assets/words"
)

// Style is how numbers and dates are written. The zero value is English: a
// point, and the day before the month.
type Style struct {
	Comma bool // the decimal sign is a comma
	Dates Dates
}

var style atomic.Pointer[Style]

// Use changes the style of everything that is said from now on.
func Use(s Style) { style.Store(&s) }

// Using returns the style of now.
func Using() Style {
	if s := style.Load(); s != nil {
		return *s
	}
	return Style{}
}

// phrases keeps what Fyne was asked, which looks through its languages at each
// question.
var phrases sync.Map

var english = sync.OnceFunc(func() { load(translations.English) })

// Load takes the sentences of a JSON file in place of the English ones; nil
// brings those back.
func Load(sentences []byte) error {
	english()
	if sentences == nil {
		sentences = translations.English
	}
	return load(sentences)
}

func load(sentences []byte) error {
	err := lang.AddTranslationsForLocale(sentences, fyne.Locale("en"))
	for _, other := range alsoAsked(lang.SystemLocale()) {
		err = errors.Join(err, lang.AddTranslationsForLocale(forAnyPlural(sentences), other))
	}
	phrases.Clear()
	return err
}

// Language is the person's language, for what is written without a window.
func Language() words.Language { return language{} }

type language struct{}

// Phrase implements words.Language.
func (language) Phrase(s string) string {
	if known, ok := phrases.Load(s); ok {
		return known.(string)
	}
	english()
	said := lang.L(s)
	phrases.Store(s, said)
	return said
}

// Plural implements words.Language: the form under the format of many.
func (language) Plural(count int, _, many string) string {
	english()
	return lang.N(many, count)
}

// Point implements words.Language.
func (language) Point() string {
	if Using().Comma {
		return ","
	}
	return "."
}

// Day implements words.Language.
func (language) Day(t time.Time) string { return Day(t) }

// Moment implements words.Language.
func (language) Moment(t time.Time) string { return Moment(t) }

// Month implements words.Language.
func (language) Month(m time.Month) string { return Month(m, true) }

// L says a sentence.
func L(t words.Text) string { return t.In(language{}) }

// F says a format with its arguments, as words.T takes them.
func F(format string, args ...any) string { return words.Sprintf(language{}, format, args...) }

// N says a format whose words depend on a count: the format is that of many, and
// the languages' files have the others. The count is the first argument.
func N(n int, many string, args ...any) string {
	return words.Sprintf(plural{form: language{}.Plural(n, "", many)}, many, append([]any{n}, args...)...)
}

// plural is the language for a format whose form is known.
type plural struct {
	language
	form string
}

// Phrase implements words.Language.
func (p plural) Phrase(string) string { return p.form }

// Of says the name or sentence of an error or of anything words.Worded.
func Of(v any) string { return words.Of(v).In(language{}) }

// Number writes a number with so many decimals and a true minus sign.
func Number(v float64, decimals int) string {
	text := F("%.*f", decimals, v)
	digits, negative := strings.CutPrefix(text, "-")
	if negative && strings.Trim(digits, "0.,") == "" {
		return digits
	}
	if negative {
		return "\u2212" + digits
	}
	return digits
}
