package ledgerfile

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"os"
)

// stride is how many bytes are read before it is looked whether to go on.
const stride = 4 << 20

// pour copies what is left of a file, as long as ctx has not ended.
func pour(ctx context.Context, to io.Writer, from io.Reader) (size int64, err error) {
	for {
		if err := ctx.Err(); err != nil {
			return size, err
		}
		n, err := io.CopyN(to, from, stride)
		size += n
		if errors.Is(err, io.EOF) {
			return size, nil
		}
		if err != nil {
			return size, err
		}
	}
}

// SumOf returns the SHA-256 of a file in hexadecimal, and its size.
func SumOf(ctx context.Context, path string) (sum string, size int64, err error) {
	f, err := os.Open(path)
	if err != nil {
		return "", 0, err
	}
	defer f.Close()
	h := sha256.New()
	size, err = pour(ctx, h, f)
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

// CopyFile copies a file to a new one that outlasts a power cut. When ctx ends a
// part of it is left.
func CopyFile(ctx context.Context, to, from string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.Create(to)
	if err != nil {
		return err
	}
	_, err = pour(ctx, out, in)
	if err == nil {
		err = out.Sync()
	}
	return errors.Join(err, out.Close())
}
