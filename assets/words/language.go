package words

import (
	"fmt"
	"strings"
	"time"
	"unicode"
)

// Language puts sentences into a person's language and way of writing numbers.
type Language interface {
	// Phrase returns the sentence, or the format of one, in the language; what
	// it does not know it returns as it is.
	Phrase(english string) string
	// Plural returns the sentence of a count in the language, given its English
	// forms for one thing and for any other number.
	Plural(count int, one, many string) string
	// Point is the decimal sign.
	Point() string
	// Day writes a day, and Moment a day with its time, in the time's own zone.
	Day(time.Time) string
	Moment(time.Time) string
	// Month names a month in short: "Mar".
	Month(time.Month) string
}

// Moment is a time among the arguments of a Text that is shown with its hour; a
// plain time.Time is shown as its day.
type Moment time.Time

// English is the language that sentences are written in.
var English Language = english{}

type english struct{}

func (english) Phrase(s string) string { return s }
func (english) Point() string          { return "." }

func (english) Plural(count int, one, many string) string {
	if count == 1 {
		return one
	}
	return many
}

func (english) Day(t time.Time) string    { return t.Format("2 Jan 2006") }
func (english) Moment(t time.Time) string { return t.Format("2 Jan 2006, 15:04") }
func (english) Month(m time.Month) string { return m.String()[:3] }

// In returns the sentence in a language.
func (t Text) In(l Language) string {
	format, one, args := t.parts()
	if len(args) == 0 {
		return phrase(l, format)
	}
	if count, ok := args[0].(int64); ok && one != "" {
		return fill(l, l.Plural(int(count), one, format), args)
	}
	return Sprintf(l, format, args...)
}

// Sprintf formats like fmt.Sprintf, in a language: the format is translated,
// numbers get the decimal sign, and texts among the arguments are translated.
func Sprintf(l Language, format string, args ...any) string {
	return fill(l, phrase(l, format), args)
}

// fill puts the arguments into a format of the language.
func fill(l Language, format string, args []any) string {
	shown := make([]any, len(args))
	for i, a := range args {
		switch a := a.(type) {
		case float64:
			shown[i] = decimal{a, l.Point()}
		case time.Time:
			shown[i] = l.Day(a)
		case Moment:
			shown[i] = l.Moment(time.Time(a))
		case Text, Worded, error:
			shown[i] = Of(a).In(l)
		default:
			shown[i] = a
		}
	}
	return fmt.Sprintf(format, shown...)
}

// phrase translates what has words in it.
func phrase(l Language, text string) string {
	if !HasWords(text) {
		return text
	}
	return l.Phrase(text)
}

// HasWords tells whether a format has anything to translate besides its verbs:
// "%s, %.1f" has not.
func HasWords(format string) bool {
	for i := 0; i < len(format); i++ {
		if format[i] == '%' {
			i = verbEnd(format, i)
			continue
		}
		if format[i] >= 0x80 || unicode.IsLetter(rune(format[i])) {
			if hasLetter(format[i:]) {
				return true
			}
		}
	}
	return false
}

// hasLetter looks at the text up to the next verb.
func hasLetter(text string) bool {
	until, _, _ := strings.Cut(text, "%")
	return strings.ContainsFunc(until, unicode.IsLetter)
}

// verbEnd returns where the verb that begins at i ends.
func verbEnd(format string, i int) int {
	for i++; i < len(format); i++ {
		if c := format[i]; c == '%' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' {
			return i
		}
	}
	return i
}

// decimal is a number that is written with a decimal sign of its own.
type decimal struct {
	v     float64
	point string
}

// Format implements fmt.Formatter.
func (d decimal) Format(s fmt.State, verb rune) {
	text := fmt.Sprintf(fmt.FormatString(s, verb), d.v)
	if d.point != "." {
		text = strings.Replace(text, ".", d.point, 1)
	}
	fmt.Fprint(s, text)
}

// String writes the moment in English.
func (m Moment) String() string { return English.Moment(time.Time(m)) }
