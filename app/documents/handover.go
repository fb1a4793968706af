package documents

import (
	"context"
	"io"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"weirkeeper/app/chart"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// Charts on  two a page, drawn at chartPoints wide.
const (
	chartPoints  = 640.0
	chartHeight  = 300.0
	chartOnPaper = bodyWidth / chartPoints // mm a point
)

// WriteHandover writes the history as a PDF with the CSV attached inside; the same
// history gives the same bytes.
//
// progress is told after each part which share of them is done; when ctx ends
// between two parts, nothing is written.
func WriteHandover(ctx context.Context, out io.Writer, h History, csv []byte, progress func(float64)) error {
	foot := words.T("%s, %s", h.Room.Name, h.System.Label())
	if h.Room.Demo {
		foot = words.T("%s, invented demonstration data", foot)
	}
	s := newSheet(words.T("Handover of %s", h.System.Label()), foot, h.Made.UTC(), h.language(), h.Fonts)
	parts := []func(History) error{
		plain(s.cover), s.charts, plain(s.overview), plain(s.readings), plain(s.additions), plain(s.changes), plain(s.notes),
		plain(s.amendments),
	}
	for n, part := range parts {
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := part(h); err != nil {
			return err
		}
		progress(float64(n+1) / float64(len(parts)))
	}
	if csv != nil {
		s.pdf.SetAttachments([]fpdf.Attachment{{Content: csv, Filename: pdfText(fileName(h.System.Code) + ".csv"),
			Description: pdfText(s.say("Everything in this document as a table"))}})
	}
	return s.write(out)
}

// plain is a part that cannot fail.
func plain(part func(History)) func(History) error {
	return func(h History) error {
		part(h)
		return nil
	}
}

// day and minute are times as the document shows them.
func (h History) day(t time.Time) words.Text    { return words.T("%s", t.In(h.zone())) }
func (h History) minute(t time.Time) words.Text { return words.T("%s", words.Moment(t.In(h.zone()))) }

func (s *sheet) cover(h History) {
	s.addPage()
	s.bookmark(s.say("Cover"), 0)
	s.y += 22
	s.shortAt(margin, s.y, 24, true, h.System.Code+"  "+h.System.Name, bodyWidth)
	s.y += 9
	s.shortAt(margin, s.y, 12, false, s.say(words.T("History of a %s system of %s", h.System.Kind, h.Room.Name)), bodyWidth)
	s.y += 7
	s.textAt(margin, s.y, 12, false, s.say(words.T("%s to %s", h.day(h.From), h.day(h.To))))
	s.y += 8
	if h.Room.Demo {
		s.paragraph("This is invented demonstration data. No such room, person or animal exists.", 11)
	}
	volume := words.Text("not known")
	if v := h.System.NetVolume(); v.Known() {
		volume = words.T("%s (standard uncertainty), %s", h.Volume.VolumeWithin(v.Litres, v.Uncertainty), v.How)
	}
	s.y += 2
	for _, line := range [][2]words.Text{
		{"Net volume", volume},
		{"In use since", h.day(h.System.Opened)},
		{"Readings", words.T("%d", len(h.Readings))},
		{"Additions", words.T("%d", len(h.Additions))},
		{"Water changes", words.T("%d", len(h.Changes))},
		{"Notes", words.T("%d", len(h.Observations))},
		{"Lab samples", words.T("%d", len(h.Samples))},
		{"Written", words.T("%s %s", h.minute(h.Made), h.Made.In(h.zone()).Format("MST"))},
	} {
		s.y += 6
		s.textAt(margin, s.y, 10, true, s.say(line[0]))
		s.shortAt(margin+45, s.y, 10, false, s.say(line[1]), bodyWidth-45)
	}
	s.y += 8
	s.paragraph(h.honesty(), 10)
	s.paragraph("Values are as read, with the uncertainty that their method states. Bands are this room's own choice and may not suit "+
		"other animals. "+
		"Whoever takes the system over should test the water again, follow the labels of what is dosed, and ask a veterinarian about "+
		"medication.", 10)
}

// charts draws the figures, two a page, each under a sentence of its result.
func (s *sheet) charts(h History) error {
	for i, f := range h.Figures {
		if i == 0 {
			s.addPage()
			s.heading("Trends", 0)
		}
		tall := chartHeight*chartOnPaper + 14
		s.need(tall)
		name := words.Text("")
		if len(f.Panels) > 0 {
			name = f.Panels[0].Name
		}
		s.heading(name, 1)
		s.paragraph(h.sentence(f), 9)
		f.Title, f.Subtitle, f.Fonts = "", "", s.fonts
		c := newCanvas(s.pdf, margin, s.y+chartHeight*chartOnPaper, chartOnPaper)
		if err := chart.DrawOn(c, f, chart.Print, chartPoints, chartHeight); err != nil {
			return words.Errorf("drawing %s for the PDF: %w", name, err)
		}
		s.pdf.SetDashPattern(nil, 0)
		s.pdf.SetTextColor(0x1C, 0x25, 0x30)
		s.y += chartHeight*chartOnPaper + 4
	}
	return nil
}

// sentence says a figure's result in words.
func (h History) sentence(f chart.Figure) words.Text {
	if len(f.Panels) == 0 || len(f.Panels[0].Points) == 0 {
		return "No reading in this period."
	}
	p := f.Panels[0]
	inside, exact := 0, 0
	for _, pt := range p.Points {
		if pt.Limit == chart.LimitNone {
			exact++
			if pt.State == chart.StateWithin {
				inside++
			}
		}
	}
	text := words.N(len(p.Points), "%d reading", "%d readings")
	if p.Band != nil && exact > 0 {
		text = words.T("%s, %d of %d exact ones most probably within the band of %.*f to %.*f %s", text, inside, exact, p.Decimals,
			p.Band.Low, p.Decimals, p.Band.High, p.Unit)
	}
	if p.Verdict != "" {
		text = words.T("%s; the newest: %s", text, p.Verdict)
	}
	return words.T("%s.", text)
}

func (s *sheet) overview(h History) {
	s.addPage()
	s.heading("Overview", 0)
	columns := []column{{"Analyte", 38, false}, {"Unit", 22, false}, {"Readings", 16, true}, {"Lowest", 20, true}, {"Mean", 20, true},
		{"Highest", 20, true}, {"Newest", 16, true}, {"on", 22, true}}
	var rows [][]words.Text
	for _, v := range h.summaries() {
		var low, mean, high words.Text
		if v.count > v.bounds {
			at := v.latest.At
			low, mean, high = h.value(v.analyte, v.least, at), h.value(v.analyte, v.mean, at), h.value(v.analyte, v.most, at)
		}
		rows = append(rows, []words.Text{
			v.analyte.Words(), words.Text(h.unit(v.analyte)), words.T("%d", v.count), low, mean, high,
			words.T("%s%s", sign(v.latest.Limit), h.value(v.analyte, v.latest.Value, v.latest.At)), h.day(v.latest.At),
		})
	}
	s.table(columns, rows)
}

func (s *sheet) readings(h History) {
	s.heading("Readings", 0)
	if len(h.Readings) == 0 {
		s.paragraph("None in this period.", 10)
		return
	}
	amended := h.amended()
	columns := []column{{"When", 30, false}, {"Analyte", 32, false}, {"Value", 20, true}, {"Unit", 22, false}, {"Method", 38, false},
		{"By", 10, false}, {"Remark", 22, false}}
	rows := make([][]words.Text, 0, len(h.Readings))
	for _, r := range h.Readings {
		remark := words.Text(r.Note)
		if st := status(r.Status, len(amended[int64(r.ID)]) > 0); st != "live" {
			remark = both(words.Text(st), remark)
		}
		rows = append(rows, []words.Text{
			h.minute(r.At), r.Analyte.Words(), words.T("%s%s", sign(r.Limit),
				h.value(r.Analyte, r.Value, r.At)), words.Text(h.unit(r.Analyte)),
			words.Text(h.Methods[r.Method].Name), words.Text(r.Person), remark,
		})
	}
	s.table(columns, rows)
}

func (s *sheet) additions(h History) {
	s.heading("Additions", 0)
	if len(h.Additions) == 0 {
		s.paragraph("None in this period.", 10)
		return
	}
	columns := []column{{"When", 30, false}, {"Product", 38, false}, {"Amount", 20, true}, {"By", 14, false},
		{"Change and remark", 72, false}}
	rows := make([][]words.Text, 0, len(h.Additions))
	for _, a := range h.Additions {
		p := h.Products[a.Product]
		remark := both(h.changesList(a.Changes, a.At), words.Text(a.Note))
		if a.Status == tanks.Withdrawn {
			remark = both("withdrawn", remark)
		}
		rows = append(rows, []words.Text{h.minute(a.At), words.Text(p.Name), words.T("%.4g %s", a.Amount, p.Unit()), words.Text(a.Person),
			remark})
	}
	s.table(columns, rows)
}

func (s *sheet) changes(h History) {
	s.heading("Water changes", 0)
	if len(h.Changes) == 0 {
		s.paragraph("None in this period.", 10)
		return
	}
	columns := []column{{"When", 30, false}, {"Volume", 18, true}, {"Share", 18, true}, {"By", 14, false},
		{"New water and remark", 94, false}}
	rows := make([][]words.Text, 0, len(h.Changes))
	for _, w := range h.Changes {
		remark := both(h.water(w.Water, w.At), words.Text(w.Note))
		if w.Status == tanks.Withdrawn {
			remark = both("withdrawn", remark)
		}
		rows = append(rows, []words.Text{h.minute(w.At), h.Volume.Volume(w.Litres, 0), words.T("%.0f %%", w.Share*100),
			words.Text(w.Person), remark})
	}
	s.table(columns, rows)
}

// water writes the new water's main levels.
func (h History) water(levels []tanks.Level, at time.Time) words.Text {
	text := words.Text("")
	for _, l := range levels {
		switch l.Analyte {
		case chem.Salinity, chem.Alkalinity, chem.Calcium, chem.Magnesium, chem.Nitrate, chem.Hardness:
			info, _ := chem.Lookup(l.Analyte)
			text = both(text, words.T("%s %s", info.Symbol, h.value(l.Analyte, l.Value, at)))
		}
	}
	return text
}

func (s *sheet) notes(h History) {
	s.heading("Notes", 0)
	if len(h.Observations) == 0 {
		s.paragraph("None in this period.", 10)
		return
	}
	for _, o := range h.Observations {
		text := h.minute(o.At)
		if o.Person != "" {
			text = words.T("%s, %s", text, o.Person)
		}
		if o.Status == tanks.Withdrawn {
			text = words.T("%s (withdrawn)", text)
		}
		s.paragraph(words.T("%s: %s", text, o.Text), 9)
	}
}

func (s *sheet) amendments(h History) {
	s.heading("Corrected and withdrawn entries", 0)
	if len(h.Amendments) == 0 {
		s.paragraph("None.", 10)
		return
	}
	for _, a := range h.Amendments {
		text := words.T("%s, %s", h.minute(a.At), amendedEntry(a))
		if a.Person != "" {
			text = words.T("%s, by %s", text, a.Person)
		}
		s.paragraph(words.T("%s: %s. Before: %s", text, a.Reason, h.before(a)), 8)
	}
}

// both puts two remarks into one, either of which may be empty.
func both(a, b words.Text) words.Text {
	if a == "" || b == "" {
		return a + b
	}
	return words.T("%s; %s", a, b)
}
