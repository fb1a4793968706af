package demoroom

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"time"

	"weirkeeper/assets"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// Purposes of random sources.
const (
	forWater = iota
	forTests
	forLab
	forWork
)

// Days of the room's mishaps, counted back from today.
const (
	holidayFrom, holidayTo = 210, 194 // only the daily look was done
	brokenFrom, brokenTo   = 96, 75   // no phosphate photometer
	sagDays                = 90       // how long F2's pump has been sagging
	biasFrom               = 240      // since when the calcium photometer reads high
)

// Biases of two methods, in mg/L.
const (
	calciumBias   = 16.0
	phosphateBias = 0.035
)

// run invents the water of one system day by day, and its readings.
func (g *generator) run(n int) {
	p, s := g.plans[n], g.systems[n]
	noise, tests := g.random(n, forWater), g.random(n, forTests)
	level := canonicalWater(p.start)
	doser := g.newDoser(p, s)
	due := map[chem.Analyte]int{}
	for i, b := range g.bands[s.ID] {
		due[b.Analyte] = i % 3
	}
	for d := range g.days + 1 {
		back := g.days - d
		g.testDay(n, d, level, due, tests, doser)
		if back == 0 {
			return
		}
		if p.lab && back%91 == 12 {
			g.sample(n, d, level)
		}
		doser.dose(g, d, level, noise)
		if p.every > 0 && d%p.every == (n+2)%p.every && !holiday(back) {
			g.changeWater(n, d, level)
		}
		g.live(p, d, level, noise)
	}
}

func holiday(back int) bool { return back <= holidayFrom && back >= holidayTo }

// live lets a day's uptake and drift pass. Uptake follows growth and a slow
// season, each system's own.
func (g *generator) live(p plan, d int, level map[chem.Analyte]float64, r *rand.Rand) {
	grown := 0.75 + 0.25*float64(d)/float64(g.days) + 0.08*math.Sin(2*math.Pi*float64(d)/180+float64(len(p.name)))
	for _, info := range chem.Catalogue() {
		a := info.Analyte
		if _, ok := level[a]; !ok {
			continue
		}
		start := canonical(a, p.start[a])
		level[a] = math.Max(0, level[a]-rate(a, p.uptake[a])*grown+p.fed(a, start)*grown)
		switch a {
		case chem.Temperature:
			level[a] = start + 0.25*math.Sin(2*math.Pi*float64(d)/365) + 0.15*r.NormFloat64()
		case chem.PH:
			level[a] = start + 0.05*r.NormFloat64()
		case chem.Salinity:
			level[a] += 0.1*(start-level[a]) + 0.05*r.NormFloat64()
		}
		if p.kind == tanks.Source && a != chem.Conductivity {
			level[a] += 0.5 * (start - level[a])
		}
		if p.code == "S1" && a == chem.Conductivity && d%90 == 60 {
			level[a] = start // new resin
		}
	}
}

// fed is what feeding adds of a nutrient a day: as much as the water changes
// take out at the level start.
func (p plan) fed(a chem.Analyte, start float64) float64 {
	if p.every == 0 || (a != chem.Nitrate && a != chem.Phosphate) {
		return 0
	}
	return start * p.change / float64(p.every) * 1.1
}

// changeWater replaces the plan's share with water from the vat, or the tap
// mix of a freshwater row.
func (g *generator) changeWater(n, d int, level map[chem.Analyte]float64) {
	p, s := g.plans[n], g.systems[n]
	w := tanks.WaterChange{System: s.ID, At: g.day(d, 11), Litres: math.Round(p.change * s.NetVolume().Litres), Person: person(d)}
	w.Share = w.Litres / s.NetVolume().Litres
	fresh := g.vat
	if p.kind != tanks.Marine {
		fresh = canonicalWater(p.start)
		fresh[chem.Nitrate] = canonical(chem.Nitrate, 3)
		if p.kind == tanks.Freshwater {
			w.From = g.bySource("S1")
			w.Note = "with hardening salts"
		}
	} else {
		w.From = g.bySource("V1")
	}
	for _, info := range chem.Catalogue() {
		a := info.Analyte
		v, ok := fresh[a]
		if _, here := level[a]; !ok || !here || a == chem.Temperature || a == chem.PH {
			continue
		}
		w.Water = append(w.Water, tanks.Level{Analyte: a, Value: v})
		level[a] = sure(chem.DilutedBy(level[a], w.Share, v))
	}
	if g.days-d <= g.changedFor {
		g.changes = append(g.changes, w)
	}
}

func (g *generator) bySource(code string) tanks.SystemID {
	for _, s := range g.systems {
		if s.Code == code {
			return s.ID
		}
	}
	return 0
}

// staff are the invented people of the room.
var staff = []tanks.Person{
	{Initials: "JM", Name: "Jo Mallow (invented)"},
	{Initials: "AL", Name: "Ada Lindqvist (invented)"},
	{Initials: "TK", Name: "Tam Kestrel (invented)"},
}

// person says who worked on a day.
func person(d int) string { return []string{"JM", "AL", "JM", "JM", "TK"}[d%5] }

