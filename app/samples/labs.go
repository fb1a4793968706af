package samples

import (
	"cmp"
	"context"
	"maps"
	"slices"
	"strings"
	"unicode"

	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// labs tells by which methods each laboratory measures: those of its earlier
// results, those that carry its name.
type labs struct {
	methods []tanks.Method // of laboratories and in use, oldest first
	names   []string       // of all laboratories, folded
	used    map[string]map[chem.Analyte]tanks.MethodID
}

// folded is a laboratory's name as it is compared.
func folded(lab string) string { return strings.ToLower(strings.Join(strings.Fields(lab), " ")) }

// resultsLookedAt is how many of a laboratory's newest samples tell its methods.
const resultsLookedAt = 4

// readLabs reads by which methods the newest results of each laboratory were
// recorded.
func readLabs(ctx context.Context, store *storage.Store, samples []tanks.Sample, methods map[tanks.MethodID]tanks.Method) (labs, error) {
	results := map[string][]tanks.Reading{}
	looked := map[string]int{}
	for _, s := range samples { // the newest first
		lab := folded(s.Lab)
		if _, known := looked[lab]; !known {
			looked[lab] = 0
		}
		if s.Received.IsZero() || looked[lab] == resultsLookedAt {
			continue
		}
		looked[lab]++
		readings, err := store.ReadingsOfSample(ctx, s.ID)
		if err != nil {
			return labs{}, err
		}
		results[lab] = append(results[lab], readings...)
	}
	return labsOf(methods, slices.Collect(maps.Keys(looked)), results), nil
}

// labsOf gathers what is known of the laboratories; the results of each, the
// newest sample's first.
func labsOf(methods map[tanks.MethodID]tanks.Method, names []string, results map[string][]tanks.Reading) labs {
	l := labs{names: names, used: map[string]map[chem.Analyte]tanks.MethodID{}}
	for _, m := range methods {
		if m.Kind == tanks.Lab && !m.Retired {
			l.methods = append(l.methods, m)
		}
	}
	slices.SortFunc(l.methods, func(a, b tanks.Method) int { return cmp.Compare(a.ID, b.ID) })
	for lab, readings := range results {
		l.used[lab] = map[chem.Analyte]tanks.MethodID{}
		for _, r := range readings {
			if _, known := l.used[lab][r.Analyte]; !known && methods[r.Method].Kind == tanks.Lab {
				l.used[lab][r.Analyte] = r.Method
			}
		}
	}
	return l
}

// analytes lists what any laboratory's method measures, in the catalogue's order.
func (l labs) analytes() []chem.Analyte {
	var out []chem.Analyte
	for _, info := range chem.Catalogue() {
		if len(l.offered(info.Analyte)) > 0 {
			out = append(out, info.Analyte)
		}
	}
	return out
}

// offered lists the laboratories' methods for an analyte.
func (l labs) offered(a chem.Analyte) []tanks.Method {
	return slices.DeleteFunc(slices.Clone(l.methods), func(m tanks.Method) bool { return m.Analyte != a })
}

// methodOf returns the method by which a laboratory measures an analyte: that of
// its newest result, else one that carries its name, else one of the name of its
// other methods, else the only one that is no other laboratory's. ok is false
// when that does not decide: then it is to be asked for.
func (l labs) methodOf(lab string, a chem.Analyte) (m tanks.Method, ok bool) {
	lab = folded(lab)
	offered := l.offered(a)
	for _, is := range []func(tanks.Method) bool{
		func(m tanks.Method) bool { return l.used[lab][a] == m.ID },
		func(m tanks.Method) bool { return named(m, lab) },
		func(m tanks.Method) bool { return l.goesBy(lab, m.Name) },
		func(m tanks.Method) bool { return !l.another(lab, m) },
	} {
		if fit := slices.DeleteFunc(slices.Clone(offered), func(m tanks.Method) bool { return !is(m) }); len(fit) == 1 {
			return fit[0], true
		} else if len(fit) > 1 {
			return tanks.Method{}, false
		}
	}
	return tanks.Method{}, false
}

// named tells whether a method carries a laboratory's name, alone or before more
// words.
func named(m tanks.Method, lab string) bool {
	rest, ok := strings.CutPrefix(folded(m.Name), lab)
	return ok && lab != "" && (rest == "" || !unicode.IsLetter([]rune(rest)[0]) && !unicode.IsDigit([]rune(rest)[0]))
}

// goesBy tells whether a laboratory measures other analytes by a method of that
// name.
func (l labs) goesBy(lab, name string) bool {
	for _, id := range l.used[lab] {
		if slices.ContainsFunc(l.methods, func(m tanks.Method) bool { return m.ID == id && m.Name == name }) {
			return true
		}
	}
	return false
}

// another tells whether a method is another laboratory's.
func (l labs) another(lab string, m tanks.Method) bool {
	return slices.ContainsFunc(l.names, func(other string) bool {
		return other != lab && (l.used[other][m.Analyte] == m.ID || named(m, other) || l.goesBy(other, m.Name))
	})
}
