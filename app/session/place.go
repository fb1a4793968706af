package session

import "weirkeeper/assets/words"

// Place is a screen of the rail, or a system's own page.
type Place int

// The places, in the rail's order; System is reached from them.
const (
	Rounds Place = iota
	Room
	TestSheet
	Dosing
	Samples
	Trends
	Handover
	Setup
	System
)

// Words implements words.Worded: the place's name as the rail shows it.
func (p Place) Words() words.Text {
	switch p {
	case Rounds:
		return "Rounds"
	case Room:
		return "Room"
	case TestSheet:
		return "Test sheet"
	case Dosing:
		return "Dosing"
	case Samples:
		return "Lab samples"
	case Trends:
		return "Trends"
	case Handover:
		return "Handover"
	case Setup:
		return "Setup"
	case System:
		return "System"
	}
	return words.T("place %d", int(p))
}

// String returns the name in English.
func (p Place) String() string { return p.Words().String() }

// Section is a part of a place that has several, each with a tab of its own.
type Section int

// The sections, place by place in the order of their tabs. The window's memory
// keeps their numbers from one run to the next.
const (
	NoSection Section = iota

	DosingPlan
	DosingRunSheet
	DosingShelf
	DosingChanges

	SetupRoom
	SetupSystems
	SetupProfiles
	SetupMethods
	SetupTasks
	SetupPeople
	SetupImport
	SetupBackups
	SetupPreferences

	SystemWater
	SystemChemistry
	SystemTrend
	SystemLog

	DosingMaking

	sectionsEnd
)

var sectionNames = [sectionsEnd]words.Text{
	DosingPlan: "Plan", DosingRunSheet: "Run sheet", DosingShelf: "Shelf", DosingChanges: "Water changes",
	DosingMaking: "Making water",
	SetupRoom:    "Room", SetupSystems: "Systems", SetupProfiles: "Profiles", SetupMethods: "Methods", SetupTasks: "Tasks",
	SetupPeople: "People", SetupImport: "Import", SetupBackups: "Backups", SetupPreferences: "Preferences",
	SystemWater: "Water", SystemChemistry: "Chemistry", SystemTrend: "Trend", SystemLog: "Log",
}

// Words implements words.Worded: the section's name as its tab shows it, empty
// for NoSection.
func (s Section) Words() words.Text {
	if s < 0 || s >= sectionsEnd {
		return ""
	}
	return sectionNames[s]
}

// Place is where the section is; ok is false for NoSection and what is none.
func (s Section) Place() (p Place, ok bool) {
	switch {
	case s >= DosingPlan && s <= DosingChanges, s == DosingMaking:
		return Dosing, true
	case s >= SetupRoom && s <= SetupPreferences:
		return Setup, true
	case s >= SystemWater && s <= SystemLog:
		return System, true
	}
	return 0, false
}

// Sections lists the sections of a place in the order of their tabs; nil where it
// has none.
func (p Place) Sections() []Section {
	var all []Section
	for s := range sectionsEnd {
		if at, ok := s.Place(); ok && at == p {
			all = append(all, s)
		}
	}
	return all
}
