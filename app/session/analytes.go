package session

import (
	"weirkeeper/app/say"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
)

// AnalyteOptions offers the catalogue's analytes by their names as they are
// shown; a nil keep offers all of them.
func AnalyteOptions(keep func(chem.Analyte) bool) []widgets.Option[chem.Analyte] {
	var options []widgets.Option[chem.Analyte]
	for _, info := range chem.Catalogue() {
		if keep == nil || keep(info.Analyte) {
			options = append(options, widgets.Option[chem.Analyte]{Value: info.Analyte, Name: say.L(info.Name)})
		}
	}
	return options
}
