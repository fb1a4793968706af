package chart

import "image/color"

// Style is a set of colours. There is no transparency: what overlaps is
// blended here, so that every output shows the same.
type Style struct {
	Background, Text, Secondary, Grid, Axis color.NRGBA
	BandFill, BandEdge                      color.NRGBA
	Below, Inside, Above                    color.NRGBA
	Forecast, Forecast50, Forecast80        color.NRGBA
	Dose, Lane                              color.NRGBA
}

func rgb(hex uint32) color.NRGBA {
	return color.NRGBA{R: uint8(hex >> 16), G: uint8(hex >> 8), B: uint8(hex), A: 0xff}
}

// Light, Dark and Print are the styles of the light window, the dark window
// and paper.
var (
	Light = Style{
		Background: rgb(0xFFFFFF), Text: rgb(0x1C2530), Secondary: rgb(0x566270), Grid: rgb(0xE4E8EC), Axis: rgb(0x848F9B),
		BandFill: rgb(0xEBEEF1), BandEdge: rgb(0x7C8794), Below: rgb(0x0F62B0), Inside: rgb(0x4A5563), Above: rgb(0xC2410C),
		Forecast: rgb(0x6D5BA6), Forecast50: rgb(0xCFC7E6), Forecast80: rgb(0xE6E1F3), Dose: rgb(0x6B4E9B), Lane: rgb(0xF5F6F8),
	}
	Dark = Style{
		Background: rgb(0x14181E), Text: rgb(0xE9EDF2), Secondary: rgb(0xA3AFBC), Grid: rgb(0x29313B), Axis: rgb(0x6C7886),
		BandFill: rgb(0x252C35), BandEdge: rgb(0x7D8A98), Below: rgb(0x6CB4F5), Inside: rgb(0xB9C3CE), Above: rgb(0xFF9A66),
		Forecast: rgb(0xA99ADD), Forecast50: rgb(0x463C6B), Forecast80: rgb(0x2F2A48), Dose: rgb(0xB79CE6), Lane: rgb(0x1C222A),
	}
	Print = Light
)

func (s Style) state(v State) color.NRGBA {
	switch v {
	case StateBelow:
		return s.Below
	case StateAbove:
		return s.Above
	}
	return s.Inside
}
