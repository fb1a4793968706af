package words

import "strings"

// Keep writes a text so that Kept reads it back with what stands in it, whatever
// the language: records keep sentences in this form, so that it never changes.
// What a person typed is kept as it is.
func (t Text) Keep() string {
	if typed, ok := t.typed(); ok && !strings.HasPrefix(typed, mark) {
		return typed
	}
	if t == "" || strings.HasPrefix(string(t), mark) {
		return string(t)
	}
	return string(packed(string(t), "", nil))
}

// Kept reads what Keep wrote. Anything else is taken for what a person typed.
func Kept(text string) Text {
	if !strings.HasPrefix(text, mark) {
		return Typed(text)
	}
	if format, _, args := Text(text).parts(); len(args) == 0 {
		return Text(format)
	}
	return Text(text)
}

// Typed is what a person wrote: it reads the same in every language, even when
// it is one of the program's sentences too.
func Typed(text string) Text {
	if text == "" {
		return ""
	}
	return packed("%s", "", []any{text})
}

// typed returns what a person wrote.
func (t Text) typed() (string, bool) {
	format, _, args := t.parts()
	if format != "%s" || len(args) != 1 {
		return "", false
	}
	text, ok := args[0].(string)
	return text, ok
}
