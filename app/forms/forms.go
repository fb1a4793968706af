// Package forms is the one way in which the screens ask and save: a form stays
// open, with all that was typed, until the ledger has said yes.
package forms

import (
	"fyne.io/fyne/v2"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
)

// Ask is a form that saves.
type Ask struct {
	Title string
	// Confirm labels the main button; empty: Save.
	Confirm string
	Form    *widgets.Form
	// Content is what the dialog shows; nil: the form, which scrolls where it is
	// higher than Size.
	Content fyne.CanvasObject
	// Focus has the keyboard first; nil: the form's first field.
	Focus fyne.Focusable
	// Size of the content; a width of zero is 480. With a height the form scrolls
	// where the window has no room for all of it.
	Size fyne.Size
	// Read takes what was typed: the deed that saves it, or what is wrong with it.
	Read func() (session.Deed, []widgets.Fault)
	// Saved runs when the ledger has said yes and the form is closed; nil: a notice
	// says that it is saved.
	Saved func()
	// Dropped runs when the form was closed without being saved; nil: nothing does.
	Dropped func()
}

const usualWidth = 480

// Show opens the form. Its main button runs what Read returns; the form closes
// when that is done. What is refused is shown at its field, or above the form when
// it belongs to none. While a deed is under way the button does nothing, so that a
// second press does not save twice. The returned function closes the form.
func Show(s *session.Session, a Ask) (closeForm func()) {
	content := a.Content
	width := a.Size.Width
	if width == 0 {
		width = usualWidth
	}
	if content == nil {
		content = a.Form
		if a.Size.Height > 0 {
			scroll := widgets.NewScrolled(a.Form)
			scroll.SetMinSize(fyne.NewSize(a.Size.Width, heightOf(a.Form, width, s.Window.Canvas().Size().Height)))
			content = scroll
		}
	}
	confirm, focus := a.Confirm, a.Focus
	if confirm == "" {
		confirm = say.L("Save")
	}
	if focus == nil {
		focus = a.Form.First()
	}
	saving, saved := false, false
	closeForm = widgets.ShowDialog(
		s.Window,
		widgets.Dialog{Title: a.Title, Content: content, Confirm: confirm, Focus: focus, Width: width, OnClosed: func() {
			if !saved && a.Dropped != nil {
				a.Dropped()
			}
		}, OnConfirm: func() bool {
			if saving {
				return false
			}
			deed, faults := a.Read()
			a.Form.ShowFaults(faults)
			if len(faults) > 0 || deed == nil {
				return false
			}
			saving = true
			s.Try(deed, func(err error) {
				saving = false
				if err != nil {
					a.Form.ShowFaults(refusal(a.Title, err))
					return
				}
				saved = true
				closeForm()
				a.saved(s)
			})
			return false
		}},
	)
	return closeForm
}

// windowShare is the part of the window's height that a form takes at the most;
// the rest is for the dialog's title and buttons, and for seeing what is behind.
const windowShare = 0.74

// heightOf is how high a form is at its width, so far as the window has room.
func heightOf(form *widgets.Form, width, window float32) float32 {
	form.Resize(fyne.NewSize(width, form.MinSize().Height)) // paragraphs know their height only at a width
	return min(form.MinSize().Height, window*windowShare)
}

func (a Ask) saved(s *session.Session) {
	if a.Saved != nil {
		a.Saved()
		return
	}
	s.Say(session.Notice{Title: say.L("Saved"), Text: say.F("%s: it is in the ledger.", a.Title)})
}

// refusal says at its field why the ledger refused; what belongs to no field says
// what was being done.
func refusal(title string, err error) []widgets.Fault {
	if faults := Faults(err); len(faults) > 0 {
		return faults
	}
	return []widgets.Fault{
		{Problem: say.F("%s: not saved. %s", title, say.Of(err)), Remedy: say.L("what you typed is still here; try again or cancel")},
	}
}
