package ledgerfile

import (
	"strings"
	"testing"
)

// TestWriterSettings reads back what durability rests on, from the connection
// that writes.
func TestWriterSettings(t *testing.T) {
	f := newLedger(t)
	for pragma, want := range map[string]string{
		"journal_mode": "wal", "synchronous": "2", "foreign_keys": "1", "fullfsync": "1", "checkpoint_fullfsync": "1",
		"trusted_schema": "0", "cell_size_check": "1", "busy_timeout": "10000", "cache_size": "-65536",
	} {
		var got string
		if err := f.Writer().QueryRow("PRAGMA " + pragma).Scan(&got); err != nil || got != want {
			t.Errorf("%s is %s, want %s (%v)", pragma, got, want, err)
		}
	}
	if _, err := f.Reader().Exec("UPDATE room SET name = 'y'"); err == nil {
		t.Error("a reading connection wrote")
	}
	for pragma, values := range map[string][2]string{"foreign_keys": {"OFF", "ON"}, "synchronous": {"NORMAL", "FULL"}} {
		for i, want := range []bool{false, true} {
			if _, err := f.Writer().Exec("PRAGMA " + pragma + " = " + values[i]); err != nil {
				t.Fatal(err)
			}
			if err := f.assertSafe(t.Context()); (err == nil) != want || err != nil && !strings.Contains(err.Error(), pragma) {
				t.Errorf("%s = %s, yet %v", pragma, values[i], err)
			}
		}
	}
}
