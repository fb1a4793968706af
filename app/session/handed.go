package session

import (
	"sync"
	"time"
)

// handed is what work hands back to the window's goroutine, in order. The zero value
// is ready.
type handed struct {
	mutex sync.Mutex
	waits []func()
	more  chan struct{} // told when another one waits, while somebody waits for it
}

func (h *handed) add(do func()) {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	h.waits = append(h.waits, do)
	select {
	case h.more <- struct{}{}:
	default:
	}
}

// doNext does what has waited longest; false: nothing waits. Called on the window's
// goroutine.
func (h *handed) doNext() bool {
	h.mutex.Lock()
	if len(h.waits) == 0 {
		h.mutex.Unlock()
		return false
	}
	do := h.waits[0]
	h.waits = h.waits[1:]
	h.mutex.Unlock()
	do()
	return true
}

// wait returns the channel that tells of more.
func (h *handed) wait() <-chan struct{} {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	if h.more == nil {
		h.more = make(chan struct{}, 1)
	}
	return h.more
}

// Settle does what work hands back, on the caller's goroutine, which is the window's,
// until enough says that it is enough, or for so long: what is seen soon is then
// painted once, where a frame before it would take longer than the work.
func (b *Background) Settle(enough func() bool, most time.Duration) {
	late := time.NewTimer(most)
	defer late.Stop()
	more := b.handed.wait()
	for !enough() {
		if b.handed.doNext() {
			continue
		}
		select {
		case <-more:
		case <-late.C:
			return
		}
	}
}

// Settle does nothing: Drain does all of it.
func (d *Drained) Settle(func() bool, time.Duration) {}
