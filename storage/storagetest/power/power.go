// Package power replays what a program did to the files of a folder, cut off at any
// instant as a failing power supply does: what was not yet synced is lost in any
// part and order, torn where it was being written, and so are names that were given
// or taken without their folder being synced.
//
// It sees every call that the program makes of the system, by strace, whether Go or
// the C library made it. It holds the program to POSIX and no more: fsync of a file
// keeps its bytes, fsync of a folder its names.
package power

import (
	"maps"
	"math/rand/v2"
	"slices"
)

// A Kind is what an [Op] does.
type Kind int

// The kinds.
const (
	Write      Kind = iota // bytes into a file at an offset
	Truncate               // a file made so long, with zeros when it grows
	SyncFile               // the bytes of a file kept
	Names                  // names given or taken, all of them or none
	SyncFolder             // the names in a folder kept
	Said                   // the program said that it had done something
)

// node numbers a file or a folder, whatever it is called meanwhile; none is no
// file.
type node int

const none node = 0

// place is a name in a folder.
type place struct {
	folder node
	name   string
}

// An Op is one thing that the program did.
type Op struct {
	Kind   Kind
	Node   node // of [Write], [Truncate], [SyncFile] and [SyncFolder]
	Offset int64
	Data   []byte // of [Write], and what was said of [Said]
	names  map[place]node
	before int // of a sync: how many things had been done when it was asked for
}

// A Trace is a folder as it was, and what a program did there, in order.
type Trace struct {
	Ops   []Op
	root  node
	start disk
}

// disk is what is there for certain.
type disk struct {
	bytes   map[node][]byte
	own     map[node]bool // whose bytes no other disk shares
	folders map[node]bool // the same for all disks of a trace: a number is given once
	names   map[place]node
}

func (d disk) clone() disk {
	return disk{maps.Clone(d.bytes), map[node]bool{}, d.folders, maps.Clone(d.names)}
}

// resize makes a file so long, with zeros when it grows, and its bytes the disk's own.
func (d disk) resize(of node, size int) []byte {
	data := d.bytes[of]
	if !d.own[of] {
		data = slices.Clone(data)
		d.own[of] = true
	}
	if size > len(data) {
		data = append(data, make([]byte, size-len(data))...)
	}
	d.bytes[of] = data[:size]
	return d.bytes[of]
}

// apply does an operation, of a write only the first so many bytes.
func (d disk) apply(o Op, upTo int) {
	switch o.Kind {
	case Write:
		end := int(o.Offset) + upTo
		data := d.resize(o.Node, max(len(d.bytes[o.Node]), end))
		copy(data[o.Offset:end], o.Data)
	case Truncate:
		d.resize(o.Node, int(o.Offset))
	case Names:
		for at, what := range o.names {
			if what == none {
				delete(d.names, at)
			} else {
				d.names[at] = what
			}
		}
	}
}

// A Loss says which part of what was not synced the cut takes.
type Loss int

// The losses.
const (
	Everything Loss = iota // nothing of it reached the disk
	Anything               // any part of it did
)

// Cut returns the files that are found after the power went when the first n things
// had been done, by their paths below the folder.
func (t *Trace) Cut(n int, loss Loss, rng *rand.Rand) map[string][]byte {
	d := t.start.clone()
	pending := t.unsynced(d, n)
	if loss == Anything {
		land(d, pending, rng)
	}
	return d.files(t.root)
}

// unsynced applies to a disk what is certain of the first n things and returns what
// is not, in order.
func (t *Trace) unsynced(d disk, n int) []Op {
	var pending []Op
	var since []int // which thing each of pending was
	for i, o := range t.Ops[:n] {
		switch o.Kind {
		case Write, Truncate, Names:
			pending, since = append(pending, o), append(since, i)
		case SyncFile, SyncFolder:
			var left []Op
			var leftSince []int
			for k, p := range pending {
				if since[k] < o.before && p.keptBy(o) {
					d.apply(p, len(p.Data))
				} else {
					left, leftSince = append(left, p), append(leftSince, since[k])
				}
			}
			pending, since = left, leftSince
		}
	}
	return pending
}

// keptBy tells whether a sync keeps what an operation did. Names that change in two
// folders at once are kept with either.
func (o Op) keptBy(sync Op) bool {
	if sync.Kind == SyncFile {
		return o.Kind != Names && o.Node == sync.Node
	}
	if o.Kind != Names {
		return false
	}
	for at := range o.names {
		if at.folder == sync.Node {
			return true
		}
	}
	return false
}

// sector is what a disk writes at once, if it writes at all; but a disk may also
// tear within.
const sector = 512

// land lets a part of what was not synced reach the disk: names mostly in their
// order, as file systems with a journal do; bytes in any.
func land(d disk, pending []Op, rng *rand.Rand) {
	var names, bytes []Op
	for _, o := range pending {
		if o.Kind == Names {
			names = append(names, o)
		} else {
			bytes = append(bytes, o)
		}
	}
	if rng.IntN(2) == 0 {
		names = names[:rng.IntN(len(names)+1)]
	} else {
		names = slices.DeleteFunc(names, func(Op) bool { return rng.IntN(2) == 0 })
	}
	for _, o := range names {
		d.apply(o, 0)
	}
	if rng.IntN(3) == 0 { // all, but for the end
		bytes = bytes[:rng.IntN(len(bytes)+1)]
		for _, o := range bytes {
			d.apply(o, len(o.Data))
		}
		return
	}
	for _, i := range rng.Perm(len(bytes)) {
		upTo := len(bytes[i].Data)
		switch rng.IntN(5) {
		case 0:
			continue
		case 1:
			upTo = rng.IntN(upTo/sector+1) * sector
		case 2:
			upTo = rng.IntN(upTo + 1)
		}
		d.apply(bytes[i], upTo)
	}
}

// files are what can be reached from a folder.
func (d disk) files(root node) map[string][]byte {
	out := map[string][]byte{}
	var walk func(folder node, path string)
	walk = func(folder node, path string) {
		for at, what := range d.names {
			switch {
			case at.folder != folder:
			case d.folders[what]:
				walk(what, path+at.name+"/")
			default:
				out[path+at.name] = d.bytes[what]
			}
		}
	}
	walk(root, "")
	return out
}

// Without returns the trace of a program that left out some of what it did.
func (t *Trace) Without(out func(i int, o Op) bool) *Trace {
	less := &Trace{root: t.root, start: t.start}
	dropped := make([]int, len(t.Ops)+1) // before each
	for i, o := range t.Ops {
		dropped[i+1] = dropped[i]
		if out(i, o) {
			dropped[i+1]++
			continue
		}
		o.before -= dropped[min(o.before, i)]
		less.Ops = append(less.Ops, o)
	}
	return less
}

// Wrote tells whether a file of the folder, by the name that it had when the first
// things were done, was written from there to the next.
func (t *Trace) Wrote(name string, first, next int) bool {
	d := t.start.clone()
	for _, o := range t.Ops[:first] {
		if o.Kind == Names {
			d.apply(o, 0)
		}
	}
	what := d.names[place{t.root, name}]
	return slices.ContainsFunc(t.Ops[first:next], func(o Op) bool { return o.Kind == Write && o.Node == what })
}
