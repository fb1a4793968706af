package widgets

import "strings"

// sheet is a GridModel that keeps texts, for tests.
type sheet struct {
	heads [][2]string
	names [][2]string
	cells map[[2]int]GridCell
	edits []Edit
}

func (s *sheet) Rows() int                      { return len(s.names) }
func (s *sheet) Columns() int                   { return len(s.heads) }
func (s *sheet) ColumnHead(c int) (a, b string) { return s.heads[c][0], s.heads[c][1] }
func (s *sheet) RowHead(r int) (string, string) { return s.names[r][0], s.names[r][1] }
func (s *sheet) Cell(r, c int) GridCell         { return s.cells[[2]int{r, c}] }

// set keeps a text; letters are bad.
func (s *sheet) set(r, c int, text string) {
	s.edits = append(s.edits, Edit{r, c, text})
	cell := s.cells[[2]int{r, c}]
	cell.Text, cell.Bad, cell.Message = text, false, ""
	if strings.ContainsAny(text, "abcx") {
		cell.Bad, cell.Message = true, "This is no number: type digits, such as 8.3."
	}
	s.cells[[2]int{r, c}] = cell
}

// newSheet returns rows by cols cells, all due and empty.
func newSheet(rows, cols int) *sheet {
	s := &sheet{cells: map[[2]int]GridCell{}}
	for c := range cols {
		s.heads = append(s.heads, [2]string{"Head " + string(rune('A'+c%26)), "photometer, mg/L"})
	}
	for r := range rows {
		s.names = append(s.names, [2]string{"S" + string(rune('0'+r%10)), "System"})
		for c := range cols {
			s.cells[[2]int{r, c}] = GridCell{Due: true}
		}
	}
	return s
}

// sampleSheet is a round in progress, invented.
func sampleSheet() *sheet {
	return &sheet{
		heads: [][2]string{
			{"Alkalinity", "titration, dKH"},
			{"Calcium", "photometer A, mg/L"},
			{"Phosphate", "photometer B, mg/L as PO4"},
			{"Salinity", "mS/cm"},
		},
		names: [][2]string{
			{"R2", "Reef display, long"},
			{"F1", "Frag rack, north"},
			{"R1", "Reef display, window"},
			{"F3", "Frag rack, low light"},
		},
		cells: map[[2]int]GridCell{
			{0, 0}: {
				Text: "7.1",
				Hint: "7.4",
				Mark: MarkBelowLikely,
				Due:  true,
			}, {0, 1}: {Text: "415", Hint: "418", Mark: MarkWithinFirm, Due: true}, {0, 2}: {Hint: "0.06"}, {0, 3}: {Hint: "52.9"},
			{1, 0}: {
				Text: "8.2",
				Hint: "8.3",
				Mark: MarkWithinFirm,
				Due:  true,
			}, {1, 1}: {Text: "388", Hint: "424", Mark: MarkBelowFirm, Due: true}, {1, 2}: {Text: "<0.02", Hint: "0.03", Mark: MarkWithinLikely}, {1, 3}: {Hint: "53.1"},
			{2, 0}: {
				Hint: "8.3",
				Due:  true,
			}, {2, 1}: {Hint: "430"}, {2, 2}: {Text: "0.21", Mark: MarkAboveFirm, Due: true}, {2, 3}: {Hint: "53.0"},
			{3, 0}: {
				Hint: "8.0",
				Due:  true,
			}, {3, 1}: {Hint: "418"}, {3, 2}: {Text: "1.2", Hint: "0.11", Bad: true, Due: true}, {3, 3}: {Hint: "53.2"},
		},
	}
}
