package session

import (
	"errors"
	"testing"

	"fyne.io/fyne/v2/test"

	"weirkeeper/storage/storagetest"
)

// drafting is a draft whose writes wait until they are released.
func drafting(t *testing.T) (d *Draft, l *late, text *string, said *[]Notice) {
	t.Helper()
	test.NewTempApp(t)
	store, _ := storagetest.Room(t)
	l, text, said = &late{}, new(string), &[]Notice{}
	s := &Session{Store: store, Runner: l, Say: func(n Notice) { *said = append(*said, n) }}
	return NewDraft(s, "a form", "Keeping the form", func() ([]byte, error) {
		if *text == "bad" {
			return nil, errors.New("the disk is full")
		}
		return []byte(*text), nil
	}), l, text, said
}

// release ends the oldest write that waits.
func (l *late) release() {
	next := l.waiting[0]
	l.waiting = l.waiting[1:]
	next()
}

func kept(t *testing.T, d *Draft) string {
	t.Helper()
	data, err := d.session.Store.Draft(t.Context(), "a form")
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// While one write is under way the keys gather, and the next one writes the
// newest text.
func TestDraftWritesTheNewest(t *testing.T) {
	d, l, text, _ := drafting(t)
	for _, *text = range []string{"4", "42", "421"} {
		d.Keep()
	}
	if len(l.waiting) != 1 {
		t.Fatalf("%d writes are under way", len(l.waiting))
	}
	l.release()
	if got := kept(t, d); got != "4" || len(l.waiting) != 1 {
		t.Fatalf("kept %q, %d writes wait", got, len(l.waiting))
	}
	l.release()
	if got := kept(t, d); got != "421" || len(l.waiting) != 0 {
		t.Errorf("kept %q, %d writes wait", got, len(l.waiting))
	}
}

// Flush hands over what is newer than the write under way, once.
func TestDraftFlush(t *testing.T) {
	d, l, text, _ := drafting(t)
	*text = "4"
	d.Keep()
	d.Flush()
	if len(l.waiting) != 1 {
		t.Fatalf("%d writes for one text", len(l.waiting))
	}
	*text = "42"
	d.Keep()
	d.Flush()
	if len(l.waiting) != 2 {
		t.Fatalf("%d writes wait after what is newer was handed over", len(l.waiting))
	}
	l.release()
	l.release()
	if got := kept(t, d); got != "42" || len(l.waiting) != 0 {
		t.Errorf("kept %q, %d writes wait", got, len(l.waiting))
	}
}

// What cannot be kept is said once, and again after it could.
func TestDraftThatCannotBeKept(t *testing.T) {
	d, l, text, said := drafting(t)
	for _, *text = range []string{"bad", "bad", "4", "bad"} {
		d.Keep()
		for len(l.waiting) > 0 {
			l.release()
		}
	}
	if len(*said) != 2 || (*said)[0].Title != "Keeping the form: not done" {
		t.Errorf("said %+v", *said)
	}
}

// What was read of a draft is old when something was kept since, or was on its
// way then.
func TestDraftReading(t *testing.T) {
	d, l, text, _ := drafting(t)
	*text = "4"
	still := d.Reading()
	if !still() {
		t.Error("nothing was kept, and it is old")
	}
	d.Keep()
	during := d.Reading()
	l.release()
	after := d.Reading()
	if still() || during() || !after() {
		t.Errorf("newest: before %v, during %v, after %v", still(), during(), after())
	}
	since := d.Since()
	if since() {
		t.Error("nothing was kept since")
	}
	d.Outdate()
	if !since() {
		t.Error("something happened since")
	}
	if after() {
		t.Error("it was saved since, and is the newest")
	}
}
