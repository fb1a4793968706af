package chart

import (
	"sync"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"golang.org/x/image/font/opentype"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"

	"weirkeeper/app/typeset"
	"weirkeeper/assets/fonts"
	"weirkeeper/assets/words"
)

// The faces' names, by which a canvas that draws on paper finds its own copy.
const (
	FaceText         font.Typeface = "WeirkeeperText"
	FaceBold         font.Typeface = "WeirkeeperBold"
	FaceTextFallback font.Typeface = "WeirkeeperTextFallback"
	FaceBoldFallback font.Typeface = "WeirkeeperBoldFallback"
)

// faceKey names a face as typeset does.
type faceKey struct {
	face typeset.Face
	bold bool
}

var loadFaces = sync.OnceValues(func() (map[faceKey]font.Face, error) {
	out := map[faceKey]font.Face{}
	for key, f := range map[faceKey]struct {
		name font.Typeface
		data []byte
	}{
		{typeset.FaceText, false}:   {FaceText, fonts.Regular},
		{typeset.FaceText, true}:    {FaceBold, fonts.Bold},
		{typeset.FaceSecond, false}: {FaceTextFallback, liberationsansregular.TTF},
		{typeset.FaceSecond, true}:  {FaceBoldFallback, liberationsansbold.TTF},
	} {
		face, err := opentype.Parse(f.data)
		if err != nil {
			return nil, words.Errorf("reading the chart's font: %w", err)
		}
		out[key] = font.Face{Font: font.Font{Typeface: f.name}, Face: face}
	}
	return out, nil
})

// face is what a canvas writes a run's text with.
func face(f typeset.Face, bold bool, size float64) font.Face {
	all, err := loadFaces()
	if err != nil {
		panic(err) // the fonts are embedded
	}
	out := all[faceKey{f, bold}]
	out.Font.Size = vg.Length(size)
	return out
}

// fonts are what the figure is lettered with.
func (f Figure) fonts() *typeset.Fonts {
	if f.Fonts == nil {
		return typeset.Machine()
	}
	return f.Fonts
}

// width returns how wide a text is drawn, in points.
func (f Figure) width(text string, size float64, bold bool) float64 {
	return f.fonts().Measure(text, bold) * size
}

// outline is a run's shape at a size with its base line beginning at a point.
func outline(segments []typeset.Segment, at vg.Point, size float64) vg.Path {
	point := func(p [2]float64) vg.Point {
		return vg.Point{X: at.X + vg.Length(p[0]*size), Y: at.Y + vg.Length(p[1]*size)}
	}
	var path vg.Path
	for _, s := range segments {
		switch p := s.Points; s.Op {
		case typeset.MoveTo:
			if len(path) > 0 {
				path.Close()
			}
			path.Move(point(p[0]))
		case typeset.LineTo:
			path.Line(point(p[0]))
		case typeset.QuadTo:
			path.QuadTo(point(p[0]), point(p[1]))
		case typeset.CubicTo:
			path.CubeTo(point(p[0]), point(p[1]), point(p[2]))
		}
	}
	if len(path) > 0 {
		path.Close()
	}
	return path
}
