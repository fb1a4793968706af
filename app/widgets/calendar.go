package widgets

import (
	"fmt"
	"image/color"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
)

// firstDay is the day that weeks begin with.
var firstDay = time.Monday

// BeginWeeksOn says with which day weeks begin in every calendar.
func BeginWeeksOn(day time.Weekday) { firstDay = day }

// Calendar shows a month to choose a day from. Arrows move by days and weeks,
// Page Up and Down by months, Home goes to today, Enter chooses. Fyne's own
// takes no keys and no first day of the week.
type Calendar struct {
	widget.BaseWidget
	OnChosen func(day time.Time)
	OnLeft   func() // Esc

	day, today time.Time
	focused    bool
	title      *canvas.Text
	texts      []*canvas.Text // names of the days, then the days
	backs      []*canvas.Rectangle
	rings      []*canvas.Rectangle
}

var (
	_ fyne.Focusable = (*Calendar)(nil)
	_ fyne.Tappable  = (*Calendar)(nil)
)

const (
	calendarDays = 7
	calendarRows = 6
)

// NewCalendar returns the month of a day, in the day's zone.
func NewCalendar(day, today time.Time, chosen func(time.Time)) *Calendar {
	c := &Calendar{
		OnChosen: chosen,
		day:      midnight(day),
		today:    midnight(today.In(day.Location())),
		title:    canvas.NewText("", color.Transparent),
	}
	c.title.TextStyle.Bold, c.title.Alignment = true, fyne.TextAlignCenter
	for range calendarDays * (calendarRows + 1) {
		t := canvas.NewText("", color.Transparent)
		t.Alignment = fyne.TextAlignCenter
		c.texts = append(c.texts, t)
	}
	for range calendarDays * calendarRows {
		back, ring := canvas.NewRectangle(color.Transparent), canvas.NewRectangle(color.Transparent)
		back.CornerRadius, ring.CornerRadius, ring.StrokeWidth = look.Radius, look.Radius, 2
		c.backs, c.rings = append(c.backs, back), append(c.rings, ring)
	}
	c.ExtendBaseWidget(c)
	c.restyle()
	return c
}

// first is the day in the upper left corner.
func (c *Calendar) first() time.Time {
	y, m, _ := c.day.Date()
	start := time.Date(y, m, 1, 0, 0, 0, 0, c.day.Location())
	return start.AddDate(0, 0, -(int(start.Weekday()-firstDay)+7)%7)
}

func (c *Calendar) restyle() {
	c.title.Text, c.title.Color, c.title.TextSize = fmt.Sprintf(
		"%s %d",
		say.Month(c.day.Month(), false),
		c.day.Year(),
	), look.Color(
		look.Text,
	), look.TextSize()
	day := c.first()
	for i, t := range c.texts {
		t.TextSize = look.TextSize()
		if i < calendarDays {
			t.Text, t.Color, t.TextSize = say.Weekday((firstDay+time.Weekday(i))%7, true), look.Color(look.Secondary), look.SmallText()
			continue
		}
		n := i - calendarDays
		t.Text, t.Color = fmt.Sprint(day.Day()), look.Color(look.Text)
		if day.Month() != c.day.Month() {
			t.Color = look.Color(look.Secondary)
		}
		t.TextStyle.Bold = day.Equal(c.today)
		c.backs[n].FillColor, c.rings[n].StrokeColor = color.Transparent, color.Transparent
		if day.Equal(c.day) {
			c.backs[n].FillColor = look.Color(look.AccentSoft)
			if c.focused {
				c.rings[n].StrokeColor = look.Color(look.Accent)
			}
		}
		day = day.AddDate(0, 0, 1)
	}
}

// Refresh draws the calendar as it is now.
func (c *Calendar) Refresh() {
	c.restyle()
	c.BaseWidget.Refresh()
}

// CreateRenderer implements fyne.Widget.
func (c *Calendar) CreateRenderer() fyne.WidgetRenderer {
	box, _ := newHandPlaced()
	for i := range c.backs {
		box.Add(c.backs[i])
		box.Add(c.rings[i])
	}
	for _, t := range c.texts {
		box.Add(t)
	}
	box.Add(c.title)
	return &calendarRenderer{c, box}
}

type calendarRenderer struct {
	c   *Calendar
	box *fyne.Container
}

func (r *calendarRenderer) cell() fyne.Size {
	width := fyne.MeasureText("00", look.TextSize(), fyne.TextStyle{Bold: true}).Width
	for i := range calendarDays {
		width = max(width, fyne.MeasureText(say.Weekday(time.Weekday(i), true), look.SmallText(), fyne.TextStyle{}).Width)
	}
	return fyne.NewSize(width+12, look.FieldHeight())
}

