package tanks

import "weirkeeper/chem"

// Cell names one analyte of one system: the key of everything that is known
// of a value.
type Cell struct {
	System  SystemID
	Analyte chem.Analyte
}

// Cell returns the cell that the reading belongs to.
func (r Reading) Cell() Cell { return Cell{r.System, r.Analyte} }
