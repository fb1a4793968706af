package shell

import (
	"context"
	"errors"

	"fyne.io/fyne/v2"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/assets/words"
	"weirkeeper/storage"
)

// editor is a field that can take back what was typed into it.
type editor interface {
	fyne.Focusable
	Undo()
	Redo()
}

// gridEditor is a grid, or a page with one, that can take back its edits as long
// as there are any.
type gridEditor interface {
	UndoEdit() bool
	RedoEdit() bool
}

// undo takes back what was typed into the field that has the keyboard, else the
// last action of the person.
func (w *Window) undo() {
	switch e := w.win.Canvas().Focused().(type) {
	case editor:
		e.Undo()
		return
	case gridEditor:
		if e.UndoEdit() {
			return
		}
	}
	if page, ok := w.pages[w.now].(gridEditor); ok && page.UndoEdit() {
		return
	}
	w.turn(say.L("Taking back"), (*storage.Store).Undo, func(doing words.Text) {
		if page, ok := w.pages[w.now].(Undoer); ok {
			page.Undone(doing)
		}
	})
}

// redo puts back what undo took back.
func (w *Window) redo() {
	switch e := w.win.Canvas().Focused().(type) {
	case editor:
		e.Redo()
		return
	case gridEditor:
		if e.RedoEdit() {
			return
		}
	}
	if page, ok := w.pages[w.now].(gridEditor); ok && page.RedoEdit() {
		return
	}
	w.turn(say.L("Putting back"), (*storage.Store).Redo, nil)
}

// readUndo shows what can be taken back of what the person did.
func (w *Window) readUndo() {
	frame, person := w.frame, w.session.Person
	var undo, redo words.Text
	w.session.Act(say.L("Reading what can be taken back"), func(ctx context.Context, store *storage.Store) (err error) {
		undo, redo, err = store.Undoable(ctx, person)
		return err
	}, func() { frame.showUndo(undo, redo) })
}

func (w *Window) turn(title string, turn func(*storage.Store, context.Context, string) (words.Text, error), then func(doing words.Text)) {
	if !w.commit() {
		return
	}
	s := w.session
	person := s.Person
	var doing words.Text
	s.Try(func(ctx context.Context, store *storage.Store) (err error) {
		doing, err = turn(store, ctx, person)
		return err
	}, func(err error) {
		switch {
		case errors.Is(err, storage.ErrNothingToUndo):
			s.Say(session.Notice{Title: say.F("%s: nothing is left", title),
				Text: say.L("Your last 100 actions on this computer can be taken back and put back, the last one first.")})
		case errors.Is(err, storage.ErrReadOnly):
			s.NotDone(title, err)
		case err != nil:
			s.Say(session.Notice{Title: say.F("%s: not done", title), Text: say.F("%s\nThe ledger is as it was.", say.Of(err)), Bad: true})
		default:
			if then != nil {
				then(doing)
			}
			s.Say(
				session.Notice{
					Title: say.F("%s: %s", title, doing),
					Text:  say.L("It is done. The ledger's account of what was done says so."),
				},
			)
		}
	})
}
