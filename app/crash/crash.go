// Package crash is what the program does when it panics: goroutines start here,
// so that none ends the program unseen; a report is written, and a new process
// starts where the old one was.
package crash

import (
	"errors"
	"fmt"
	"runtime"
	"runtime/debug"
	"strings"
	"time"
)

// Fault is a panic that was caught.
type Fault struct {
	What  string // its kind; never what a person typed or a value
	Stack string
}

// Error implements error.
func (f *Fault) Error() string { return f.What }

// Catch runs do and returns the panic that it ended in, nil when it ended well. A
// Fault that is raised again keeps the stack where it first arose.
func Catch(do func()) (fault *Fault) {
	defer func() {
		if cause := recover(); cause != nil {
			fault = faultOf(cause, debug.Stack())
		}
	}()
	do()
	return nil
}

func faultOf(cause any, stack []byte) *Fault {
	if raised, ok := cause.(*Fault); ok {
		return raised
	}
	return &Fault{What: kindOf(cause), Stack: string(stack)}
}

// kindOf names a panic without what it may hold of the record: only the runtime's
// own errors are quoted.
func kindOf(cause any) string {
	if err, ok := cause.(error); ok {
		var own runtime.Error
		if errors.As(err, &own) {
			return own.Error()
		}
	}
	return fmt.Sprintf("a panic with a %T", cause)
}

// Go starts a goroutine. Its panic is raised again by post, which does something
// on the window's goroutine, where Catch is.
func Go(post func(func()), work func()) {
	go func() {
		if fault := Catch(work); fault != nil {
			post(func() { panic(fault) })
		}
	}()
}

// Report is what is written down of a fault. Nothing in it is of the record.
type Report struct {
	Fault   *Fault
	Version string
	Where   string // the screen that was open
	At      time.Time
}

// String returns the report's text.
func (r Report) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "Weirkeeper %s met a fault and ended.\n\n", r.Version)
	fmt.Fprintf(
		&b,
		"What: %s\nWhere: %s\nWhen: %s\nOn: %s %s, %s\n\n",
		r.Fault.What,
		r.Where,
		r.At.UTC().Format(time.RFC3339),
		runtime.GOOS,
		runtime.GOARCH,
		runtime.Version(),
	)
	b.WriteString("It holds no readings and no names of the room. It helps whoever mends the program.\n\n")
	b.WriteString(r.Fault.Stack)
	return b.String()
}
