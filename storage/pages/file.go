package pages

import (
	"encoding/binary"
	"io"
	"maps"
	"slices"
)

// File is a database file with its log, as they lie. Methods may not be called at one
// time from several goroutines.
type File struct {
	main   source
	log    source
	size   int              // of a page in bytes
	count  uint32           // pages
	newest map[uint32]int64 // where in the log the page in force is
	older  []int64          // where in the log pages are that are not in force
	number map[int64]uint32 // of the pages in older
	buffer []byte
	torn   bool
	behind int
}

// source is a file that may be cut or absent.
type source struct {
	r    io.ReaderAt
	size int64
}

// fill reads what there is at an offset; zeros stand for what is not there.
func (s source) fill(data []byte, at int64) (some bool) {
	clear(data)
	if s.r == nil || at < 0 || at >= s.size {
		return false
	}
	n := min(int64(len(data)), s.size-at)
	got, err := s.r.ReadAt(data[:n], at)
	return got > 0 || err == nil
}

const headSize = 100 // section 1.3: the database header

// Open looks at a file and at its log, which may be nil. It never fails: a file that
// is no database has no cells.
func Open(main io.ReaderAt, size int64, log io.ReaderAt, logSize int64) *File {
	f := &File{
		main: source{main, size}, log: source{log, logSize},
		newest: map[uint32]int64{}, number: map[int64]uint32{},
	}
	f.size = f.findSize()
	f.buffer = make([]byte, f.size)
	f.count = uint32(min((size+int64(f.size)-1)/int64(f.size), 1<<32-2))
	f.readLog()
	return f
}

// PageSize returns the size of a page in bytes, as the pages themselves show it.
func (f *File) PageSize() int { return f.size }

// Pages returns how many pages there are; they are numbered from 1.
func (f *File) Pages() uint32 { return f.count }

// Said returns how many pages the header says that there are (section 1.3.8), zero when
// it does not go with itself.
func (f *File) Said() uint32 {
	head := make([]byte, headSize)
	if !f.main.fill(head, 0) || string(head[24:28]) != string(head[92:96]) {
		return 0
	}
	return binary.BigEndian.Uint32(head[28:])
}

// Torn tells that transactions of the log are whole which SQLite does not see, since
// something before them is damaged.
func (f *File) Torn() bool { return f.torn }

// Behind returns how many pages of the log are of a newest transaction that is damaged,
// and so is not in force: all of it is lost, or it was never whole.
func (f *File) Behind() int { return f.behind }

// Page returns a page as it is in force, nil when there is none of this number. What
// a cut file has not is zero.
func (f *File) Page(number uint32) []byte {
	data := make([]byte, f.size)
	if !f.read(number, data) {
		return nil
	}
	return data
}

func (f *File) read(number uint32, into []byte) bool {
	if number == 0 || number > f.count {
		return false
	}
	if at, logged := f.newest[number]; logged {
		return f.log.fill(into, at)
	}
	return f.main.fill(into, int64(number-1)*int64(f.size))
}

// Older calls use with every page that is not in force any more: those that the log
// has newer, and those of the log that it has newer again, or whose transaction is not
// whole. The page is the same one each time.
func (f *File) Older(use func(number uint32, page []byte)) {
	page := make([]byte, f.size)
	for _, number := range slices.Sorted(maps.Keys(f.newest)) {
		if f.main.fill(page, int64(number-1)*int64(f.size)) {
			use(number, page)
		}
	}
	for _, at := range f.older {
		if f.log.fill(page, at) {
			use(f.number[at], page)
		}
	}
}

// findSize finds the size of a page: the one at which most pages are sound. The header
// says it too, but may be damaged.
func (f *File) findSize() int {
	const usual = 4096
	head := make([]byte, headSize)
	f.main.fill(head, 0)
	said := int(binary.BigEndian.Uint16(head[16:]))
	if said == 1 {
		said = 65536
	}
	best, most := usual, 0
	for size := 512; size <= 65536; size *= 2 {
		if score := f.soundAt(size); score > most || score == most && size == said {
			best, most = size, score
		}
	}
	return best
}

// soundAt is how many in a thousand of the pages looked at, which are not empty, are
// sound at a size of page.
func (f *File) soundAt(size int) int {
	const looks = 300
	pages := max(1, (f.main.size+int64(size)-1)/int64(size))
	step := max(1, pages/looks)
	page := make([]byte, size)
	sound, seen := 0, 0
	for n := int64(0); n < pages; n += step {
		if !f.main.fill(page, n*int64(size)) || zero(page) {
			continue
		}
		seen++
		if tidy(page, n == 0) {
			sound++
		}
	}
	return sound * 1000 / max(1, seen)
}

func zero(page []byte) bool {
	for _, b := range page {
		if b != 0 {
			return false
		}
	}
	return true
}

// Free returns the pages of the list of those that are not in use (section 1.5), as
// far as it can be followed.
func (f *File) Free() map[uint32]bool {
	free := map[uint32]bool{}
	head := f.Page(1)
	if head == nil {
		return free
	}
	page := make([]byte, f.size)
	for trunk := binary.BigEndian.Uint32(head[32:]); trunk > 1 && trunk <= f.count && !free[trunk]; {
		if !f.read(trunk, page) {
			break
		}
		n := binary.BigEndian.Uint32(page[4:])
		if n > uint32(f.size/4-2) {
			break // this is no trunk
		}
		free[trunk] = true
		for i := range n {
			if leaf := binary.BigEndian.Uint32(page[8+4*i:]); leaf > 1 && leaf <= f.count {
				free[leaf] = true
			}
		}
		trunk = binary.BigEndian.Uint32(page)
	}
	return free
}
