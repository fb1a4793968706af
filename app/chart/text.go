package chart

import (
	"sync"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"

	"weirkeeper/assets/fonts"
	"weirkeeper/assets/words"
)

// faces holds the text face and the fallback for glyphs it lacks, such as the
// true minus sign.
type faces struct{ text, fallback *opentype.Font }

var loadFaces = sync.OnceValues(func() (map[bool]faces, error) {
	out := map[bool]faces{}
	for bold, data := range map[bool][2][]byte{
		false: {fonts.Regular, liberationsansregular.TTF},
		true:  {fonts.Bold, liberationsansbold.TTF},
	} {
		text, err := opentype.Parse(data[0])
		if err != nil {
			return nil, words.Errorf("reading the chart's font: %w", err)
		}
		fallback, err := opentype.Parse(data[1])
		if err != nil {
			return nil, words.Errorf("reading the chart's second font: %w", err)
		}
		out[bold] = faces{text, fallback}
	}
	return out, nil
})

// The faces' names, by which a canvas that draws on paper finds its own copy.
const (
	FaceText         font.Typeface = "WeirkeeperText"
	FaceBold         font.Typeface = "WeirkeeperBold"
	FaceTextFallback font.Typeface = "WeirkeeperTextFallback"
	FaceBoldFallback font.Typeface = "WeirkeeperBoldFallback"
)

// Piece is a stretch of text that one face can write.
type Piece struct {
	Text     string
	Fallback bool // the text face lacks these glyphs, the second face has them
}

// Pieces splits text where the text face lacks a glyph.
func Pieces(text string, bold bool) []Piece {
	set := faceSet(bold)
	var out []Piece
	for _, r := range text {
		fallback := !has(set.text, r) && has(set.fallback, r)
		if n := len(out) - 1; n >= 0 && out[n].Fallback == fallback {
			out[n].Text += string(r)
			continue
		}
		out = append(out, Piece{string(r), fallback})
	}
	return out
}

func faceSet(bold bool) faces {
	all, err := loadFaces()
	if err != nil {
		panic(err) // the fonts are embedded
	}
	return all[bold]
}

// run is a piece with its face at a size.
type run struct {
	text string
	face font.Face
}

func runs(text string, size vg.Length, bold bool) []run {
	set := faceSet(bold)
	names := [2]font.Typeface{FaceText, FaceTextFallback}
	if bold {
		names = [2]font.Typeface{FaceBold, FaceBoldFallback}
	}
	var out []run
	for _, p := range Pieces(text, bold) {
		face := font.Face{Font: font.Font{Typeface: names[0], Size: size}, Face: set.text}
		if p.Fallback {
			face = font.Face{Font: font.Font{Typeface: names[1], Size: size}, Face: set.fallback}
		}
		out = append(out, run{p.Text, face})
	}
	return out
}

func has(f *opentype.Font, r rune) bool {
	var buffer sfnt.Buffer
	n, err := f.GlyphIndex(&buffer, r)
	return err == nil && n != 0
}

// HasGlyphs tells whether every character of text can be drawn.
func HasGlyphs(text string) bool {
	set := faceSet(false)
	for _, r := range text {
		if !has(set.text, r) && !has(set.fallback, r) {
			return false
		}
	}
	return true
}

func textWidth(text string, size vg.Length, bold bool) vg.Length {
	var w vg.Length
	for _, r := range runs(text, size, bold) {
		w += r.face.Width(r.text)
	}
	return w
}
