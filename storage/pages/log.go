package pages

import "encoding/binary"

// Sizes in the log (section 4.1), in bytes.
const (
	logHead   = 32
	frameHead = 24
)

// frame is a page in the log.
type frame struct {
	number uint32
	commit uint32 // pages of the database after it; zero: it ends no transaction
	at     int64  // of the page in the log
}

// readLog finds the pages that the log has in force. A frame is of this round of the log
// when its checksum is right, given that of the frame before, and that one is of it, or
// its salts are the log's. So a damaged frame takes away itself alone, where SQLite
// would stop. Frames behind the last whole transaction, and those of an earlier round,
// are older.
func (f *File) readLog() {
	head := make([]byte, logHead)
	if f.log.size < logHead+frameHead || !f.log.fill(head, 0) {
		return
	}
	r := round{salt: string(head[16:24]), before: [2]uint32{binary.BigEndian.Uint32(head[24:]), binary.BigEndian.Uint32(head[28:])},
		in: true}
	r.torn = !headSound(head)
	data := make([]byte, frameHead+f.size)
	for at := int64(logHead); at+int64(len(data)) <= f.log.size; at += int64(len(data)) {
		f.log.fill(data, at)
		if at == logHead && r.torn {
			r.salt = string(data[8:16]) // the first frame says it too
		}
		r.take(data, frame{binary.BigEndian.Uint32(data), binary.BigEndian.Uint32(data[4:]), at + frameHead})
	}
	again := make([]byte, logHead)
	f.log.fill(again, 0)
	f.torn = r.torn && r.ended > 0 && r.broken < r.ended && string(head) == string(again) // else it is being written
	if f.behind = r.behind; f.behind > 0 {
		f.behind += len(r.valid) - r.ended
	}
	f.enforce(r.valid[:r.ended])
	for _, one := range append(r.past, r.valid[r.ended:]...) {
		f.passed(one)
	}
}

// round is the present round of a log, as it is being read.
type round struct {
	salt     string
	before   [2]uint32 // the checksum that the frame before says, and
	computed [2]uint32 // the one that it has
	in       bool      // the frame before is of this round
	suspect  *frame    // the frame before, if its checksum is not what it says
	valid    []frame
	past     []frame
	ended    int  // how many of the valid ones are of whole transactions
	torn     bool // something is damaged
	broken   int  // how many were valid when it was first
	behind   int  // damaged ones behind the last whole transaction
}

func (r *round) take(data []byte, one frame) {
	same := string(data[8:16]) == r.salt
	said := [2]uint32{binary.BigEndian.Uint32(data[16:]), binary.BigEndian.Uint32(data[20:])}
	computed, right := frameSum(data, r.before, said)
	if !right && r.suspect != nil {
		if sum, goesOn := frameSum(data, r.computed, said); goesOn {
			// The frame before is whole: what it says of itself is damaged.
			computed, right, r.in = sum, true, true
			r.behind--
			r.add(*r.suspect)
		}
	}
	r.suspect = nil
	switch {
	case one.number == 0 || !right:
		r.damaged()
		r.in = same
		if one.number != 0 && same {
			r.suspect = &one
			r.behind++
		}
	case r.in || same:
		if !same {
			r.damaged()
		}
		r.in = true
		r.add(one)
	default:
		r.past = append(r.past, one)
	}
	r.before, r.computed = said, computed
}

func (r *round) damaged() {
	if !r.torn {
		r.torn, r.broken = true, len(r.valid)
	}
}

func (r *round) add(one frame) {
	if r.valid = append(r.valid, one); one.commit != 0 {
		r.ended, r.behind = len(r.valid), 0
	}
}

// enforce puts the frames of whole transactions into force, the newest of each page.
func (f *File) enforce(frames []frame) {
	for _, one := range frames {
		if one.commit != 0 {
			f.count = one.commit
		}
		if at, had := f.newest[one.number]; had {
			f.older = append(f.older, at)
			f.number[at] = one.number
		}
		f.newest[one.number] = one.at
	}
	// What the log says there is must be somewhere.
	most := uint32(min(f.main.size/int64(f.size)+int64(len(f.newest))+1, 1<<32-2))
	f.count = min(f.count, most)
}

func (f *File) passed(one frame) {
	f.older = append(f.older, one.at)
	f.number[one.at] = one.number
}

// headSound checks the header of a log against its own checksum.
func headSound(head []byte) bool {
	for _, order := range []binary.ByteOrder{binary.LittleEndian, binary.BigEndian} {
		a, b := checksum(order, 0, 0, head[:24])
		if a == binary.BigEndian.Uint32(head[24:]) && b == binary.BigEndian.Uint32(head[28:]) {
			return true
		}
	}
	return false
}

// frameSum returns the checksum of a frame, given that of the frame before, and whether
// it is what the frame says. The header says the order of bytes; the other one would not
// match by chance.
func frameSum(data []byte, before, said [2]uint32) (sum [2]uint32, right bool) {
	for _, order := range []binary.ByteOrder{binary.BigEndian, binary.LittleEndian} {
		a, b := checksum(order, before[0], before[1], data[:8])
		a, b = checksum(order, a, b, data[frameHead:])
		if sum = [2]uint32{a, b}; sum == said {
			return sum, true
		}
	}
	return sum, false
}

// checksum goes on with a checksum of the log (section 4.2).
func checksum(order binary.ByteOrder, a, b uint32, data []byte) (uint32, uint32) {
	for ; len(data) >= 8; data = data[8:] {
		a += order.Uint32(data) + b
		b += order.Uint32(data[4:]) + a
	}
	return a, b
}
