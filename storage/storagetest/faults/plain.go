package faults

import (
	"database/sql"
	"net/url"
	"testing"

	_ "github.com/mattn/go-sqlite3" // the driver "sqlite3"
)

// Plain opens a ledger's file with SQLite alone.
func Plain(t testing.TB, path string) *sql.DB {
	t.Helper()
	u := url.URL{Scheme: "file", OmitHost: true, Path: path, RawQuery: "_busy_timeout=5000"}
	db, err := sql.Open("sqlite3", u.String())
	if err != nil {
		t.Fatal(err)
	}
	db.SetMaxOpenConns(1)
	t.Cleanup(func() { db.Close() })
	return db
}

// Execute runs statements on a file with SQLite alone.
func Execute(t testing.TB, path string, statements ...string) {
	t.Helper()
	db := Plain(t, path)
	defer db.Close()
	for _, s := range statements {
		if _, err := db.Exec(s); err != nil {
			t.Fatalf("%s: %v", s, err)
		}
	}
}
