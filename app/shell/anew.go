package shell

import (
	"strings"
	"time"

	"weirkeeper/app/crash"
	"weirkeeper/app/ledgers"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
)

// closingTime bounds the wait for work under way after a fault.
const closingTime = 5 * time.Second

// resumed returns the options of a process that goes on after a fault: with the
// ledger that was open, unless faults came so soon after one another that the
// ledger is better opened by hand.
func (o Options) resumed() Options {
	if o.Resume == nil {
		return o
	}
	o.Demo, o.Ledger = false, o.Resume.Ledger
	if o.Resume.Quiet() {
		o.Ledger = ""
	}
	return o
}

// startAnew writes a report of a fault, closes the ledger and starts a process that
// goes on where this one was.
func (w *Window) startAnew(fault *crash.Fault, opts Options) error {
	now := time.Now()
	next := crash.Resume{Faults: []time.Time{now}}
	if opts.Resume != nil {
		next.Faults = append(opts.Resume.Faults, now)
	}
	where := "no ledger open"
	if w.session != nil {
		next.Ledger, next.Screen, where = w.session.Store.Path(), w.screenNow(), w.now.String()
	}
	var fields []widgets.TypedField
	next.Form, fields = widgets.TypedInto(w.win)
	for _, f := range fields {
		next.Typed = append(next.Typed, crash.Typed{Field: f.Label, Text: f.Text})
	}
	report := crash.Report{Fault: fault, Version: opts.Version, Where: where, At: now}
	path, err := report.Write(next.Ledger, ledgers.Folder())
	if err != nil {
		return words.Errorf("the program met a fault (%s), and its report could not be written: %w", fault.What, err)
	}
	next.Report = path
	w.scratch = "" // the demo room's copy is opened again
	w.closeWithin(closingTime)
	if !next.Again(now) {
		return words.Errorf(
			"the program met %d faults within a minute and ends here; what was saved is in the ledger, the report is %s",
			len(next.Faults),
			path,
		)
	}
	var args []string
	if opts.At != "" {
		args = []string{"-at", opts.At}
	}
	return next.Start(args)
}

// closeWithin closes the ledger, but waits no longer than that for work that hangs.
func (w *Window) closeWithin(most time.Duration) {
	closed := make(chan struct{})
	crash.Go(func(func()) {}, func() {
		defer close(closed)
		w.Close() // the report is written; a lock that is left is taken over
	})
	select {
	case <-closed:
	case <-time.After(most):
	}
}

// resumeNotice says that the program started anew after a fault, and what it has
// kept; the zero Notice when it did not.
func (w *Window) resumeNotice() session.Notice {
	r := w.resume
	if r == nil {
		return session.Notice{}
	}
	text := say.F("What was saved is in the ledger, and the test sheet is as you left it. A report without readings is in %s.", r.Report)
	if r.Form != "" && len(r.Typed) > 0 {
		var typed []string
		for _, t := range r.Typed {
			typed = append(typed, say.F("%s: %s", t.Field, t.Text))
		}
		text += "\n" + say.F("The form %q was open and is not saved. You had typed: %s.", r.Form, strings.Join(typed, "; "))
	}
	n := session.Notice{Title: say.L("The program met a fault and started anew"), Text: text, Bad: true}
	if r.Quiet() && r.Ledger != "" {
		ledger := r.Ledger
		n.Do, n.Then = say.L("Open the ledger"), func() { w.openFile(ledger) }
	}
	return n
}
