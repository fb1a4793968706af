package headless

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/csvread"
	"weirkeeper/storage/safekeeping"
)

var importCommand = command{
	name: "import",
	use: "--ledger FILE --from FOLDER, or --csv FILE [--map NAME] [--zone ZONE] [--person INITIALS] [--dry-run] [--skip-bad] " +
		"[--take-slips] [--clock-is-right]",
	does: "a new ledger of what export wrote, never over a file; or the readings of a CSV file into a ledger",
	flags: func(f *flag.FlagSet, o *options) {
		f.StringVar(&o.from, "from", "", "the `FOLDER` that export made")
		f.StringVar(&o.csv, "csv", "", "a `FILE` of readings")
		f.StringVar(&o.columns, "map", "", "the `NAME` of a saved column map; without it the headings say what the columns hold")
		f.StringVar(&o.zone, "zone", "", "the time `ZONE` of times without an offset, when the map names none (the room's)")
		f.StringVar(&o.person, "person", "", "the `INITIALS` of who measured, where the file does not say")
		f.BoolVar(&o.dry, "dry-run", false, "only say what would be written and what is wrong")
		clockFlag(f, o)
		f.BoolVar(&o.skip, "skip-bad", false, "leave bad lines out; without it nothing is written when a line is bad")
		f.BoolVar(&o.slips, "take-slips", false, "take values that may be slips of the decimal point as they stand")
	},
	run: importInto,
}

func importInto(ctx context.Context, o options, out *output) (int, error) {
	switch {
	case o.csv != "" && o.from == "":
		return importReadings(ctx, o, out)
	case o.csv == "" && o.from != "":
		return importAll(ctx, o, out)
	}
	return Misused, fmt.Errorf("say where from: --from FOLDER for a whole ledger, or --csv FILE for readings")
}

func importAll(ctx context.Context, o options, out *output) (int, error) {
	if err := safekeeping.ImportAll(ctx, o.from, o.ledger, nil); err != nil {
		return Failed, err
	}
	g, err := safekeeping.Look(ctx, o.ledger)
	if err != nil {
		return Failed, err
	}
	out.say("%s: %s and %s in %s", g.Room, systems(g.Systems), readings(g.Readings), o.ledger)
	out.value = map[string]any{"room": g.Room, "systems": g.Systems, "readings": g.Readings}
	return Done, nil
}

// importReadings writes the readings of a CSV file. The lines that are wrong are
// listed, and unless they are to be skipped nothing is written.
func importReadings(ctx context.Context, o options, out *output) (code int, err error) {
	open := storage.Open
	if o.dry {
		open = storage.OpenToLook
	}
	store, err := open(ctx, o.ledger, o.clock)
	if err != nil {
		return Failed, err
	}
	defer func() {
		// A ledger whose file is gone is written into a copy as it is closed, which says where.
		if closed := store.Close(); closed != nil {
			code, err = Failed, errors.Join(err, closed)
		}
	}()
	if err := o.checkClock(store); err != nil {
		return Failed, err
	}
	store = store.As(storage.Author{Person: o.person})
	opt, err := o.csvOptions(ctx, store)
	if err != nil {
		return Misused, err
	}
	file, err := csvread.OpenFile(o.csv)
	if err != nil {
		return Failed, err
	}
	defer file.Close()
	in := storage.Imported{}
	write, slips := !o.dry, 0
	if o.dry || !o.skip || !o.slips {
		p, err := store.PreviewCSV(ctx, file, opt)
		if err != nil {
			return Failed, err
		}
		in = storage.Imported{Readings: p.Good(), Duplicates: p.Duplicates, BadLines: p.BadLines, Faults: p.Faults}
		if !o.slips {
			slips = p.SlipCount
			tellSlips(out, p)
		}
		write = write && (p.BadLines == 0 || o.skip) && slips == 0
	}
	if write {
		if in, err = store.ImportCSV(ctx, file, opt); err != nil {
			return Failed, err
		}
	}
	tellImported(out, in, write)
	if in.BadLines > 0 && !o.skip || slips > 0 {
		return Unsound, nil
	}
	return Done, nil
}

// tellSlips names the values that may be slips of the decimal point.
func tellSlips(out *output, p storage.Preview) {
	for _, s := range p.Slips {
		info, _ := chem.Lookup(s.Reading.Analyte)
		out.say("line %d: %s %s may be a slip. %s", s.Line, info.Name, s.Reading.Typed, s.Says())
	}
	if p.SlipCount > 0 {
		out.say("%s of the decimal point: correct the file, or say --take-slips to take them as they stand",
			words.N(p.SlipCount, "%d value may be a slip", "%d values may be slips"))
	}
}

func (o options) csvOptions(ctx context.Context, store *storage.Store) (storage.CSVOptions, error) {
	room, err := store.Room(ctx)
	if err != nil {
		return storage.CSVOptions{}, err
	}
	opt := storage.CSVOptions{Person: o.person, Name: filepath.Base(o.csv)}
	if o.zone == "" {
		o.zone = room.Zone
	}
	if opt.Zone, err = time.LoadLocation(o.zone); err != nil {
		return opt, fmt.Errorf("no time zone is called %q: use a name such as Europe/Paris", o.zone)
	}
	if o.columns == "" {
		return opt, nil
	}
	maps, err := store.ColumnMaps(ctx)
	if err != nil {
		return opt, err
	}
	names := []string{}
	for _, m := range maps {
		if strings.EqualFold(m.Name, o.columns) {
			opt.Map = m
			return opt, nil
		}
		names = append(names, m.Name)
	}
	return opt, fmt.Errorf("no column map is called %q: there are %q", o.columns, names)
}

func tellImported(out *output, in storage.Imported, written bool) {
	for _, f := range in.Faults {
		column := ""
		if f.Column != "" {
			column = ", " + f.Column
		}
		out.say("line %d%s: %s; %s", f.Line, column, f.Problem, f.Remedy)
	}
	verb := "imported"
	if !written {
		verb = "nothing was written; would import"
	}
	out.say("%s %s; %s, %s", verb, readings(in.Readings),
		words.N(in.Duplicates, "%d is in the ledger already", "%d are in the ledger already"),
		words.N(in.BadLines, "%d line is wrong", "%d lines are wrong"))
	type fault struct {
		Line    int    `json:"line"`
		Column  string `json:"column,omitempty"`
		Problem string `json:"problem"`
		Remedy  string `json:"remedy"`
	}
	faults := []fault{}
	for _, f := range in.Faults {
		faults = append(faults, fault{f.Line, f.Column, f.Problem.String(), f.Remedy.String()})
	}
	out.value = map[string]any{"written": written, "readings": in.Readings, "duplicates": in.Duplicates, "bad_lines": in.BadLines,
		"faults": faults}
}
