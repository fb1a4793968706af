package documents

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/storage/durable"
)

// Manifest lists the files of a handover with their sums.
type Manifest struct {
	Room   string         `json:"room"`
	System string         `json:"system"`
	Demo   bool           `json:"invented_demonstration_data"`
	From   time.Time      `json:"from"`
	To     time.Time      `json:"to"`
	Made   time.Time      `json:"made"`
	Files  []ManifestFile `json:"files"`
}

// ManifestFile is one file with its size in bytes and SHA-256 in hexadecimal.
type ManifestFile struct {
	Name   string `json:"name"`
	Bytes  int    `json:"bytes"`
	SHA256 string `json:"sha256"`
}

// WritePackage writes the PDF, the CSV and the manifest into a new folder
// inside dir, whole or not at all, and returns the paths of the three files.
// A folder that is there already is left alone: the new one gets a number.
// progress is told which share is done; when ctx ends first, nothing is written.
func WritePackage(ctx context.Context, dir string, h History, progress func(float64)) ([]string, error) {
	var pdf, table bytes.Buffer
	if err := WriteCSV(&table, h); err != nil {
		return nil, err
	}
	if err := WriteHandover(ctx, &pdf, h, table.Bytes(), progress); err != nil {
		return nil, err
	}
	name := fileName(h.System.Code) + " handover " + h.Made.In(h.zone()).Format("2006-01-02")
	files := []struct {
		name string
		data []byte
	}{{name + ".pdf", pdf.Bytes()}, {name + ".csv", table.Bytes()}}
	m := Manifest{Room: h.Room.Name, System: h.System.Label(), Demo: h.Room.Demo, From: h.From.UTC(), To: h.To.UTC(), Made: h.Made.UTC()}
	for _, f := range files {
		sum := sha256.Sum256(f.data)
		m.Files = append(m.Files, ManifestFile{f.name, len(f.data), hex.EncodeToString(sum[:])})
	}
	list, err := json.MarshalIndent(m, "", "  ")
	if err != nil {
		return nil, words.Errorf("writing the manifest: %w", err)
	}
	files = append(files, struct {
		name string
		data []byte
	}{name + " manifest.json", append(list, '\n')})

	part, err := durable.TemporaryFolder(dir)
	if err != nil {
		return nil, words.Errorf("making a folder in %s: %w", dir, err)
	}
	defer durable.RemoveAll(part)
	for _, f := range files {
		if err := durable.WriteData(filepath.Join(part, f.name), f.data, durable.Shared); err != nil {
			return nil, words.Errorf("writing %s: %w", f.name, err)
		}
	}
	if err := durable.SetMode(part, durable.FolderMode(durable.Shared)); err != nil {
		return nil, words.Errorf("opening the new folder to readers: %w", err)
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	folder, err := moveToFree(part, filepath.Join(dir, name))
	if err != nil {
		return nil, err
	}
	var paths []string
	for _, f := range files {
		paths = append(paths, filepath.Join(folder, f.name))
	}
	return paths, nil
}

// mostNumbers bounds the search for a free name.
const mostNumbers = 1000

// moveToFree renames a folder to the first free name.
func moveToFree(from, to string) (string, error) {
	for n := 1; n <= mostNumbers; n++ {
		target := to
		if n > 1 {
			target = fmt.Sprintf("%s (%d)", to, n)
		}
		if _, err := os.Lstat(target); !errors.Is(err, os.ErrNotExist) {
			continue
		}
		if err := durable.Rename(from, target); err != nil {
			return "", words.Errorf("moving the handover to its place: %w", err)
		}
		return target, nil
	}
	return "", words.Errorf("%s: there are too many handovers of this name", to)
}

// fileName leaves out what file systems do not take.
func fileName(text string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || strings.ContainsRune(`/\:*?"<>|`, r) {
			return '-'
		}
		return r
	}, text)
}
