package say

import (
	"bytes"
	"log"
	"os"
	"strings"
	"testing"

	"fyne.io/fyne/v2/lang"
)

// On a desktop in any language the sentences that we have are said in English,
// and nothing complains; Fyne's own words are not lost.
func TestDesktopsInOtherLanguages(t *testing.T) {
	var complaints bytes.Buffer
	log.SetOutput(&complaints)
	t.Cleanup(func() { log.SetOutput(os.Stderr) })
	t.Setenv("LC_ALL", "")
	for name, yes := range map[string]string{
		"C": "Yes", "C.UTF-8": "Yes", "en_GB.UTF-8": "Yes", "it_IT.UTF-8": "Yes", "de_DE.UTF-8": "Ja", "de_AT.UTF-8": "Ja", "fr_CA.UTF-8": "Oui",
		"pt_BR.UTF-8": "Sim", "pt_PT.UTF-8": "Sim", "pl_PL.UTF-8": "Tak", "ja_JP.UTF-8": "はい", "zh_CN.UTF-8": "是", "ru_RU.UTF-8": "", "uk_UA.UTF-8": "", "cs_CZ.UTF-8": "", "ta_IN.UTF-8": "",
	} {
		t.Run(name, func(t *testing.T) {
			complaints.Reset()
			t.Setenv("LANG", name)
			if err := Load(nil); err != nil {
				t.Fatal(err)
			}
			for n := range 30 {
				if got := lang.N("%d bands", n); !strings.HasPrefix(got, "%d band") {
					t.Errorf("%d is said %q", n, got)
				}
			}
			if got := L("Rounds"); got != "Rounds" {
				t.Errorf("Rounds are called %q", got)
			}
			if got := lang.L("Yes"); yes != "" && got != yes {
				t.Errorf("Fyne says %q for Yes, not %q", got, yes)
			}
			if complaints.Len() > 0 {
				t.Errorf("it complains:\n%s", complaints.String())
			}
		})
	}
	t.Setenv("LANG", "en_GB.UTF-8")
	if err := Load(nil); err != nil {
		t.Fatal(err)
	}
}
