package storage

import (
	"cmp"
	"context"
	"database/sql"
	"errors"
	"hash/maphash"
	"io"
	"slices"
	"strings"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/storage/csvread"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/tanks"
)

// CSVOptions say what a file of readings leaves open.
type CSVOptions struct {
	Map    csvread.ColumnMap // what the columns hold; zero: by their headings
	Zone   *time.Location    // of times without an offset, when the map names none; nil: UTC
	Person string            // who measured, where the file does not say
	Name   string            // of the file, for the account of what was done
	// Progress, which may be nil, is told how many bytes of the file have been
	// read, from time to time and not on the caller's goroutine.
	Progress func(done, total int64)
}

// Preview is what an import would write, and what is wrong with the file.
type Preview struct {
	Header     []string            // as the file has it
	Rows       []PreviewRow        // the first MostPreviewed, in the file's order
	Faults     []csvread.LineFault // the first csvread.MostFaults, in order of the lines; a line may have several
	Readings   int                 // that the file holds
	Duplicates int                 // of them, that would not be written
	BadLines   int                 // lines with a fault, which are left out whole
	Slips      []PossibleSlip      // the first MostSlips: they would be written as they stand
	SlipCount  int
}

// MostPreviewed is how many readings a preview shows; it counts everything.
const MostPreviewed = 200

// PreviewRow is one reading of the file. A duplicate is not written: the ledger,
// or an earlier line, holds the same value of the same system, analyte, instant
// and method.
type PreviewRow struct {
	Line      int
	Reading   tanks.Reading
	Duplicate bool
}

func (p *Preview) addSlip(s PossibleSlip) {
	p.SlipCount++
	if len(p.Slips) < MostSlips {
		p.Slips = append(p.Slips, s)
	}
}

// Good returns how many readings ImportCSV would write.
func (p Preview) Good() int { return p.Readings - p.Duplicates }

// Imported is what an import wrote, and what it left out.
type Imported struct {
	Readings   int
	Duplicates int
	BadLines   int
	Faults     []csvread.LineFault // the first csvread.MostFaults
}

// PreviewCSV reads a file of readings to its end and writes nothing. Cells are
// separated by commas, semicolons or tabs (RFC 4180); numbers may have a decimal
// comma and a sign of limit. The error is a tanks.Fault of "file" or "header", or
// of the map, when no line can be read at all; whatever is wrong with single
// lines is in Preview.Faults.
func (s *Store) PreviewCSV(ctx context.Context, file io.ReadSeeker, opt CSVOptions) (Preview, error) {
	in, err := s.openCSV(ctx, file, opt)
	if err != nil {
		return Preview{}, err
	}
	known, err := newKnown(ctx, s.file.Reader())
	if err != nil {
		return Preview{}, words.Errorf("looking for values that are in the ledger already: %w", err)
	}
	defer known.close()
	slips, err := newSlips(ctx, s.file.Reader(), in.methods)
	if err != nil {
		return Preview{}, words.Errorf("looking for what the ledger lets expect: %w", err)
	}
	defer slips.close()
	p := Preview{Header: in.Header()}
	seen := map[[2]uint64]struct{}{}
	seeds := [2]maphash.Seed{maphash.MakeSeed(), maphash.MakeSeed()}
	err = in.each(ctx, func(c *chunk) error {
		if err := known.mark(ctx, c.rows); err != nil {
			return err
		}
		for i := range c.rows {
			r := &c.rows[i]
			// Two hashes of 64 bits: that two of a hundred million readings agree
			// in both by chance has a probability below 1e-22.
			same := r.sameness()
			key := [2]uint64{maphash.Comparable(seeds[0], same), maphash.Comparable(seeds[1], same)}
			if _, twice := seen[key]; twice {
				r.duplicate = true
			}
			seen[key] = struct{}{}
			if r.duplicate {
				p.Duplicates++
			}
			found, err := slips.look(ctx, r)
			if err != nil {
				return err
			}
			if found.Places != 0 {
				p.addSlip(PossibleSlip{r.line, r.reading(), found})
			}
		}
		p.Readings += len(c.rows)
		for _, r := range c.rows[:min(len(c.rows), MostPreviewed-len(p.Rows))] {
			p.Rows = append(p.Rows, PreviewRow{r.line, r.reading(), r.duplicate})
		}
		return nil
	})
	p.Faults, p.BadLines = in.Faults, in.BadLines
	if err != nil {
		return Preview{}, err
	}
	return p, nil
}

