package session

import (
	"weirkeeper/app/say"
	"weirkeeper/chem"
)

// AnalyteNames lists the names of the catalogue's analytes as they are shown;
// nil keeps all of them.
func AnalyteNames(keep func(chem.Analyte) bool) []string {
	var names []string
	for _, info := range chem.Catalogue() {
		if keep == nil || keep(info.Analyte) {
			names = append(names, say.L(info.Name))
		}
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
