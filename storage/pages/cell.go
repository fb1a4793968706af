package pages

import (
	"encoding/binary"
	"slices"
)

// Kinds of pages (section 1.6).
const (
	indexInterior = 2
	tableInterior = 5
	indexLeaf     = 10
	tableLeaf     = 13
)

// Cell is a row of a table, or an entry of an index; a table without row numbers is
// kept as an index.
type Cell struct {
	Index   bool
	Row     int64  // the row's number in a table
	Payload []byte // the record; see Decode
	Whole   bool   // nothing of it is missing
}

// layout is what the head of a page says.
type layout struct {
	kind     byte
	at       int // of the head
	pointers int // where the pointers to the cells begin
	cells    int // as many as there can be
}

func layoutOf(page []byte, first bool) layout {
	l := layout{}
	if first {
		l.at = headSize
	}
	l.kind = page[l.at]
	l.pointers = l.at + 8
	if l.kind == tableInterior || l.kind == indexInterior {
		l.pointers += 4
	}
	l.cells = min(int(binary.BigEndian.Uint16(page[l.at+3:])), (len(page)-l.pointers)/2)
	return l
}

// cell returns where a cell begins; ok: it lies behind the pointers.
func (l layout) cell(page []byte, n int) (at int, ok bool) {
	at = int(binary.BigEndian.Uint16(page[l.pointers+2*n:]))
	return at, at >= l.pointers+2*l.cells && at < len(page)-3
}

// tidy tells a page whose cells lie where they must, the last of them up to its end.
func tidy(page []byte, first bool) bool {
	l := layoutOf(page, first)
	if !slices.Contains([]byte{indexInterior, tableInterior, indexLeaf, tableLeaf}, l.kind) || l.cells == 0 {
		return false
	}
	if int(binary.BigEndian.Uint16(page[l.at+3:])) != l.cells {
		return false
	}
	end := 0
	for n := range l.cells {
		at, ok := l.cell(page, n)
		if !ok {
			return false
		}
		end = max(end, at+cellSize(page, l.kind, at))
	}
	return end > len(page)-16 && end <= len(page)
}

// cellSize is how many bytes of a page a cell takes.
func cellSize(page []byte, kind byte, at int) int {
	begin := at
	if kind == indexInterior || kind == tableInterior {
		at += 4
	}
	size, n := varint(page[min(at, len(page)):])
	at += n
	if kind == tableInterior {
		return at - begin
	}
	if kind == tableLeaf {
		_, n = varint(page[min(at, len(page)):])
		at += n
	}
	local, over := localSize(uint64(size), len(page), kind == tableLeaf)
	at += local
	if over {
		at += 4
	}
	return max(4, at-begin)
}

// localSize is how much of a payload lies on the page itself; over: the rest lies on
// others (section 1.6).
func localSize(size uint64, page int, table bool) (local int, over bool) {
	least := (page-12)*32/255 - 23
	most := (page-12)*64/255 - 23
	if table {
		most = page - 35
	}
	if size <= uint64(most) {
		return int(size), false
	}
	if local = least + int((size-uint64(least))%uint64(page-4)); local > most {
		local = least
	}
	return local, true
}

// Cells calls use with the cells of a page that hold records. Number is the page's; a
// payload is use's only while it runs.
func (f *File) Cells(number uint32, page []byte, use func(Cell)) {
	if len(page) != f.size {
		return
	}
	l := layoutOf(page, number == 1)
	switch l.kind {
	case tableLeaf, indexLeaf, indexInterior:
		f.cellsAs(page, l, use)
	case tableInterior:
	default: // the kind itself may be what is damaged
		for _, kind := range []byte{tableLeaf, indexLeaf} {
			l.kind = kind
			f.cellsAs(page, l, use)
		}
	}
}

func (f *File) cellsAs(page []byte, l layout, use func(Cell)) {
	for n := range l.cells {
		at, ok := l.cell(page, n)
		if !ok {
			continue
		}
		if c, ok := f.cellAt(page, l.kind, at); ok {
			use(c)
		}
	}
}

// cellAt reads one cell; not ok: it cannot be one.
func (f *File) cellAt(page []byte, kind byte, at int) (c Cell, ok bool) {
	c.Index = kind != tableLeaf
	if kind == indexInterior {
		at += 4
	}
	if at >= len(page) {
		return Cell{}, false
	}
	size, n := varint(page[at:])
	at += n
	if kind == tableLeaf && n > 0 {
		c.Row, n = varint(page[at:])
		at += n
	}
	if n == 0 || size < 1 || size > f.main.size+f.log.size || at >= len(page) {
		return Cell{}, false
	}
	local, over := localSize(uint64(size), len(page), kind == tableLeaf)
	if at+local > len(page) {
		return Cell{}, false
	}
	c.Payload = page[at : at+local]
	if !over {
		c.Whole = true
		return c, true
	}
	if at+local+4 > len(page) {
		return Cell{}, false
	}
	c.Payload = append(make([]byte, 0, local+f.size), c.Payload...)
	next := binary.BigEndian.Uint32(page[at+local:])
	c.Payload, c.Whole = f.follow(c.Payload, next, size)
	return c, true
}

// follow adds what lies on other pages, a chain of them (section 1.6).
func (f *File) follow(payload []byte, next uint32, size int64) ([]byte, bool) {
	for left := f.count; int64(len(payload)) < size; left-- {
		if left == 0 || !f.read(next, f.buffer) {
			return payload, false
		}
		next = binary.BigEndian.Uint32(f.buffer)
		n := min(size-int64(len(payload)), int64(f.size-4))
		payload = append(payload, f.buffer[4:4+n]...)
	}
	return payload, true
}

// Walk calls use with the number of every page of the tree below a root, and of the
// root, each once. It returns the pages to which the tree leads and that there are not:
// the file is cut.
func (f *File) Walk(root uint32, use func(number uint32)) (beyond []uint32) {
	seen := map[uint32]bool{}
	waiting := []uint32{root}
	page := make([]byte, f.size)
	for len(waiting) > 0 {
		number := waiting[len(waiting)-1]
		waiting = waiting[:len(waiting)-1]
		if seen[number] {
			continue
		}
		seen[number] = true
		if number > f.count {
			beyond = append(beyond, number)
		}
		if !f.read(number, page) {
			continue
		}
		use(number)
		l := layoutOf(page, number == 1)
		if l.kind != tableInterior && l.kind != indexInterior {
			continue
		}
		waiting = append(waiting, binary.BigEndian.Uint32(page[l.at+8:]))
		for n := range l.cells {
			if at, ok := l.cell(page, n); ok {
				waiting = append(waiting, binary.BigEndian.Uint32(page[at:]))
			}
		}
	}
	return beyond
}

// Holds tells whether a page, as it lies, may hold records that cannot be read: it is
// neither empty nor a sound page of a tree.
func (f *File) Holds(number uint32, page []byte) bool {
	return !zero(page) && !tidy(page, number == 1) && !vacant(page, number == 1)
}

// vacant tells a sound leaf of a tree without anything in it, as the root of a table that
// has no rows.
func vacant(page []byte, first bool) bool {
	l := layoutOf(page, first)
	begins := int(binary.BigEndian.Uint16(page[l.at+5:])) // of what lies on it; its end, when nothing does
	return (l.kind == tableLeaf || l.kind == indexLeaf) && l.cells == 0 && begins == len(page)%65536
}
