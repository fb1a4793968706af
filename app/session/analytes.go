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

// AnalyteNames lists the names of the catalogue's analytes as they are shown;
// nil keeps all of them.
func AnalyteNames(keep func(chem.Analyte) bool) []string {
	var names []string
	for _, o := range AnalyteOptions(keep) {
		names = append(names, o.Name)
	}
	return names
}

// AnalyteNamed finds an analyte by its name as it is shown; false: none is
// chosen.
func AnalyteNamed(name string) (chem.Analyte, bool) {
	for _, info := range chem.Catalogue() {
		if say.L(info.Name) == name {
			return info.Analyte, true
		}
	}
	return 0, false
}