func (r *calendarRenderer) MinSize() fyne.Size {
	cell := r.cell()
	return fyne.NewSize(calendarDays*cell.Width, (calendarRows+2)*cell.Height)
}

func (r *calendarRenderer) Layout(size fyne.Size) {
	w, h := size.Width/calendarDays, size.Height/(calendarRows+2)
	line := lineHeight(look.TextSize())
	r.c.title.Move(fyne.NewPos(0, (h-line)/2))
	r.c.title.Resize(fyne.NewSize(size.Width, line))
	for i, t := range r.c.texts {
		x, y := float32(i%calendarDays)*w, float32(i/calendarDays+1)*h
		t.Move(fyne.NewPos(x, y+(h-line)/2))
		t.Resize(fyne.NewSize(w, line))
		if n := i - calendarDays; n >= 0 {
			for _, o := range []fyne.CanvasObject{r.c.backs[n], r.c.rings[n]} {
				o.Move(fyne.NewPos(x+1, y+1))
				o.Resize(fyne.NewSize(w-2, h-2))
			}
		}
	}
	r.box.Resize(size)
}

func (r *calendarRenderer) Refresh() {
	r.Layout(r.c.Size())
	canvas.Refresh(r.c)
}

func (r *calendarRenderer) Objects() []fyne.CanvasObject { return []fyne.CanvasObject{r.box} }

func (r *calendarRenderer) Destroy() {}

// FocusGained shows the focus.
func (c *Calendar) FocusGained() { c.focused = true; c.Refresh() }

// FocusLost hides it.
func (c *Calendar) FocusLost() { c.focused = false; c.Refresh() }

// TypedRune is for text; a calendar takes none.
func (c *Calendar) TypedRune(rune) {}

// TypedKey moves and chooses.
func (c *Calendar) TypedKey(e *fyne.KeyEvent) {
	switch e.Name {
	case fyne.KeyLeft:
		c.moveTo(c.day.AddDate(0, 0, -1))
	case fyne.KeyRight:
		c.moveTo(c.day.AddDate(0, 0, 1))
	case fyne.KeyUp:
		c.moveTo(c.day.AddDate(0, 0, -7))
	case fyne.KeyDown:
		c.moveTo(c.day.AddDate(0, 0, 7))
	case fyne.KeyPageUp:
		c.moveTo(months(c.day, -1))
	case fyne.KeyPageDown:
		c.moveTo(months(c.day, 1))
	case fyne.KeyHome:
		c.moveTo(c.today)
	case fyne.KeyReturn, fyne.KeyEnter, fyne.KeySpace:
		c.choose(c.day)
	case fyne.KeyEscape:
		if c.OnLeft != nil {
			c.OnLeft()
		}
	}
}

// months moves by months, to the last day where a month is shorter.
func months(day time.Time, by int) time.Time {
	y, m, d := day.Date()
	last := time.Date(y, m+time.Month(by)+1, 0, 0, 0, 0, 0, day.Location()).Day()
	return time.Date(y, m+time.Month(by), min(d, last), 0, 0, 0, 0, day.Location())
}

func (c *Calendar) moveTo(day time.Time) {
	c.day = day
	c.Refresh()
}

func (c *Calendar) choose(day time.Time) {
	c.moveTo(day)
	if c.OnChosen != nil {
		c.OnChosen(day)
	}
}

// Tapped chooses the day under the pointer.
func (c *Calendar) Tapped(e *fyne.PointEvent) {
	size := c.Size()
	col, row := int(e.Position.X/(size.Width/calendarDays)), int(e.Position.Y/(size.Height/(calendarRows+2)))-2
	if row >= 0 && row < calendarRows && col >= 0 && col < calendarDays {
		c.choose(c.first().AddDate(0, 0, row*calendarDays+col))
	}
}

// showCalendar opens a calendar under a field, which gets the keyboard back.
func showCalendar(on fyne.Canvas, field fyne.CanvasObject, day, today time.Time, chosen func(time.Time)) {
	var popup *widget.PopUp
	leave := func() {
		popup.Hide()
		if f, ok := field.(fyne.Focusable); ok {
			on.Focus(f)
		}
	}
	calendar := NewCalendar(day, today, func(day time.Time) {
		chosen(day)
		leave()
	})
	calendar.OnLeft = leave
	step := func(by int) func() {
		return func() {
			calendar.moveTo(months(calendar.day, by))
			on.Focus(calendar)
		}
	}
	buttons := container.NewGridWithColumns(2, NewSecondary(say.L("Month before"), step(-1)), NewSecondary(say.L("Next month"), step(1)))
	popup = widget.NewPopUp(container.NewPadded(container.NewVBox(calendar, buttons)), on)
	showBeside(popup, field)
	on.Focus(calendar)
}
