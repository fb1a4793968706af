package session

import (
	"sync"
	"time"
)

// restAfter is how long nothing must have been under way before the program is at
// rest (our choice): longer than from key to key, shorter than a look at another
// program.
const restAfter = 3 * time.Second

// rest knows when the work has been over for a while. The zero value is ready.
type rest struct {
	mutex   sync.Mutex
	working int
	timer   *time.Timer
}

// begin tells that work begins.
func (r *rest) begin() {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	r.working++
	if r.timer != nil {
		r.timer.Stop()
	}
}

// end tells that work has ended; then is called once nothing was under way for
// restAfter.
func (r *rest) end(then func()) {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	r.working--
	if r.working == 0 {
		r.timer = time.AfterFunc(restAfter, then)
	}
}
