package setup

import (
	"context"
	"encoding/json"
	"maps"
	"slices"

	"weirkeeper/app/say"
	"weirkeeper/chem"
	"weirkeeper/chem/seawater"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// draftName is what the page's unsaved work is kept under.
const draftName = "setup"

// draft is what was typed into the page and not saved, as the ledger keeps it.
type draft struct {
	Room  *roomDraft  `json:"room,omitempty"`
	Bands []bandDraft `json:"bands,omitempty"`
}

// roomDraft is the room's particulars as typed.
type roomDraft struct {
	Name string `json:"name"`
	Zone string `json:"zone"`
	Note string `json:"note"`
	// Height as typed; empty: not said.
	Height    string       `json:"height,omitempty"`
	Constants seawater.Set `json:"constants,omitempty"`
}

// bandDraft are the bands of one profile or system as typed.
type bandDraft struct {
	Profile tanks.ProfileID `json:"profile,omitempty"`
	System  tanks.SystemID  `json:"system,omitempty"`
	Rows    []rowDraft      `json:"rows"`
}

// rowDraft is one band as typed, in the units of then.
type rowDraft struct {
	Analyte  chem.Analyte `json:"analyte"`
	Unit     chem.Unit    `json:"unit"`
	Salinity chem.Unit    `json:"salinity"`
	Typed    []string     `json:"typed"`
}

// cells are the texts by column. A draft of the time before steps has none of them.
func (d rowDraft) cells() (typed [bandColumns]string) {
	texts := d.Typed
	if len(texts) == bandColumns-1 {
		texts = slices.Insert(slices.Clone(texts), colStep, "")
	}
	copy(typed[:], texts)
	return typed
}

// draft returns the bands that are not saved.
func (v *profilesView) draft() []bandDraft {
	var out []bandDraft
	for _, at := range slices.SortedFunc(maps.Keys(v.drafts), target.compare) {
		sheet, d := v.drafts[at], bandDraft{Profile: at.profile, System: at.system}
		for _, r := range sheet.rows {
			d.Rows = append(d.Rows, rowDraft{r.analyte, r.unit, r.psu, r.typed[:]})
		}
		out = append(out, d)
	}
	return out
}

// takeUp puts what was kept back in its place; what was typed since wins.
func (v *profilesView) takeUp(kept []bandDraft) {
	for _, d := range kept {
		at := target{d.Profile, d.System}
		if v.drafts[at] != nil {
			continue
		}
		sheet := newBandSheet(nil, v.session.Unit, v.kindOf(at))
		for _, r := range d.Rows {
			row := bandRow{analyte: r.Analyte, unit: r.Unit, psu: r.Salinity, typed: r.cells(), of: sheet.water()}
			row.band()
			sheet.rows = append(sheet.rows, row)
		}
		v.drafts[at] = sheet
	}
	if len(kept) > 0 && v.at != (target{}) {
		v.list.showGroups(v.groups())
		v.load()
	}
}

// unsaved is all that is typed and not saved; empty: nothing.
func (p *Page) unsaved() ([]byte, error) {
	d := draft{Room: p.room.draft(), Bands: p.profiles.draft()}
	if d.Room == nil && len(d.Bands) == 0 {
		return nil, nil
	}
	return json.Marshal(d)
}

// readDraft takes up what was typed before and not saved. It is read after all
// that is being kept.
func (p *Page) readDraft() {
	var data []byte
	newest := p.draft.Reading()
	p.session.Try(func(ctx context.Context, store *storage.Store) (err error) {
		data, err = store.Draft(ctx, draftName)
		return err
	}, func(err error) {
		switch {
		case err != nil:
			p.session.CouldNotRead(say.L("Reading what you typed before"), err)
		case newest():
			p.takeUp(data)
		}
	})
}

// takeUp shows a draft. One that another version of the program has kept in its
// own way is left alone.
func (p *Page) takeUp(data []byte) {
	var d draft
	if len(data) == 0 || json.Unmarshal(data, &d) != nil {
		return
	}
	p.room.takeUp(d.Room)
	p.profiles.takeUp(d.Bands)
}
