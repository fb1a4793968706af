package documents

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
	familyText     = "text"
	familyFallback = "spare" // for glyphs that the first lacks
)

// addFonts puts the families into a document.
func addFonts(pdf *fpdf.Fpdf) {
	pdf.AddUTF8FontFromBytes(familyText, "", fonts.Regular)
	pdf.AddUTF8FontFromBytes(familyText, "B", fonts.Bold)
	pdf.AddUTF8FontFromBytes(familyFallback, "", liberationsansregular.TTF)
	pdf.AddUTF8FontFromBytes(familyFallback, "B", liberationsansbold.TTF)
}

// stamp says when a document was made, and by what. Its bytes then depend on
// its content and on made only.
func stamp(pdf *fpdf.Fpdf, made time.Time) {
	pdf.SetCreator("Weirkeeper", true)
	pdf.SetCreationDate(made)
	pdf.SetModificationDate(made)
	pdf.SetCatalogSort(true)
}

const mmPerPoint = 25.4 / 72

// WriteFigure writes a figure as a PDF of one page of w by h points, for printing.
func WriteFigure(out io.Writer, f chart.Figure, made time.Time, w, h float64) error {
	size := fpdf.SizeType{Wd: w * mmPerPoint, Ht: h * mmPerPoint}
	pdf := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: size})
	pdf.SetAutoPageBreak(false, 0)
	addFonts(pdf)
	stamp(pdf, made)
	pdf.AddPageFormat("", size)
	if err := chart.DrawOn(newCanvas(pdf, 0, size.Ht, mmPerPoint), f, chart.Print, w, h); err != nil {
		return err
	}
	if err := pdf.Output(out); err != nil {
		return words.Errorf("writing the picture: %w", err)
	}
	return nil
}
