package setup

import (
	"context"
	"encoding/json"
	"slices"

	"weirkeeper/app/say"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// draftName is what the page's unsaved work is kept under.
const draftName = "setup"

// draft is what was typed into the page and not saved, as the ledger keeps it.
type draft struct {
	Bands []bandDraft `json:"bands,omitempty"`
}

// bandDraft are the bands of one profile or system as typed.
type bandDraft struct {
	Profile tanks.ProfileID `json:"profile,omitempty"`
	System  tanks.SystemID  `json:"system,omitempty"`
	Rows    []rowDraft      `json:"rows"`
}

// rowDraft is one band as typed, in the units of then.
type rowDraft struct {
	Analyte  chem.Analyte        `json:"analyte"`
	Unit     chem.Unit           `json:"unit"`
	Salinity chem.Unit           `json:"salinity"`
	Typed    [bandColumns]string `json:"typed"`
}

// draft returns the bands that are not saved.
func (v *profilesView) draft() []bandDraft {
	var out []bandDraft
	for at, sheet := range v.drafts {
		d := bandDraft{Profile: at.profile, System: at.system}
		for _, r := range sheet.rows {
			d.Rows = append(d.Rows, rowDraft{r.analyte, r.unit, r.psu, r.typed})
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
		sheet := newBandSheet(nil, v.session.Unit)
		for _, r := range d.Rows {
			row := bandRow{analyte: r.Analyte, unit: r.Unit, psu: r.Salinity, typed: r.Typed}
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

// keepDraft keeps in the ledger what is typed and not saved.
func (p *Page) keepDraft() {
	p.keeping(func() {})
}

// keeping keeps in the ledger what is typed and not saved, then says so.
func (p *Page) keeping(kept func()) {
	if p.session.Store.ReadOnly() {
		kept()
		return
	}
	d := draft{Bands: p.profiles.draft()}
	slices.SortFunc(d.Bands, func(a, b bandDraft) int { return int(a.Profile-b.Profile) + int(a.System-b.System) })
	p.session.Act(say.L("Keeping what you typed"), func(ctx context.Context, store *storage.Store) error {
		if len(d.Bands) == 0 {
			return store.DropDraft(ctx, draftName)
		}
		data, err := json.Marshal(d)
		if err != nil {
			return err
		}
		return store.SaveDraft(ctx, draftName, data)
	}, kept)
}

// readDraft takes up what was typed before and not saved. It is read after all
// that is being kept.
func (p *Page) readDraft() {
	var d draft
	p.session.Try(func(ctx context.Context, store *storage.Store) error {
		data, err := store.Draft(ctx, draftName)
		if err != nil || len(data) == 0 {
			return err
		}
		// A draft of another version is left: it is overwritten by the next one.
		_ = json.Unmarshal(data, &d)
		return nil
	}, func(err error) {
		if err != nil {
			p.session.CouldNotRead(say.L("Reading what you typed before"), err)
			return
		}
		p.profiles.takeUp(d.Bands)
	})
}
