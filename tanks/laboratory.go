package tanks

import (
	"cmp"
	"slices"
	"strings"
	"unicode"

	"weirkeeper/chem"
)

// Laboratories tell by which methods each laboratory measures: those of its
// earlier results, those that carry its name.
type Laboratories struct {
	methods []Method // of laboratories and in use, oldest first
	names   []string // of all laboratories, folded
	used    map[string]map[chem.Analyte]MethodID
}

// FoldLaboratory returns a laboratory's name as names are compared: two that
// differ in case and spaces are one.
func FoldLaboratory(name string) string {
	return strings.ToLower(strings.Join(strings.Fields(name), " "))
}

// NewLaboratories gathers what is known of laboratories from the methods of the
// room and the newest results of each laboratory by its name, the newest first; one
// that has no result yet is there with none.
func NewLaboratories(methods map[MethodID]Method, results map[string][]Reading) Laboratories {
	l := Laboratories{used: map[string]map[chem.Analyte]MethodID{}}
	for _, m := range methods {
		if m.Kind == Lab && !m.Retired {
			l.methods = append(l.methods, m)
		}
	}
	slices.SortFunc(l.methods, func(a, b Method) int { return cmp.Compare(a.ID, b.ID) })
	for name, readings := range results {
		lab := FoldLaboratory(name)
		l.names = append(l.names, lab)
		if l.used[lab] == nil {
			l.used[lab] = map[chem.Analyte]MethodID{}
		}
		for _, r := range readings {
			if _, known := l.used[lab][r.Analyte]; !known && methods[r.Method].Kind == Lab {
				l.used[lab][r.Analyte] = r.Method
			}
		}
	}
	return l
}

// Analytes lists what any laboratory's method measures, in the catalogue's order.
func (l Laboratories) Analytes() []chem.Analyte {
	var out []chem.Analyte
	for _, info := range chem.Catalogue() {
		if len(l.Offered(info.Analyte)) > 0 {
			out = append(out, info.Analyte)
		}
	}
	return out
}

// Offered lists the laboratories' methods for an analyte.
func (l Laboratories) Offered(a chem.Analyte) []Method {
	return slices.DeleteFunc(slices.Clone(l.methods), func(m Method) bool { return m.Analyte != a })
}

// MethodOf returns the method by which a laboratory measures an analyte: that of
// its newest result, else one that carries its name, else one of the name of its
// other methods, else the only one that is no other laboratory's. ok is false
// when that does not decide: then it is to be asked for.
func (l Laboratories) MethodOf(lab string, a chem.Analyte) (m Method, ok bool) {
	lab = FoldLaboratory(lab)
	offered := l.Offered(a)
	for _, is := range []func(Method) bool{
		func(m Method) bool { return l.used[lab][a] == m.ID },
		func(m Method) bool { return named(m, lab) },
		func(m Method) bool { return l.goesBy(lab, m.Name) },
		func(m Method) bool { return !l.another(lab, m) },
	} {
		if fit := slices.DeleteFunc(slices.Clone(offered), func(m Method) bool { return !is(m) }); len(fit) == 1 {
			return fit[0], true
		} else if len(fit) > 1 {
			return Method{}, false
		}
	}
	return Method{}, false
}

// named tells whether a method carries a laboratory's name, alone or before more
// words.
func named(m Method, lab string) bool {
	rest, ok := strings.CutPrefix(FoldLaboratory(m.Name), lab)
	return ok && lab != "" && (rest == "" || !unicode.IsLetter([]rune(rest)[0]) && !unicode.IsDigit([]rune(rest)[0]))
}

// goesBy tells whether a laboratory measures other analytes by a method of that
// name.
func (l Laboratories) goesBy(lab, name string) bool {
	for _, id := range l.used[lab] {
		if slices.ContainsFunc(l.methods, func(m Method) bool { return m.ID == id && m.Name == name }) {
			return true
		}
	}
	return false
}

// another tells whether a method is another laboratory's.
func (l Laboratories) another(lab string, m Method) bool {
	return slices.ContainsFunc(l.names, func(other string) bool {
		return other != lab && (l.used[other][m.Analyte] == m.ID || named(m, other) || l.goesBy(other, m.Name))
	})
}
