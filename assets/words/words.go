// Package words holds sentences apart from the language they are shown in: a
// sentence is written in English where it arises, in any package, and put into
// the person's language where it is shown. It knows nothing of windows.
package words

import (
	"fmt"
	"strings"
)

// Text is a sentence with what stands in it. A plain string is a Text with
// nothing in it, so constants need no call; T makes the others. A Text can be
// compared and kept in maps like the string that it is: what stands in it is
// packed behind its format.
type Text string

// T returns the sentence of a format as fmt knows it, with its arguments.
// Numbers keep their value, so that they are shown with the decimal sign of the
// person; a Text, an error or anything Worded among the arguments is put into
// the person's language too.
func T(format string, args ...any) Text {
	if false {
		_ = fmt.Sprintf(format, args...) // lets go vet check the calls
	}
	if len(args) == 0 {
		return Text(strings.ReplaceAll(format, "%%", "%"))
	}
	return packed(format, "", args)
}

// N returns the sentence of a count: one is the format for a single thing, many
// for any other number of them, and the count is the first argument of both. The
// languages' files have further forms under the format of many.
func N(count int, one, many string, args ...any) Text {
	return packed(many, one, append([]any{count}, args...))
}

// Worded is anything with a name or sentence that can be put into another
// language.
type Worded interface{ Words() Text }

// Of returns the sentence of an error or of anything Worded; of other things
// what fmt.Sprint writes.
func Of(v any) Text {
	switch v := v.(type) {
	case Text:
		return v
	case Worded:
		return v.Words()
	case interface{ Unwrap() []error }:
		var all []Text
		for _, err := range v.Unwrap() {
			all = append(all, Of(err))
		}
		return Join(all, "\n")
	}
	return Text(fmt.Sprint(v))
}

// Join puts texts one after the other, with a separator that is no word.
func Join(texts []Text, between string) Text {
	switch len(texts) {
	case 0:
		return ""
	case 1:
		return texts[0]
	}
	args := make([]any, len(texts))
	formats := make([]string, len(texts))
	for i, t := range texts {
		args[i], formats[i] = t, "%s"
	}
	return packed(strings.Join(formats, strings.ReplaceAll(between, "%", "%%")), "", args)
}

// Format returns the sentence without what stands in it: the key by which its
// translation is found.
func (t Text) Format() string {
	format, _, _ := t.parts()
	return format
}

// String returns the sentence in English, with a decimal point.
func (t Text) String() string { return t.In(English) }
