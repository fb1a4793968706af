package program

import (
	"hash/maphash"
	"os"
	"syscall"
	"testing"
)

// digest tells pictures apart by every seventh row: no text is that low, and the
// measuring must not take the time that it measures.
func digest(screen []byte) uint64 {
	const row = 1440 * 4
	var h maphash.Hash
	h.SetSeed(seed)
	for at := 0; at+row <= len(screen); at += 7 * row {
		h.Write(screen[at : at+row])
	}
	return h.Sum64()
}

var seed = maphash.MakeSeed()

// mapped is the display's picture as it changes.
func mapped(t testing.TB, path string) []byte {
	t.Helper()
	file, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		t.Fatal(err)
	}
	data, err := syscall.Mmap(int(file.Fd()), 0, int(info.Size()), syscall.PROT_READ, syscall.MAP_SHARED)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { syscall.Munmap(data) })
	return data
}
