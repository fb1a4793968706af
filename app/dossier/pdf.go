package dossier

import (
	"fmt"
	"io"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"weirkeeper/app/chart"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// Charts on paper: two a page, drawn at chartPoints wide.
const (
	chartPoints  = 640.0
	chartHeight  = 300.0
	chartOnPaper = bodyWidth / chartPoints // mm a point
)

// WritePDF writes the history as a PDF with the CSV attached inside; the same
// history gives the same bytes.
func WritePDF(out io.Writer, h History, csv []byte) error {
	foot := fmt.Sprintf("%s, %s", h.Room.Name, h.System.Label())
	if h.Room.Demo {
		foot += ", invented demonstration data"
	}
	s := newSheet("Handover of "+h.System.Label(), foot, h.Made.UTC())
	s.cover(h)
	if err := s.charts(h); err != nil {
		return err
	}
	s.overview(h)
	s.readings(h)
	s.additions(h)
	s.changes(h)
	s.notes(h)
	s.amendments(h)
	if csv != nil {
		s.pdf.SetAttachments([]fpdf.Attachment{{Content: csv, Filename: fileName(h.System.Code) + ".csv", Description: "Everything in this document as a table"}})
	}
	return s.write(out)
}

func (h History) day(t time.Time) string    { return t.In(h.zone()).Format("2 January 2006") }
func (h History) minute(t time.Time) string { return t.In(h.zone()).Format("2006-01-02 15:04") }

func (s *sheet) cover(h History) {
	s.addPage()
	s.pdf.Bookmark("Cover", 0, s.y)
	s.y += 22
	s.textAt(margin, s.y, 24, true, shortenTo(s, h.System.Code+"  "+h.System.Name, 18, bodyWidth))
	s.y += 9
	s.textAt(margin, s.y, 12, false, shortenTo(s, "History of a "+h.System.Kind.String()+" system of "+h.Room.Name, 12, bodyWidth))
	s.y += 7
	s.textAt(margin, s.y, 12, false, h.day(h.From)+" to "+h.day(h.To))
	s.y += 8
	if h.Room.Demo {
		s.paragraph("This is invented demonstration data. No such room, person or animal exists.", 11)
	}
	volume := "not known"
	if v := h.System.NetVolume(); v.Known() {
		volume = fmt.Sprintf("%.0f L ± %.0f L (standard uncertainty), %s", v.Litres, v.Uncertainty, v.How)
	}
	s.y += 2
	for _, line := range [][2]string{
		{"Net volume", volume},
		{"In use since", h.day(h.System.Opened)},
		{"Readings", fmt.Sprint(len(h.Readings))},
		{"Additions", fmt.Sprint(len(h.Additions))},
		{"Water changes", fmt.Sprint(len(h.Changes))},
		{"Notes", fmt.Sprint(len(h.Observations))},
		{"Lab samples", fmt.Sprint(len(h.Samples))},
		{"Written", h.minute(h.Made) + " " + h.Made.In(h.zone()).Format("MST")},
	} {
		s.y += 6
		s.textAt(margin, s.y, 10, true, line[0])
		s.textAt(margin+45, s.y, 10, false, shortenTo(s, line[1], 10, bodyWidth-45))
	}
	s.y += 8
	s.paragraph(h.honesty(), 10)
	s.paragraph("Values are as read, with the uncertainty that their method states. Bands are this room's own choice and may not suit other animals. "+
		"Whoever takes the system over should test the water again, follow the labels of what is dosed, and ask a veterinarian about medication.", 10)
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
		name := ""
		if len(f.Panels) > 0 {
			name = f.Panels[0].Name
		}
		s.heading(name, 1)
		s.paragraph(h.sentence(f), 9)
		f.Title, f.Subtitle = "", ""
		c := newCanvas(s.pdf, margin, s.y+chartHeight*chartOnPaper, chartOnPaper)
		if err := chart.DrawOn(c, f, chart.Print, chartPoints, chartHeight); err != nil {
			return fmt.Errorf("drawing %s for the PDF: %w", name, err)
		}
		s.pdf.SetDashPattern(nil, 0)
		s.pdf.SetTextColor(0x1C, 0x25, 0x30)
		s.y += chartHeight*chartOnPaper + 4
	}
	return nil
}

// sentence says a figure's result in words.
func (h History) sentence(f chart.Figure) string {
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
	text := fmt.Sprintf("%d readings", len(p.Points))
	if p.Band != nil && exact > 0 {
		text += fmt.Sprintf(", %d of %d exact ones most probably within the band of %.*f to %.*f %s", inside, exact, p.Decimals, p.Band.Low, p.Decimals, p.Band.High, p.Unit)
	}
	if p.Verdict != "" {
		text += "; the newest: " + p.Verdict
	}
	return text + "."
}

