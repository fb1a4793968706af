package widgets

import (
	"image/color"
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
)

// choiceList is the open list with its search.
type choiceList struct {
	choice *ChoiceField
	canvas fyne.Canvas
	popup  *widget.PopUp
	search *searchEntry
	table  *Table
}

// searchEntry gives the moving keys to the list under it.
type searchEntry struct {
	widget.Entry
	list *choiceList
}

// TypedKey implements fyne.Focusable.
func (e *searchEntry) TypedKey(key *fyne.KeyEvent) {
	switch key.Name {
	case fyne.KeyUp, fyne.KeyDown, fyne.KeyPageUp, fyne.KeyPageDown:
		e.list.table.TypedKey(key)
	case fyne.KeyReturn, fyne.KeyEnter:
		if id, ok := e.list.table.Current(); ok {
			e.list.take(id)
		}
	case fyne.KeyEscape:
		e.list.close()
	default:
		e.Entry.TypedKey(key)
	}
}

func newChoiceList(c *ChoiceField, on fyne.Canvas) *choiceList {
	l := &choiceList{choice: c, canvas: on}
	l.search = &searchEntry{list: l}
	l.search.ExtendBaseWidget(l.search)
	l.search.SetPlaceHolder(say.L("Type a part of the name"))
	l.search.OnChanged = func(string) { l.filter() }
	l.table = NewTable([]Column{{Weight: 1}})
	l.table.NoHead = true
	l.table.OnOpen = l.take
	l.filter()
	if c.chosen >= 0 {
		l.table.SetCurrent(c.chosen)
	}
	return l
}

// filter shows the options that contain what is typed, those that begin with
// it first.
func (l *choiceList) filter() {
	part := strings.ToLower(strings.TrimSpace(l.search.Text))
	var first, later []Row
	for i, option := range l.choice.rows {
		row := Row{ID: i, Cells: []Cell{{Text: option.name, Side: option.detail}}}
		switch name := strings.ToLower(option.name + " " + option.detail); {
		case strings.HasPrefix(name, part):
			first = append(first, row)
		case strings.Contains(name, part):
			later = append(later, row)
		}
	}
	rows := append(first, later...)
	if typed := strings.TrimSpace(l.search.Text); l.choice.free && !slices.Contains(l.choice.Names(), typed) {
		what := say.F("take %q", typed)
		if typed == "" {
			what = say.L("leave it empty")
		}
		rows = append([]Row{{ID: typedOption, Cells: []Cell{{Text: what, Quiet: true}}}}, rows...)
	}
	l.table.SetRows(rows)
	if part != "" && len(l.table.rows) > 0 {
		l.table.moveTo(0)
	}
}

func (l *choiceList) show(typed string) {
	const most = 10
	size := fyne.NewSize(
		max(l.choice.Size().Width, 240),
		float32(min(max(len(l.choice.rows), 1), most))*look.RowHeight()+look.FieldHeight()+20,
	)
	at, size := besideField(fyne.CurrentApp().Driver().AbsolutePositionForObject(l.choice.self), l.choice.Size(), size, l.canvas.Size())
	under := canvas.NewRectangle(color.Transparent)
	under.SetMinSize(size)
	under.StrokeWidth, under.StrokeColor = 1, look.Color(look.Axis)
	content := container.NewStack(
		under,
		container.New(layout.NewCustomPaddedLayout(3, 3, 3, 3), container.NewBorder(l.search, nil, nil, nil, l.table)),
	)
	l.popup = widget.NewPopUp(content, l.canvas)
	l.popup.ShowAtPosition(at)
	l.canvas.Focus(l.search)
	for _, r := range typed {
		l.search.TypedRune(r)
	}
	if l.choice.chosen >= 0 && typed == "" {
		l.table.SetCurrent(l.choice.chosen)
	}
}

func (l *choiceList) close() {
	l.popup.Hide()
	l.canvas.Focus(l.choice.self)
}

// typedOption is the row of what is typed.
const typedOption = -1

func (l *choiceList) take(i int) {
	l.close()
	if i == typedOption {
		l.choice.take(strings.TrimSpace(l.search.Text))
		return
	}
	l.choice.choose(i)
}
