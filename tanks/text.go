package tanks

import (
	"unicode"
	"unicode/utf8"

	"weirkeeper/assets/words"
)

// How long texts may be that people give, in signs (Unicode code points).
const (
	LongestName = 200    // names, codes, persons, places
	LongestNote = 20_000 // notes, reasons, cautions
)

// CheckName returns what is wrong with a text of one line, CheckNote with one of
// several lines; ok is true when nothing is. Texts are refused as they are, never
// cut: a person shortens them better.
func CheckName(field, text string) (f Fault, ok bool) {
	return checkText(field, text, LongestName, false)
}

// CheckNote is [CheckName] for texts that may have several lines.
func CheckNote(field, text string) (f Fault, ok bool) {
	return checkText(field, text, LongestNote, true)
}

func checkText(field, text string, most int, lines bool) (Fault, bool) {
	if !utf8.ValidString(text) {
		return Fault{Field: field, Problem: "The text has bytes that stand for no letter",
			Remedy: "type it anew, or save its file as UTF-8"}, false
	}
	if len(text) > most { // no sign is shorter than a byte
		if n := utf8.RuneCountInString(text); n > most {
			return Fault{Field: field, Problem: words.T("The text has %d signs, there is room for %d", n, most),
				Remedy: "shorten it"}, false
		}
	}
	for _, r := range text {
		if unicode.IsControl(r) && !(lines && (r == '\n' || r == '\r' || r == '\t')) || r == '\u2028' && !lines || r == '\u2029' && !lines {
			return Fault{Field: field, Problem: words.T("The text has a sign that is not seen, U+%04X", int(r)),
				Remedy: "take it out"}, false
		}
	}
	return Fault{}, true
}

// text adds the fault of a text, if it has one.
func (fs *Faults) text(f Fault, ok bool) {
	if !ok {
		*fs = append(*fs, f)
	}
}
