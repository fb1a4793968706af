package shell

import (
	"time"

	"fyne.io/fyne/v2"
)

// settleTime is how long a frame waits for what the open page loads (our choice): about
// as long as two frames take where there is no graphics hardware, and too short to be
// felt between a key and what it does.
const settleTime = 40 * time.Millisecond

// settle lets the next frame show what the open page loads, if that is there soon: the
// page as it was before would be painted in vain.
func (w *Window) settle() {
	w.runner.Settle(w.whole, settleTime)
	if !w.whole() {
		layOut(w.win)
	}
}

// layOut lays out what has changed before the frame that shows it. Left to itself Fyne
// lays out while it paints, and a list that is laid out then asks for the same frame
// once more: each page, and each value that is saved, was painted twice.
func layOut(win fyne.Window) {
	c, ok := win.Canvas().(interface{ EnsureMinSize() bool })
	if ok && c.EnsureMinSize() {
		win.SetFixedSize(false) // it stays as it is; its least size is looked at, as Fyne does after such a frame
	}
}
