package forms_test

import (
	"context"
	"errors"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/apptest"
	"weirkeeper/app/forms"
	"weirkeeper/app/screentest"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// blank is a page with nothing on it.
type blank struct{ *fyne.Container }

func (blank) Visit(session.Route) {}
func (blank) Reload()             {}

// asking opens a form with one field whose deed answers with answer, and counts
// how often the deed runs.
func asking(t *testing.T, answer func(typed string) error) (s *screentest.Screen, form *widgets.Form, ran *int) {
	t.Helper()
	store, fixture := storagetest.Room(t)
	s = screentest.Open(t, store, fixture.Now, func(*session.Session) screentest.Page { return blank{container.NewStack()} })
	name := widgets.NewTextEntry("")
	form = widgets.NewForm(widgets.Field{Name: "name", Label: "Name", Input: name})
	ran = new(int)
	forms.Show(s.Session, forms.Ask{Title: "Add a rack", Form: form, Read: func() (session.Deed, []widgets.Fault) {
		typed := name.Text
		if typed == "" {
			return nil, []widgets.Fault{{Field: "name", Problem: "The name is missing"}}
		}
		return func(context.Context, *storage.Store) error {
			*ran++
			return answer(typed)
		}, nil
	}})
	return s, form, ran
}

func TestFormClosesWhenTheLedgerSaidYes(t *testing.T) {
	s, form, ran := asking(t, func(string) error { return nil })
	s.Press("Save")
	if !s.Asked() || form.FaultOf("name") != "The name is missing." || *ran != 0 {
		t.Fatalf("open %v, fault %q, ran %d times", s.Asked(), form.FaultOf("name"), *ran)
	}
	s.Type("F3")
	if err := apptest.PressLabel(s.Canvas(), "Save"); err != nil {
		t.Fatal(err)
	}
	if !s.Asked() || len(s.Said) != 0 {
		t.Fatalf("before the ledger has answered: open %v, said %v", s.Asked(), s.Said)
	}
	apptest.Key(t, s.Canvas(), fyne.KeyReturn) // again, before the answer
	s.Drain()
	if s.Asked() || *ran != 1 || s.LastSaid().Title != "Saved" || !strings.Contains(s.LastSaid().Text, "Add a rack") {
		t.Errorf("open %v, ran %d times, said %+v", s.Asked(), *ran, s.LastSaid())
	}
}

// What the ledger refuses is shown in the form, which stays with what was typed;
// a second press may save it.
func TestRefusedFormStays(t *testing.T) {
	for name, c := range map[string]struct {
		refusal error
		under   string // under the field
		above   string // above the form
	}{
		"a fault of the field": {tanks.Fault{Field: "name", Problem: "There is an F3 already", Remedy: "choose another"},
			"There is an F3 already: choose another.", ""},
		"no fault of a field": {errors.New("the disk is full"), "", "the disk is full"},
	} {
		t.Run(name, func(t *testing.T) {
			refuse := true
			s, form, ran := asking(t, func(string) error {
				if refuse {
					return c.refusal
				}
				return nil
			})
			s.Type("F3")
			s.Press("Save")
			typed := apptest.Find(t, apptest.Top(s.Canvas()), func(*widgets.TextEntry) bool { return true }).Text
			if !s.Asked() || typed != "F3" || form.FaultOf("name") != c.under || len(s.Said) != 0 {
				t.Fatalf("open %v, typed %q, fault %q, said %v", s.Asked(), typed, form.FaultOf("name"), s.Said)
			}
			if seen := s.Seen(); c.above != "" && !strings.Contains(seen, c.above) {
				t.Errorf("the form shows %q, not %q", seen, c.above)
			}
			refuse = false
			s.Press("Save")
			if s.Asked() || *ran != 2 {
				t.Errorf("open %v, ran %d times", s.Asked(), *ran)
			}
		})
	}
}

// Who keeps something beside a form is told when it was dropped, and not when it
// was saved.
func TestDroppedForm(t *testing.T) {
	for name, c := range map[string]struct {
		button string
		want   int
	}{"saved": {"Save", 0}, "cancelled": {"Cancel", 1}} {
		t.Run(name, func(t *testing.T) {
			store, fixture := storagetest.Room(t)
			s := screentest.Open(t, store, fixture.Now, func(*session.Session) screentest.Page { return blank{container.NewStack()} })
			dropped := 0
			forms.Show(s.Session, forms.Ask{
				Title: "Add a rack", Form: widgets.NewForm(widgets.Field{Name: "name", Label: "Name", Input: widgets.NewTextEntry("")}),
				Read: func() (session.Deed, []widgets.Fault) {
					return func(context.Context, *storage.Store) error { return nil }, nil
				},
				Dropped: func() { dropped++ },
			})
			s.Press(c.button)
			if s.Asked() || dropped != c.want {
				t.Errorf("open %v, dropped %d times", s.Asked(), dropped)
			}
		})
	}
}

// What was mended is no fault any more, and what a form is asked to do at the end it
// does in place of a notice. The button and the field that were asked for are used.
func TestFormOfOnesOwn(t *testing.T) {
	store, fixture := storagetest.Room(t)
	s := screentest.Open(t, store, fixture.Now, func(*session.Session) screentest.Page { return blank{container.NewStack()} })
	name, place := widgets.NewTextEntry("F3"), widgets.NewTextEntry("")
	form := widgets.NewForm(
		widgets.Field{Name: "name", Label: "Name", Input: name}, widgets.Field{Name: "place", Label: "Place", Input: place},
	)
	refusal, saved := errors.New("the disk is full"), 0
	forms.Show(s.Session, forms.Ask{
		Title: "Add a rack", Confirm: "Add it", Form: form, Focus: place, Saved: func() { saved++ },
		Read: func() (session.Deed, []widgets.Fault) {
			if place.Text == "" {
				return nil, []widgets.Fault{{Field: "place", Problem: "The place is missing", Remedy: "give one"}}
			}
			return func(context.Context, *storage.Store) error { return refusal }, nil
		},
	})
	s.Press("Add it")
	if got := form.FaultOf("place"); got != "The place is missing: give one." {
		t.Errorf("the fault is %q", got)
	}
	s.Type("wall") // where the keyboard is
	if place.Text != "wall" || name.Text != "F3" {
		t.Errorf("typed into name %q, place %q", name.Text, place.Text)
	}
	s.Press("Add it")
	if seen := s.Seen(); form.FaultOf("place") != "" || !strings.Contains(seen, "try again or cancel") {
		t.Errorf("the fault is %q, the form shows\n%s", form.FaultOf("place"), seen)
	}
	refusal = nil
	s.Press("Add it")
	if s.Asked() || saved != 1 || len(s.Said) != 0 {
		t.Errorf("open %v, saved %d times, said %+v", s.Asked(), saved, s.Said)
	}
}

// A form that scrolls is as high as it is, so far as the window has room.
func TestFormTakesTheRoomThereIs(t *testing.T) {
	for fields, want := range map[int]struct{ least, most float32 }{3: {90, 130}, 60: {600, 667}} { // of 900
		store, fixture := storagetest.Room(t)
		s := screentest.Open(t, store, fixture.Now, func(*session.Session) screentest.Page { return blank{container.NewStack()} })
		var all []widgets.Field
		for range fields {
			all = append(all, widgets.Field{Label: "Name", Input: widgets.NewTextEntry("")})
		}
		forms.Show(
			s.Session,
			forms.Ask{
				Title: "Add a rack",
				Form:  widgets.NewForm(all...),
				Size:  fyne.NewSize(500, 300),
				Read:  func() (session.Deed, []widgets.Fault) { return nil, nil },
			},
		)
		scroll := apptest.Find(t, apptest.Top(s.Canvas()), func(*widgets.Scrolled) bool { return true })
		if got := scroll.MinSize().Height; got < want.least || got > want.most {
			t.Errorf("%d fields are %g high", fields, got)
		}
	}
}
