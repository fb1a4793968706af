package say

import (
	"strings"
	"testing"

	"weirkeeper/assets/translations"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// What a ledger keeps of the program's sentences is said in the language of who
// reads it, whoever's it was when it was kept; what a person typed stays as it is,
// even when it is one of the program's sentences too.
func TestKeptSentencesInAnotherLanguage(t *testing.T) {
	restore(t)
	s, f := storagetest.Room(t)
	ctx, one := t.Context(), f.Systems[0].ID
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	must(Load(translations.English))
	r := tanks.Reading{System: one, Analyte: chem.Calcium, At: f.Now, Value: 420, Unit: chem.MgL}
	ids, err := s.SaveReadings(ctx, []tanks.Reading{r})
	must(err)
	r.Value = 425
	must(s.AmendReading(ctx, ids[0], r, "calcium", "AB"))
	_, err = s.Undo(ctx, "")
	must(err)
	how := words.T("%s: %s (%s)", words.Text("Net volume"), words.T("%.1f L", 350.5), words.Text("from dimensions"))
	must(s.CommitPlan(ctx, &tanks.DosingPlan{Made: f.Now, Caution: 1, Lines: []tanks.PlanLine{{
		System: one, Analyte: chem.Calcium, Product: f.Products["calcium"].ID, Now: 400, Aim: 420, After: 410, How: how, Doses: []tanks.Dose{{Due: f.Now, Amount: 5}}}}}))

	must(Load(Pseudo(translations.English)))
	style := Using()
	style.Comma = true
	Use(style)
	actions, err := s.Actions(ctx, 3)
	must(err)
	amendments, err := s.Amendments(ctx, one)
	must(err)
	plans, err := s.Plans(ctx)
	must(err)
	for english, said := range map[string]string{
		"committing the plan":                   Of(actions[0].Doing),
		"taking back: correcting the reading":   Of(actions[1].Doing),
		"taken back":                            Of(amendments[1].Reason),
		"Net volume: 350.5 L (from dimensions)": Of(plans[0].Lines[0].How),
	} {
		if plain(said) != "" || !strings.Contains(said, "á") && !strings.Contains(said, "ó") && !strings.Contains(said, "é") {
			t.Errorf("%q is said as %q", english, said)
		}
	}
	if said := Of(plans[0].Lines[0].How); !strings.Contains(said, "350,5") {
		t.Errorf("the number in %q is not the person's", said)
	}
	if said := Of(amendments[0].Reason); said != "calcium" {
		t.Errorf("the typed reason is said as %q", said)
	}
	if said := actions[1].Doing.String(); said != "taking back: correcting the reading" {
		t.Errorf("in English it is %q", said)
	}
}

// plain returns the words of a text in the pseudo-language that have no accents.
func plain(said string) string {
	var left []string
	for _, word := range strings.FieldsFunc(said, func(r rune) bool { return strings.ContainsRune(" :()0123456789,.", r) }) {
		if word != "L" && pseudo(word) != word && !strings.ContainsFunc(word, func(r rune) bool { return r > 0x7f }) {
			left = append(left, word)
		}
	}
	return strings.Join(left, " ")
}
