package shell

import (
	"context"

	"weirkeeper/app/session"
)

// working is the progress in the bottom line, as the screens see it.
type working struct{ w *Window }

var _ session.Working = working{}

// Begin implements session.Working.
func (k working) Begin(doing string, canStop bool) (context.Context, session.Work) {
	ctx, cancel := context.WithCancel(context.Background())
	stop := cancel
	if !canStop {
		stop = nil
	}
	bar := k.w.frame.progress
	bar.Begin(doing, stop)
	return ctx, work{k.w.runner.Post, bar.Set, func() {
		cancel()
		bar.End()
		if ask := k.w.closeAsked; ask != nil && !bar.CanStop() {
			ask() // there is nothing left to stop
		}
	}}
}

// work is one piece of long work.
type work struct {
	post func(func())
	set  func(float64)
	end  func()
}

// Set implements session.Work; it may be called from any goroutine.
func (w work) Set(share float64) { w.post(func() { w.set(share) }) }

// End implements session.Work.
func (w work) End() { w.end() }
