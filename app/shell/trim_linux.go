package shell

// #include <stddef.h>
// // Weak, since only glibc has it.
// extern int malloc_trim(size_t pad) __attribute__((weak));
// static void trim(void) { if (malloc_trim) malloc_trim(0); }
import "C"

// trimC gives back what the C library keeps free in the midst of its memory. The
// program has C in any case: the driver of the window and SQLite.
func trimC() { C.trim() }
