package words

import "fmt"

// Error is an error whose sentence can be put into another language.
type Error struct {
	text  Text
	cause error // as fmt.Errorf wraps it
}

// New returns an error that says text.
func New(text Text) error { return &Error{text: text} }

// Errorf returns an error like fmt.Errorf's, which wraps what stands at %w.
func Errorf(format string, args ...any) error {
	cause := fmt.Errorf(format, args...)
	plain := make([]byte, 0, len(format))
	for i := 0; i < len(format); i++ {
		plain = append(plain, format[i])
		if format[i] == '%' {
			end := verbEnd(format, i)
			verb := format[i+1 : min(end+1, len(format))]
			if verb == "w" {
				verb = "s"
			}
			plain = append(plain, verb...)
			i = end
		}
	}
	return &Error{text: T(string(plain), args...), cause: cause}
}

// Error returns the sentence in English.
func (e *Error) Error() string { return e.text.String() }

// Words implements Worded.
func (e *Error) Words() Text { return e.text }

// Unwrap returns what was wrapped.
func (e *Error) Unwrap() error { return e.cause }
