package prefs

import (
	"strings"
	"time"

	"github.com/jeandeaual/go-locale"
	"golang.org/x/text/language"
	"golang.org/x/text/message"
	"golang.org/x/text/number"

	"weirkeeper/app/say"
)

// Locale is the desktop's language and region as BCP 47 writes them, "de-CH";
// empty where it has none, as in the locale C.
type Locale string

// Desktop returns the locale that the desktop is set to.
func Desktop() Locale {
	name, err := locale.GetLocale()
	if err != nil || name == "C" || name == "POSIX" {
		return ""
	}
	return Locale(name)
}

func (l Locale) tag() (language.Tag, bool) {
	if l == "" {
		return language.Und, false
	}
	tag, err := language.Parse(strings.ReplaceAll(string(l), "_", "-"))
	return tag, err == nil
}

// comma tells whether the locale writes numbers with a comma, by the tables of
// the Unicode CLDR in x/text.
func (l Locale) comma() bool {
	tag, ok := l.tag()
	return ok && strings.Contains(message.NewPrinter(tag).Sprint(number.Decimal(1.5)), ",")
}

// region returns the country, "ZZ" for none.
func (l Locale) region() string {
	tag, ok := l.tag()
	if !ok {
		return "ZZ"
	}
	region, _ := tag.Region()
	return region.String()
}

// dates returns the order of dates of the region, from memory of the CLDR: the
// month first in the United States and a few places near them, the year first
// in East Asia, Hungary, Lithuania, Sweden and Canada.
func (l Locale) dates() say.Dates {
	switch l.region() {
	case "US", "PR", "GU", "PH", "FM", "MH", "PW":
		return say.MonthFirst
	case "CN", "JP", "KR", "TW", "HU", "LT", "SE", "CA", "MN":
		return say.YearFirst
	}
	return say.DayFirst
}

// firstDay returns the first day of the week of the region, from memory of the
// CLDR's supplemental week data; Monday where there is none (ISO 8601).
func (l Locale) firstDay() time.Weekday {
	switch l.region() {
	case "US", "CA", "MX", "BR", "JP", "KR", "TW", "HK", "IN", "IL", "PH", "PT", "TH", "ZA", "CO", "PE", "VE", "SG", "ID":
		return time.Sunday
	case "AE", "AF", "BH", "DZ", "EG", "IQ", "IR", "JO", "KW", "LY", "OM", "QA", "SY":
		return time.Saturday
	}
	return time.Monday
}
