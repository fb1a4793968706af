// Package documents writes what leaves the program on paper or as files: the
// handover of a system as PDF, CSV and manifest, the run sheet, and charts as PDF.
package documents

import (
	"encoding/json"
	"maps"
	"slices"
	"time"

	"weirkeeper/app/chart"
	"weirkeeper/app/typeset"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// History is a system's record of a period, with what is needed to name and
// show it.
type History struct {
	Room     tanks.Room
	System   tanks.System
	Bands    []tanks.Band
	Methods  map[tanks.MethodID]tanks.Method
	Products map[tanks.ProductID]tanks.Product
	// Judge is the board's verdict on a reading; nil: values are not judged.
	Judge        func(tanks.Reading) tanks.Verdict
	Readings     []tanks.Reading // withdrawn ones too, in order of time
	Additions    []tanks.Addition
	Changes      []tanks.WaterChange
	Observations []tanks.Observation
	Samples      []tanks.Sample
	Amendments   []tanks.Amendment // of the whole record of the system
	From, To     time.Time
	Made         time.Time
	Zone         *time.Location // nil: UTC
	Units        map[chem.Analyte]chem.Unit
	Volume       chem.VolumeUnit
	Figures      []chart.Figure
	// Language is what the document is written in; nil: English. The CSV, which
	// programs read, is the same in every language.
	Language words.Language
	// Fonts are what the document is lettered with; nil: those of this machine.
	Fonts *typeset.Fonts
}

func (h History) zone() *time.Location {
	if h.Zone == nil {
		return time.UTC
	}
	return h.Zone
}

// unit returns the unit in which an analyte is shown.
func (h History) unit(a chem.Analyte) chem.Unit {
	if u, ok := h.Units[a]; ok {
		return u
	}
	info, ok := chem.Lookup(a)
	if !ok {
		return ""
	}
	return info.Units[0]
}

// value writes a canonical value of a time in the unit shown.
func (h History) value(a chem.Analyte, v float64, at time.Time) words.Text {
	return chem.Format(a, v, h.unit(a), h.waterFor(a, at))
}

// waterFor is the water by which an analyte is shown: what the readings tell of it at
// a time, the newest until then, else the first after.
func (h History) waterFor(a chem.Analyte, at time.Time) chem.Water {
	if !chem.NeedsWater(a, h.unit(a)) {
		return chem.Water{}
	}
	return h.System.Water(func(a chem.Analyte) (newest tanks.Reading, ok bool) {
		for _, r := range h.Readings {
			if r.Analyte != a || r.Status == tanks.Withdrawn {
				continue
			}
			if ok && r.At.After(at) {
				break
			}
			newest, ok = r, true
		}
		return newest, ok
	})
}

func (h History) language() words.Language { return languageOr(h.Language) }

func fontsOr(f *typeset.Fonts) *typeset.Fonts {
	if f == nil {
		return typeset.Machine()
	}
	return f
}

func languageOr(l words.Language) words.Language {
	if l == nil {
		return words.English
	}
	return l
}

// amended returns the amendments of readings by the reading's number.
func (h History) amended() map[int64][]tanks.Amendment {
	out := map[int64][]tanks.Amendment{}
	for _, a := range h.Amendments {
		if a.Entity == "reading" {
			out[a.ID] = append(out[a.ID], a)
		}
	}
	return out
}

// sign is the limit's sign.
func sign(l tanks.Limit) string {
	switch l {
	case tanks.Below:
		return "<"
	case tanks.Above:
		return ">"
	}
	return ""
}

// changesList writes what an addition changed, as far as it shows in the
// decimals of the unit.
func (h History) changesList(changes []tanks.Delta, at time.Time) words.Text {
	var parts []words.Text
	for _, d := range changes {
		if text := chem.FormatChange(d.Analyte, d.Change, h.unit(d.Analyte), h.waterFor(d.Analyte, at)); text != "" {
			info, _ := chem.Lookup(d.Analyte)
			parts = append(parts, words.T("%s %s", info.Symbol, text))
		}
	}
	return words.Join(parts, ", ")
}

// summary is one analyte over the period.
type summary struct {
	analyte           chem.Analyte
	count, bounds     int
	latest            tanks.Reading
	mean, least, most float64 // of the exact values, canonical units
}

// summaries returns one line for each analyte with a live reading, in
// catalogue order.
func (h History) summaries() []summary {
	by := map[chem.Analyte]*summary{}
	exact := map[chem.Analyte]int{}
	for _, r := range h.Readings {
		if r.Status != tanks.Live {
			continue
		}
		s, ok := by[r.Analyte]
		if !ok {
			s = &summary{analyte: r.Analyte}
			by[r.Analyte] = s
		}
		s.count++
		if !r.At.Before(s.latest.At) {
			s.latest = r
		}
		if r.Limit != tanks.Exact {
			s.bounds++
			continue
		}
		n := exact[r.Analyte]
		if n == 0 {
			s.least, s.most = r.Value, r.Value
		}
		s.least, s.most = min(s.least, r.Value), max(s.most, r.Value)
		s.mean += (r.Value - s.mean) / float64(n+1)
		exact[r.Analyte] = n + 1
	}
	var out []summary
	for _, info := range chem.CatalogueAnd(slices.Collect(maps.Keys(by))) {
		if s, ok := by[info.Analyte]; ok {
			out = append(out, *s)
		}
	}
	return out
}

// band returns the band of an analyte, if it has edges.
func (h History) band(a chem.Analyte) (tanks.Band, bool) {
	n := slices.IndexFunc(h.Bands, func(b tanks.Band) bool { return b.Analyte == a && b.HasEdges() })
	if n < 0 {
		return tanks.Band{}, false
	}
	return h.Bands[n], true
}

// withdrawn counts entries that do not count any more.
func (h History) withdrawn() int {
	n := 0
	for _, r := range h.Readings {
		if r.Status == tanks.Withdrawn {
			n++
		}
	}
	for _, a := range h.Additions {
		if a.Status == tanks.Withdrawn {
			n++
		}
	}
	for _, w := range h.Changes {
		if w.Status == tanks.Withdrawn {
			n++
		}
	}
	return n
}

// honesty says what was changed after it was written down.
func (h History) honesty() words.Text {
	gone := h.takenBack()
	corrected := len(h.Amendments) - h.withdrawnByAmendment() - gone
	text := words.T("The record is kept so that entries can be corrected or withdrawn with a reason, never overwritten: %d corrected, "+
		"%d withdrawn in this system's record.",
		max(0, corrected), h.withdrawn())
	if gone > 0 {
		text = words.T("%s Taken back in the session in which they were made: %d more.", text, gone)
	}
	if len(h.Amendments) > 0 {
		text = words.T("%s Each is listed at the end with what stood there before.", text)
	}
	return text
}

func (h History) withdrawnByAmendment() int {
	withdrawn := map[int64]bool{}
	for _, r := range h.Readings {
		if r.Status == tanks.Withdrawn {
			withdrawn[int64(r.ID)] = true
		}
	}
	n := 0
	for _, a := range h.Amendments {
		if a.ID != 0 && (a.Entity != "reading" || withdrawn[a.ID]) {
			n++
		}
	}
	return n
}

// takenBack counts the entries that are not there any more: their amendment has
// no number.
func (h History) takenBack() int {
	n := 0
	for _, a := range h.Amendments {
		if a.ID == 0 {
			n++
		}
	}
	return n
}

// amendedEntry says which entry an amendment is of.
func amendedEntry(a tanks.Amendment) words.Text {
	if a.ID == 0 {
		return words.T("%s taken back", words.Text(a.Entity))
	}
	return words.T("%s %d", words.Text(a.Entity), int64(a.ID))
}

// before writes what stood there before an amendment: a reading as it was
// written down, other entries as the ledger kept them.
func (h History) before(a tanks.Amendment) words.Text {
	var r tanks.Reading
	if a.Entity != "reading" || json.Unmarshal([]byte(a.Before), &r) != nil || r.Analyte == 0 {
		return words.Text(a.Before)
	}
	return words.T("%s %s%s %s of %s", r.Analyte, sign(r.Limit), h.value(r.Analyte, r.Value, r.At), h.unit(r.Analyte),
		words.Moment(r.At.In(h.zone())))
}
