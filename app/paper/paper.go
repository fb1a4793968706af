package paper

import (
	"io"
	"time"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"codeberg.org/go-pdf/fpdf"

	"weirkeeper/app/chart"
	"weirkeeper/assets/fonts"
	"weirkeeper/assets/words"
)

// Families of a document's fonts, regular and "B".
const (
	FamilyText     = "text"
	FamilyFallback = "spare" // for glyphs that the first lacks
)

// AddFonts puts the families into a document.
func AddFonts(pdf *fpdf.Fpdf) {
	pdf.AddUTF8FontFromBytes(FamilyText, "", fonts.Regular)
	pdf.AddUTF8FontFromBytes(FamilyText, "B", fonts.Bold)
	pdf.AddUTF8FontFromBytes(FamilyFallback, "", liberationsansregular.TTF)
	pdf.AddUTF8FontFromBytes(FamilyFallback, "B", liberationsansbold.TTF)
}

// Stamp says when a document was made, and by what. Its bytes then depend on
// its content and on made only.
func Stamp(pdf *fpdf.Fpdf, made time.Time) {
	pdf.SetCreator("Weirkeeper", true)
	pdf.SetCreationDate(made)
	pdf.SetModificationDate(made)
	pdf.SetCatalogSort(true)
}

const mmPerPoint = 25.4 / 72

// WritePDF writes a figure as a PDF of one page of w by h points, for printing.
func WritePDF(out io.Writer, f chart.Figure, made time.Time, w, h float64) error {
	size := fpdf.SizeType{Wd: w * mmPerPoint, Ht: h * mmPerPoint}
	pdf := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: size})
	pdf.SetAutoPageBreak(false, 0)
	AddFonts(pdf)
	Stamp(pdf, made)
	pdf.AddPageFormat("", size)
	if err := chart.DrawOn(NewCanvas(pdf, 0, size.Ht, mmPerPoint), f, chart.Print, w, h); err != nil {
		return err
	}
	if err := pdf.Output(out); err != nil {
		return words.Errorf("writing the picture: %w", err)
	}
	return nil
}
