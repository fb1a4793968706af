package typeset

import (
	"slices"
	"strings"

	"github.com/go-text/typesetting/segmenter"
)

// Measure returns the width of a text on one line.
func (f *Fonts) Measure(text string, bold bool) float64 { return f.Set(text, bold).Width }

// narrowest is less than any sign but a few takes on average. It bounds how much
// of a text is looked at to fill a width.
const narrowest = 0.2

// Shorten lays out a text on one line of at most width, with an ellipsis where
// something is left out. Its time does not grow with what is left out.
func (f *Fonts) Shorten(text string, bold bool, width float64) Line {
	f.mu.Lock()
	defer f.mu.Unlock()
	most := int(max(0, width)/narrowest) + 2
	head, all := beginning(text, most)
	clean := Clean(head)
	if all {
		if line := f.setClean(clean, bold); line.Width <= width {
			return line
		}
	}
	ends := clusterEnds(clean)
	ends = ends[:min(len(ends), most)]
	best := Line{}
	for low, high := 0, len(ends); low <= high; {
		n := (low + high) / 2
		cut := ""
		if n > 0 {
			cut = strings.TrimRight(clean[:ends[n-1]], " ")
		}
		if line := f.setClean(cut+"…", bold); line.Width <= width {
			best, low = line, n+1
		} else {
			high = n - 1
		}
	}
	return best
}

// bytesOfSign is more than a cluster takes once Clean has been over it.
const bytesOfSign = 64

// beginning cuts a text to what can matter for so many clusters; all tells that
// nothing was cut.
func beginning(text string, clusters int) (head string, all bool) {
	if most := clusters * bytesOfSign; len(text) > most {
		for most > 0 && text[most]&0xc0 == 0x80 {
			most--
		}
		return text[:most], false
	}
	return text, true
}

// longestCluster is how many runes of a cluster stay together.
const longestCluster = 32

// clusterEnds returns where the clusters of a text end, in bytes. One that would
// not end is divided.
func clusterEnds(text string) []int {
	var clusters segmenter.Segmenter
	clusters.InitWithString(text)
	var ends []int
	at := 0
	for next := clusters.GraphemeIterator(); next.Next(); {
		for part := range slices.Chunk(next.Grapheme().Text, longestCluster) {
			at += len(string(part))
			ends = append(ends, at)
		}
	}
	return ends
}

// Wrap breaks a text into lines of at most width, at line ends, where the
// script allows (UAX 14), and within what is wider than a line. Nothing is left
// out but blanks at the ends of lines.
func (f *Fonts) Wrap(text string, bold bool, width float64) []string {
	f.mu.Lock()
	defer f.mu.Unlock()
	text = strings.NewReplacer("\r\n", "\n", "\r", "\n", "\u2028", "\n", "\u2029", "\n", string(rune(0x85)), "\n").Replace(text)
	var lines []string
	for paragraph := range strings.SplitSeq(text, "\n") {
		lines = f.wrapOne(Clean(paragraph), bold, width, lines)
	}
	return lines
}

func (f *Fonts) wrapOne(paragraph string, bold bool, width float64, lines []string) []string {
	var breaks segmenter.Segmenter
	breaks.InitWithString(paragraph)
	line, filled := strings.Builder{}, 0.0
	end := func() {
		lines = append(lines, strings.TrimRight(line.String(), " "))
		line.Reset()
		filled = 0
	}
	for next := breaks.LineIterator(); next.Next(); {
		word := string(next.Line().Text)
		if line.Len() == 0 {
			word = strings.TrimLeft(word, " ")
		}
		bare, whole := f.widths(word, bold)
		if line.Len() > 0 && filled+bare > width {
			end()
		}
		if bare <= width {
			line.WriteString(word)
			filled += whole
			continue
		}
		for _, piece := range f.pieces(word, bold, width) {
			if line.Len() > 0 {
				end()
			}
			line.WriteString(piece)
			_, filled = f.widths(piece, bold)
		}
	}
	end()
	return lines
}

// widths measures a word without the blanks behind it, and with them.
func (f *Fonts) widths(word string, bold bool) (bare, whole float64) {
	trimmed := strings.TrimRight(word, " ")
	bare = f.setClean(trimmed, bold).Width
	return bare, bare + float64(len(word)-len(trimmed))*f.weight(bold).sign(' ').advance
}

// pieces breaks a word that is wider than a line between its clusters.
func (f *Fonts) pieces(word string, bold bool, width float64) []string {
	var out []string
	begin, at, filled := 0, 0, 0.0
	for _, end := range clusterEnds(word) {
		w := f.setClean(word[at:end], bold).Width
		if at > begin && filled+w > width {
			out = append(out, word[begin:at])
			begin, filled = at, 0
		}
		filled += w
		at = end
	}
	return append(out, word[begin:])
}
