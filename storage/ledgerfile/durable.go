package ledgerfile

import (
	"bufio"
	"crypto/sha256"
	"encoding/hex"
	"io"
	"os"
)

// SumOf returns the SHA-256 of a file in hexadecimal, and its size.
func SumOf(path string) (sum string, size int64, err error) {
	f, err := os.Open(path)
	if err != nil {
		return "", 0, err
	}
	defer f.Close()
	h := sha256.New()
	size, err = io.Copy(h, bufio.NewReaderSize(f, 1<<20))
	return hex.EncodeToString(h.Sum(nil)), size, err
}

// SyncFile makes a file, or the names in a folder, outlast a power cut.
func SyncFile(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := f.Sync(); err != nil {
		if info, statErr := f.Stat(); statErr == nil && info.IsDir() {
			return nil // some file systems cannot sync a folder
		}
		return err
	}
	return nil
}

// WriteSynced writes a file that outlasts a power cut.
func WriteSynced(path string, data []byte) error {
	if err := os.WriteFile(path, data, 0o644); err != nil {
		return err
	}
	return SyncFile(path)
}

// CopyFile copies a file to a new one that outlasts a power cut.
func CopyFile(to, from string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.Create(to)
	if err != nil {
		return err
	}
	if _, err := io.Copy(out, in); err != nil {
		out.Close()
		return err
	}
	if err := out.Sync(); err != nil {
		out.Close()
		return err
	}
	return out.Close()
}
