package apptest

import (
	"fmt"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
)

// Each calls see for root and everything shown in it, outermost first.
func Each(root fyne.CanvasObject, see func(fyne.CanvasObject)) {
	if root == nil || !root.Visible() {
		return
	}
	see(root)
	switch o := root.(type) {
	case *fyne.Container:
		for _, child := range o.Objects {
			Each(child, see)
		}
	case fyne.Widget:
		for _, child := range test.WidgetRenderer(o).Objects() {
			Each(child, see)
		}
	}
}

// Find returns the first object of type T in root that matches; the test fails
// when there is none.
func Find[T fyne.CanvasObject](t testing.TB, root fyne.CanvasObject, match func(T) bool) T {
	t.Helper()
	var found T
	ok := false
	Each(root, func(o fyne.CanvasObject) {
		if one, is := o.(T); is && !ok && match(one) {
			found, ok = one, true
		}
	})
	if !ok {
		t.Fatalf("there is no such %T on the screen", found)
	}
	return found
}

// Top returns what is in front: the newest dialog, else the window's content.
func Top(c fyne.Canvas) fyne.CanvasObject {
	if o := c.Overlays().Top(); o != nil {
		return o
	}
	return c.Content()
}

// labelled is a button with words on it.
type labelled interface {
	fyne.Tappable
	Label() string
}

// PressLabel presses the button with that label on what is in front.
func PressLabel(c fyne.Canvas, label string) error {
	var button labelled
	Each(Top(c), func(o fyne.CanvasObject) {
		if b, ok := o.(labelled); ok && b.Label() == label && button == nil {
			button = b
		}
	})
	if button == nil {
		return fmt.Errorf("there is no button %q on the screen", label)
	}
	button.Tapped(&fyne.PointEvent{})
	return nil
}