// ImportCSV writes the readings of a file that PreviewCSV finds good, all or
// none, in one transaction. A ctx that ends stops it between two readings, and
// then nothing is written. It is taken back as a whole.
func (s *Store) ImportCSV(ctx context.Context, file io.ReadSeeker, opt CSVOptions) (Imported, error) {
	in, err := s.openCSV(ctx, file, opt)
	if err != nil {
		return Imported{}, err
	}
	doing := words.Text("importing readings")
	if opt.Name != "" {
		doing = words.T("importing readings from %s", strings.ToValidUTF8(opt.Name, "\ufffd"))
	}
	var out Imported
	// The reading of the file is stopped; the transaction is then rolled back.
	err = s.actOn(ctx, doing, func(tx *act) (Touched, error) {
		out = Imported{}
		w, err := newImportWriter(tx, s.clock())
		if err != nil {
			return Touched{}, err
		}
		defer w.close()
		if err := cmp.Or(in.each(ctx, w.write), ctx.Err()); err != nil {
			return Touched{}, err
		}
		tx.versions.Imported("readings")
		out.Readings, out.Duplicates = w.written, w.duplicates
		if err := recompute(tx, w.touched); err != nil {
			return Touched{}, err
		}
		return w.change(), nil
	})
	if err != nil {
		return Imported{}, err
	}
	out.BadLines, out.Faults = in.BadLines, in.Faults
	return out, nil
}

// csvInput is a file on its way into the ledger.
type csvInput struct {
	*csvread.File
	methods  []tanks.Method
	progress func(done, total int64)
	line     []csvread.Reading // of the line at hand
}

// csvReading is a reading of a file as the ledger keeps it.
type csvReading struct {
	line      int
	duplicate bool
	readingRow
}

func (s *Store) openCSV(ctx context.Context, file io.ReadSeeker, opt CSVOptions) (*csvInput, error) {
	var room csvread.Room
	var err error
	if room.Itself, err = s.Room(ctx); err != nil {
		return nil, err
	}
	if room.Systems, err = s.Systems(ctx); err != nil {
		return nil, err
	}
	if room.Methods, err = s.Methods(ctx); err != nil {
		return nil, err
	}
	if room.Latest, err = s.Latest(ctx); err != nil {
		return nil, err
	}
	in, err := csvread.Open(ctx, file, csvread.Options{Map: opt.Map, Zone: opt.Zone, Person: opt.Person, Now: s.clock()}, room)
	if err != nil {
		return nil, err
	}
	return &csvInput{File: in, methods: room.Methods, progress: opt.Progress}, nil
}

// chunk is a part of a file: so many readings at once are in memory.
type chunk struct{ rows []csvReading }

const chunkRows = 12_000

// each reads the file and gives it in parts to use, while the next part is being
// read. A part is used again once use returns.
func (in *csvInput) each(ctx context.Context, use func(*chunk) error) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	full, free := make(chan *chunk), make(chan *chunk, 2)
	for range cap(free) {
		free <- &chunk{make([]csvReading, 0, chunkRows)}
	}
	ended := make(chan error, 1)
	go func() {
		defer close(full)
		ended <- in.fill(ctx, free, full)
	}()
	for c := range full {
		if err := use(c); err != nil {
			cancel()
			<-ended
			return err
		}
		free <- c
	}
	return <-ended
}

// fill reads the file to its end into the free parts and passes them on.
func (in *csvInput) fill(ctx context.Context, free <-chan *chunk, full chan<- *chunk) error {
	for {
		var c *chunk
		select {
		case <-ctx.Done():
			return ctx.Err()
		case c = <-free:
		}
		c.rows = c.rows[:0]
		end, err := in.fillOne(c)
		if err != nil {
			return err
		}
		if in.progress != nil {
			in.progress(in.Progress())
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case full <- c:
		}
		if end {
			return nil
		}
	}
}

func (in *csvInput) fillOne(c *chunk) (end bool, err error) {
	for len(c.rows) < chunkRows {
		in.line, err = in.Next(in.line[:0])
		if errors.Is(err, io.EOF) {
			return true, nil
		}
		if err != nil {
			return false, err
		}
		for _, r := range in.line {
			c.rows = append(c.rows, csvReading{line: r.Line, readingRow: rowOfReading(r.Reading)})
		}
	}
	return false, nil
}

// sameness is what makes two readings one.
type sameness struct {
	cell    tanks.Cell
	takenAt int64
	value   float64
	bound   int
	method  int64
}

func (r readingRow) sameness() sameness {
	return sameness{r.cell(), r.TakenAt, r.Value, r.Bound, int64(referred[tanks.MethodID](r.MethodID))}
}

// inOrder returns the numbers of the rows in the order of the index, in which
// they are faster to look up and to write.
func inOrder(rows []csvReading, order []int) []int {
	order = order[:0]
	for i := range rows {
		order = append(order, i)
	}
	slices.SortStableFunc(order, func(i, j int) int {
		a, b := &rows[i], &rows[j]
		return cmp.Or(cmp.Compare(a.SystemID, b.SystemID), cmp.Compare(a.AnalyteID, b.AnalyteID), cmp.Compare(a.TakenAt, b.TakenAt))
	})
	return order
}

// known finds readings that the ledger has already. A cell is only looked up
// where the rows lie within the times that it has readings of.
type known struct {
	spans map[tanks.Cell][2]int64
	look  *sql.Stmt
	order []int
}

