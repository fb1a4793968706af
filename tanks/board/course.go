package board

import (
	"slices"
	"time"

	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/trend"
)

// Window is how far back estimates look: uptake changes with growth and season,
// so older readings would mislead (our choice).
const Window = 30 * 24 * time.Hour

// Balanced tells the analytes whose level follows from what goes in and out;
// temperature, pH and gases do not, and salinity follows the top-off.
func Balanced(a chem.Analyte) bool {
	switch a {
	case chem.Temperature, chem.PH, chem.Oxygen, chem.CarbonDi, chem.Salinity, chem.Conductivity:
		return false
	}
	return true
}

// SystemRecord is what happened to one system within [Window], in order of time.
type SystemRecord struct {
	Readings  []tanks.Reading
	Additions []tanks.Addition
	Changes   []tanks.WaterChange
}

// Course is how the level of a cell ran and where it leads. This type is the one
// door to the estimator: nothing else of the program knows how level and uptake
// are found.
type Course struct {
	record trend.Record
	now    time.Time
	fit    trend.Fit
	found  bool
	// standing is what regular additions give a day.
	standing float64
}

// courseOf follows one cell through its system's record.
func courseOf(a chem.Analyte, rec SystemRecord, methods map[tanks.MethodID]tanks.Method, now time.Time) Course {
	byID := func(id tanks.MethodID) tanks.Method { return methods[id] }
	record, _ := trend.RecordOf(a, rec.Readings, byID, rec.Additions, rec.Changes)
	return follow(record, now)
}

// follow asks the estimator. Its only error is that there is not enough to tell.
func follow(record trend.Record, now time.Time) Course {
	c := Course{record: record, now: now, standing: trend.Standing(record.Steps, now)}
	fit, err := trend.FitRecord(record, trend.Options{Now: now, Window: Window})
	c.fit, c.found = fit, err == nil
	return c
}

// with is the course with one more reading.
func (c Course) with(r tanks.Reading, m tanks.Method, now time.Time) Course {
	record := c.record
	record.Points = append(slices.Clip(record.Points), trend.PointOf(r, m))
	return follow(record, now)
}

// estimate is the level at an instant.
func (c Course) estimate(at time.Time) tanks.Estimate { return c.fit.Estimate(at) }

// Uptake returns what the system uses a day.
func (c Course) Uptake() tanks.Uptake { return c.fit.Uptaken() }

// Off tells the readings, by their time, that lie so far off the others that the
// estimate hardly heeds them.
func (c Course) Off(at time.Time) bool {
	return slices.ContainsFunc(c.fit.Outliers(), func(n int) bool { return c.fit.Points[n].At.Equal(at) })
}

// Past returns n points of the level from the first reading that counts to the
// last, or to the given instant if that is earlier.
func (c Course) Past(until time.Time, n int) []tanks.CoursePoint {
	if c.fit.To.Before(until) {
		until = c.fit.To
	}
	return c.fit.Forecast(c.fit.From, until, n, nil)
}

// Ahead returns n points of the level to be expected over a span from now on, if
// the regular additions of the last week go on.
func (c Course) Ahead(span time.Duration, n int) []tanks.CoursePoint {
	to := c.now.Add(span)
	return c.fit.Forecast(c.now, to, n, trend.StandingSteps(c.standing, c.now, to))
}
