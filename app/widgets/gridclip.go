package widgets

import (
	"strings"
	"unicode"
)

// copied returns the selected block as lines of tab-separated values.
func (g *Grid) copied() string {
	top, left, bottom, right := g.selection()
	var b strings.Builder
	for r := top; r <= bottom; r++ {
		for c := left; c <= right; c++ {
			if c > left {
				b.WriteByte('\t')
			}
			b.WriteString(g.model.Cell(r, c).Text)
		}
		if r < bottom {
			b.WriteByte('\n')
		}
	}
	return b.String()
}

// paste puts a block of tab-separated values into the cells from the upper
// left corner of the selection on; one value fills the whole selection.
func (g *Grid) paste(text string) {
	block := parseBlock(text)
	if len(block) == 0 {
		return
	}
	if len(block) == 1 && len(block[0]) == 1 {
		g.fill(block[0][0])
		return
	}
	top, left, _, _ := g.selection()
	edits, outside := place(block, top, left, g.model.Rows(), g.model.Columns())
	g.ar, g.ac = clampTo(top+len(block)-1, g.model.Rows()), clampTo(left+widest(block)-1, g.model.Columns())
	g.row, g.col = top, left
	g.apply(edits, outside)
}

// place maps a block onto cells and counts the values that lie outside.
func place(block [][]string, top, left, rows, cols int) (edits []Edit, outside int) {
	for r, line := range block {
		for c, text := range line {
			switch {
			case top+r < rows && left+c < cols:
				edits = append(edits, Edit{top + r, left + c, text})
			case text != "":
				outside++
			}
		}
	}
	return edits, outside
}

func widest(block [][]string) (n int) {
	for _, line := range block {
		n = max(n, len(line))
	}
	return n
}

// parseBlock splits what spreadsheets put on the clipboard: lines end with
// \n, \r\n or \r, the last one with or without; values are parted by tabs and
// may stand in quotes. Bytes that are no UTF-8 become U+FFFD, other controls go.
func parseBlock(text string) [][]string {
	text = strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(strings.ToValidUTF8(text, "\ufffd"))
	text = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) && r != '\n' && r != '\t' {
			return -1
		}
		return r
	}, text)
	text = strings.TrimSuffix(text, "\n")
	if text == "" {
		return nil
	}
	var block [][]string
	for _, line := range strings.Split(text, "\n") {
		values := strings.Split(line, "\t")
		for i, v := range values {
			values[i] = unquote(strings.TrimSpace(v))
		}
		block = append(block, values)
	}
	return block
}

func unquote(v string) string {
	if len(v) >= 2 && v[0] == '"' && v[len(v)-1] == '"' {
		return strings.ReplaceAll(v[1:len(v)-1], `""`, `"`)
	}
	return v
}
