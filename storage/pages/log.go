package pages

import (
	"encoding/binary"
	"math"
)

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

// readLog finds the pages that the log has in force. A frame counts when its salts
// are the log's and its checksum is right, given that of the frame before; so a
// damaged frame takes away itself alone, where SQLite would stop. Frames behind the
// last whole transaction, and those of an earlier round of the log, are older.
func (f *File) readLog() {
	head := make([]byte, logHead)
	if f.log.size < logHead+frameHead || !f.log.fill(head, 0) {
		return
	}
	var valid, past []frame
	data := make([]byte, frameHead+f.size)
	salt, sum := head[16:24], head[24:32]
	if first := make([]byte, 8); f.log.fill(first, logHead+8) && !headSound(head) {
		salt = first // the header is damaged: the first frame says it too
	}
	salt = append([]byte(nil), salt...)
	before := append([]byte(nil), sum...)
	ended, broken := 0, math.MaxInt
	for at := int64(logHead); at+int64(len(data)) <= f.log.size; at += int64(len(data)) {
		f.log.fill(data, at)
		one := frame{binary.BigEndian.Uint32(data), binary.BigEndian.Uint32(data[4:]), at + frameHead}
		switch right := frameSound(data, before); {
		case one.number == 0 || !right:
			broken = min(broken, len(valid))
		case string(data[8:16]) != string(salt):
			past = append(past, one)
		default:
			if valid = append(valid, one); one.commit != 0 {
				ended = len(valid)
			}
		}
		copy(before, data[16:24])
	}
	f.torn = broken < ended || !headSound(head) && ended > 0
	f.enforce(valid[:ended])
	for _, one := range append(past, valid[ended:]...) {
		f.passed(one)
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

// frameSound checks a frame against its checksum, given that of the frame before. The
// header says the order of bytes; the other one would not match by chance.
func frameSound(data, before []byte) bool {
	for _, order := range []binary.ByteOrder{binary.LittleEndian, binary.BigEndian} {
		a, b := checksum(order, binary.BigEndian.Uint32(before), binary.BigEndian.Uint32(before[4:]), data[:8])
		a, b = checksum(order, a, b, data[frameHead:])
		if a == binary.BigEndian.Uint32(data[16:]) && b == binary.BigEndian.Uint32(data[20:]) {
			return true
		}
	}
	return false
}

// checksum goes on with a checksum of the log (section 4.2).
func checksum(order binary.ByteOrder, a, b uint32, data []byte) (uint32, uint32) {
	for ; len(data) >= 8; data = data[8:] {
		a += order.Uint32(data) + b
		b += order.Uint32(data[4:]) + a
	}
	return a, b
}