// testDay takes the readings that are due on a day.
func (g *generator) testDay(n, d int, level map[chem.Analyte]float64, due map[chem.Analyte]int, r *rand.Rand, doser *doser) {
	s, back := g.systems[n], g.days-d
	for _, b := range g.bands[s.ID] {
		a := b.Analyte
		every := int(b.TestEvery.Hours() / 24)
		if every == 0 || d < due[a] || back == 0 {
			continue
		}
		every = max(1, every/g.often)
		if holiday(back) && every > 1 || a == chem.Phosphate && back <= brokenFrom && back >= brokenTo {
			continue
		}
		due[a] = d + every
		if r.Float64() < 0.12 {
			due[a]++ // a day late now and then
		}
		if late := g.forgotten(s.Code, a); late > 0 && back < late+every {
			due[a] = g.days + 1
		}
		m := g.benchMethod(n, a)
		reading := g.take(m, s.ID, g.day(d, 8+r.Float64()), level[a], back, r)
		reading.Person = person(d)
		g.readings = append(g.readings, reading)
		doser.heard(a, reading.Value, d)
	}
}

// forgotten returns for how many days a test has been left undone, so that the
// demo has work that is overdue.
func (g *generator) forgotten(code string, a chem.Analyte) int {
	switch code + " " + a.String() {
	case "Q1 Nitrite":
		return 9
	case "R2 Alkalinity":
		return 5
	case "F1 Calcium":
		return 5
	}
	return 0
}

// benchMethod is how a system's analyte is read: displays and racks differ.
func (g *generator) benchMethod(n int, a chem.Analyte) tanks.Method {
	want := map[chem.Analyte]string{
		chem.Temperature: "Thermometer", chem.Salinity: "Conductivity meter", chem.PH: "pH meter", chem.Alkalinity: "Alkalinity titration",
		chem.Calcium: "Calcium photometer", chem.Magnesium: "Magnesium titration", chem.Nitrate: "Nitrate colour kit",
		chem.Nitrite: "Nitrite colour kit", chem.Ammonia: "Ammonia colour kit", chem.Phosphate: "Phosphate photometer",
		chem.Hardness: "Hardness titration", chem.Conductivity: "Conductivity pen", chem.Silicate: "Silicate colour kit",
		chem.AllChlorine: "Chlorine colour kit",
	}[a]
	if a == chem.Calcium && g.plans[n].code[0] != 'F' {
		want = "Calcium titration"
	}
	return g.method(want, a)
}

func (g *generator) method(name string, a chem.Analyte) tanks.Method {
	for _, m := range g.methods {
		if m.Name == name && m.Analyte == a {
			return m
		}
	}
	panic(fmt.Sprintf("demoroom: no method %q for %s", name, a))
}

// bias is by how much a method reads too high in canonical units.
func bias(m tanks.Method, back int) float64 {
	switch {
	case m.Name == "Calcium photometer" && back < biasFrom:
		return calciumBias
	case m.Name == "Phosphate photometer":
		return phosphateBias
	}
	return 0
}

// take reads a true level by a method: biased, noisy, in steps, and below the
// limit of detection only as a bound.
func (g *generator) take(m tanks.Method, system tanks.SystemID, at time.Time, truth float64, back int, r *rand.Rand) tanks.Reading {
	scatter, _ := m.Scatter(truth)
	v := math.Max(0, truth+bias(m, back)+scatter*0.8*r.NormFloat64())
	if slip := r.Float64() < 0.004; slip && m.Analyte != chem.Salinity && m.Kind != tanks.Lab {
		v *= 1.25 // a slip of the hand
	}
	out := tanks.Reading{System: system, Analyte: m.Analyte, At: at, Unit: m.Unit, Method: m.ID, Entered: at.Add(12 * time.Minute)}
	if m.Detection > 0 && v < m.Detection {
		out.Limit, v = tanks.Below, m.Detection
	}
	info, _ := chem.Lookup(m.Analyte)
	shown, err := chem.Convert(m.Analyte, math.Min(v, info.High), info.Unit, m.Unit, chem.Water{})
	if err != nil {
		panic(fmt.Sprintf("demoroom: %v", err))
	}
	out.Typed = strconv.FormatFloat(shown, 'f', chem.Decimals(m.Analyte, m.Unit), 64)
	written, _ := strconv.ParseFloat(out.Typed, 64)
	if out.Value, err = chem.Convert(m.Analyte, written, m.Unit, info.Unit, chem.Water{}); err != nil {
		panic(fmt.Sprintf("demoroom: %v", err))
	}
	if out.Limit == tanks.Below {
		out.Typed = "<" + out.Typed
	}
	return out
}

// sample draws a lab sample whose results come nine days later.
func (g *generator) sample(n, d int, level map[chem.Analyte]float64) {
	s, r := g.systems[n], g.random(n, forLab+d*8)
	drawn := g.day(d, 8.5)
	out := labSample{sample: tanks.Sample{
		System: s.ID, Code: fmt.Sprintf("SAMPLE-%s-%03d", s.Code, d), Lab: "the regional water laboratory (invented)",
		Drawn: drawn, Sent: drawn.Add(6 * time.Hour), Expected: drawn.AddDate(0, 0, 10),
	}}
	if back := g.days - d; back > 9 {
		out.sample.Received = g.day(d+9, 15)
		for _, m := range g.methods {
			if v, ok := level[m.Analyte]; ok && m.Kind == tanks.Lab && (m.Name == assets.LabName || m.Analyte == chem.Alkalinity) {
				reading := g.take(m, s.ID, drawn, v, back, r)
				reading.Entered = out.sample.Received
				out.readings = append(out.readings, reading)
			}
		}
	}
	g.samples = append(g.samples, out)
}