// preparer is a database, or a transaction of it.
type preparer interface {
	ledgerfile.Querier
	PrepareContext(ctx context.Context, query string) (*sql.Stmt, error)
}

func newKnown(ctx context.Context, db preparer) (*known, error) {
	k := &known{spans: map[tanks.Cell][2]int64{}}
	rows, err := db.QueryContext(ctx, `SELECT system_id, analyte_id, first, last FROM (SELECT s.id AS system_id, a.id AS analyte_id,
		(SELECT min(taken_at) FROM readings WHERE system_id = s.id AND analyte_id = a.id) AS first,
		(SELECT max(taken_at) FROM readings WHERE system_id = s.id AND analyte_id = a.id) AS last
		FROM systems s CROSS JOIN analytes a) WHERE first IS NOT NULL`)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var p tanks.Cell
		var span [2]int64
		if err := rows.Scan(&p.System, &p.Analyte, &span[0], &span[1]); err != nil {
			return nil, err
		}
		k.spans[p] = span
	}
	if err := rows.Err(); err != nil {
		return nil, err
	}
	k.look, err = db.PrepareContext(
		ctx,
		"SELECT taken_at, value, bound, ifnull(method_id, 0) FROM readings WHERE system_id = ? AND analyte_id = ? AND taken_at BETWEEN ? "+
			"AND ? AND status = 0",
	)
	return k, err
}

func (k *known) close() { k.look.Close() }

// mark tells which of the rows are in the ledger.
func (k *known) mark(ctx context.Context, rows []csvReading) error {
	k.order = inOrder(rows, k.order)
	for begin := 0; begin < len(k.order); {
		p, end := rows[k.order[begin]].cell(), begin
		for end < len(k.order) && rows[k.order[end]].cell() == p {
			end++
		}
		if err := k.markCell(ctx, p, rows, k.order[begin:end]); err != nil {
			return err
		}
		begin = end
	}
	return nil
}

// markCell marks the rows of one cell, which are in order of time.
func (k *known) markCell(ctx context.Context, p tanks.Cell, rows []csvReading, order []int) error {
	span, has := k.spans[p]
	low, high := rows[order[0]].TakenAt, rows[order[len(order)-1]].TakenAt
	if !has || high < span[0] || low > span[1] {
		return nil
	}
	found, err := k.look.QueryContext(context.WithoutCancel(ctx), p.System, p.Analyte, low, high)
	if err != nil {
		return err
	}
	defer found.Close()
	there := map[sameness]bool{}
	for found.Next() {
		s := sameness{cell: p}
		if err := found.Scan(&s.takenAt, &s.value, &s.bound, &s.method); err != nil {
			return err
		}
		there[s] = true
	}
	for _, i := range order {
		rows[i].duplicate = there[rows[i].sameness()]
	}
	return found.Err()
}

// add widens the times of a cell by a reading that was written.
func (k *known) add(p tanks.Cell, at int64) {
	span, has := k.spans[p]
	if !has {
		span = [2]int64{at, at}
	}
	k.spans[p] = [2]int64{min(span[0], at), max(span[1], at)}
}

// importWriter writes the parts of a file, each in the order of the index.
type importWriter struct {
	ctx                 context.Context
	insert              *readingInsert
	known               *known
	touched             map[tanks.Cell]bool
	written, duplicates int
}

func newImportWriter(tx *act, now time.Time) (*importWriter, error) {
	known, err := newKnown(tx.ctx, tx.pool)
	if err != nil {
		return nil, err
	}
	insert, err := prepareReadingInsert(tx, now)
	if err != nil {
		known.close()
		return nil, err
	}
	return &importWriter{ctx: tx.ctx, insert: insert, known: known, touched: map[tanks.Cell]bool{}}, nil
}

func (w *importWriter) close() {
	w.insert.close()
	w.known.close()
}

func (w *importWriter) write(c *chunk) error {
	if err := w.known.mark(w.ctx, c.rows); err != nil {
		return err
	}
	seen := map[sameness]bool{} // of one pair and instant
	var at sameness
	for _, i := range w.known.order {
		r := &c.rows[i]
		same := r.sameness()
		if same.cell != at.cell || same.takenAt != at.takenAt {
			at = same
			clear(seen)
		}
		if r.duplicate || seen[same] {
			w.duplicates++
			continue
		}
		seen[same] = true
		if err := w.insert.one(&r.readingRow); err != nil {
			return words.Errorf("line %d: %w", r.line, err)
		}
		w.written++
		w.touched[same.cell] = true
	}
	for _, i := range w.known.order { // after the part: within it seen knows
		w.known.add(c.rows[i].cell(), c.rows[i].TakenAt)
	}
	return nil
}

func (w *importWriter) change() Touched {
	change := of(KindReading)
	for p := range w.touched {
		if id := p.System; !slices.Contains(change.Systems, id) {
			change.Systems = append(change.Systems, id)
		}
	}
	slices.Sort(change.Systems)
	return change
}