func (s *sheet) overview(h History) {
	s.addPage()
	s.heading("Overview", 0)
	columns := []column{{"Analyte", 38, false}, {"Unit", 24, false}, {"Readings", 18, true}, {"Lowest", 20, true}, {"Mean", 20, true}, {"Highest", 20, true}, {"Newest", 20, true}, {"on", 14, true}}
	var rows [][]string
	for _, v := range h.summaries() {
		low, mean, high := "", "", ""
		if v.count > v.bounds {
			low, mean, high = h.value(v.analyte, v.least), h.value(v.analyte, v.mean), h.value(v.analyte, v.most)
		}
		rows = append(rows, []string{
			v.analyte.String(), string(h.unit(v.analyte)), fmt.Sprint(v.count), low, mean, high,
			sign(v.latest.Limit) + h.value(v.analyte, v.latest.Value), v.latest.At.In(h.zone()).Format("2 Jan"),
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
	columns := []column{{"When", 30, false}, {"Analyte", 32, false}, {"Value", 20, true}, {"Unit", 22, false}, {"Method", 38, false}, {"By", 10, false}, {"Remark", 22, false}}
	rows := make([][]string, 0, len(h.Readings))
	for _, r := range h.Readings {
		remark := r.Note
		if st := status(r.Status, len(amended[int64(r.ID)]) > 0); st != "live" {
			remark = join(st, r.Note)
		}
		rows = append(rows, []string{
			h.minute(r.At), r.Analyte.String(), sign(r.Limit) + h.value(r.Analyte, r.Value), string(h.unit(r.Analyte)), h.Methods[r.Method].Name, r.Person, remark,
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
	columns := []column{{"When", 30, false}, {"Product", 38, false}, {"Amount", 20, true}, {"By", 14, false}, {"Change and remark", 72, false}}
	rows := make([][]string, 0, len(h.Additions))
	for _, a := range h.Additions {
		p := h.Products[a.Product]
		remark := join(h.changesList(a.Changes), a.Note)
		if a.Status == tanks.Withdrawn {
			remark = join("withdrawn", remark)
		}
		rows = append(rows, []string{h.minute(a.At), p.Name, fmt.Sprintf("%.4g %s", a.Amount, p.Unit()), a.Person, remark})
	}
	s.table(columns, rows)
}

func (s *sheet) changes(h History) {
	s.heading("Water changes", 0)
	if len(h.Changes) == 0 {
		s.paragraph("None in this period.", 10)
		return
	}
	columns := []column{{"When", 30, false}, {"Litres", 18, true}, {"Share", 18, true}, {"By", 14, false}, {"New water and remark", 94, false}}
	rows := make([][]string, 0, len(h.Changes))
	for _, w := range h.Changes {
		remark := join(h.water(w.Water), w.Note)
		if w.Status == tanks.Withdrawn {
			remark = join("withdrawn", remark)
		}
		rows = append(rows, []string{h.minute(w.At), fmt.Sprintf("%.0f", w.Litres), fmt.Sprintf("%.0f %%", w.Share*100), w.Person, remark})
	}
	s.table(columns, rows)
}

// water writes the new water's main levels.
func (h History) water(levels []tanks.Level) string {
	text := ""
	for _, l := range levels {
		switch l.Analyte {
		case chem.Salinity, chem.Alkalinity, chem.Calcium, chem.Magnesium, chem.Nitrate, chem.Hardness:
			info, _ := chem.Lookup(l.Analyte)
			text = join(text, fmt.Sprintf("%s %s", info.Symbol, h.value(l.Analyte, l.Value)))
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
			text += ", " + o.Person
		}
		if o.Status == tanks.Withdrawn {
			text += " (withdrawn)"
		}
		s.paragraph(text+": "+o.Text, 9)
	}
}

func (s *sheet) amendments(h History) {
	s.heading("Corrected and withdrawn entries", 0)
	if len(h.Amendments) == 0 {
		s.paragraph("None.", 10)
		return
	}
	for _, a := range h.Amendments {
		text := fmt.Sprintf("%s, %s", h.minute(a.At), amendedEntry(a))
		if a.Person != "" {
			text += ", by " + a.Person
		}
		s.paragraph(text+": "+a.Reason+". Before: "+h.before(a), 8)
	}
}
