package durable

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// told is a file that is being written.
type told struct {
	file *os.File
	at   int64
}

// Write implements io.Writer.
func (t *told) Write(data []byte) (int, error) {
	n, err := t.file.Write(data)
	if Watch != nil && n > 0 {
		Watch(Op{Kind: Written, Path: t.file.Name(), Offset: t.at, Data: data[:n]})
	}
	t.at += int64(n)
	return n, err
}

// fill writes into an empty file that Temporary made.
func fill(part string, write func(io.Writer) error) error {
	file, err := os.OpenFile(part, os.O_WRONLY|noFollow, 0)
	if err != nil {
		return err
	}
	err = write(&told{file: file})
	return errors.Join(err, file.Close())
}

// stride is how many bytes are copied before it is looked whether to go on.
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
	f, err := open(path)
	if err != nil {
		return "", 0, err
	}
	defer f.Close()
	h := sha256.New()
	size, err = pour(ctx, h, f)
	return hex.EncodeToString(h.Sum(nil)), size, err
}

// Copy copies a file whole, in place of the one of that name, whose mode is kept;
// where there is none the copy gets mode. When ctx ends nothing has changed.
func Copy(ctx context.Context, to, from string, mode fs.FileMode) error {
	return Write(to, mode, func(w io.Writer) error { return pourFile(ctx, w, from) })
}

// CopyInto fills a file that Temporary made with a copy.
func CopyInto(ctx context.Context, part, from string) error {
	return fill(part, func(w io.Writer) error { return pourFile(ctx, w, from) })
}

func pourFile(ctx context.Context, w io.Writer, from string) error {
	in, err := open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	_, err = pour(ctx, w, in)
	return err
}

// copyNew makes a copy of the same mode, never in place of another file.
func copyNew(from, to string) error {
	part, err := Temporary(filepath.Dir(to))
	if err != nil {
		return err
	}
	if err = CopyInto(context.Background(), part, from); err == nil {
		err = PlaceNew(part, to, ModeOf(from, Private))
	}
	if err != nil {
		Drop(part)
	}
	return err
}

// open opens a file to be read; a pipe or a device, which may never end, is
// refused.
func open(path string) (*os.File, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, &fs.PathError{Op: "read", Path: path, Err: errNoFile}
	}
	return os.Open(path)
}

var (
	errNoFile   = errors.New("is no plain file")
	errTooLarge = errors.New("is too large for what it should be")
)

// Read reads a small file of the program's own, through no link, up to most bytes.
func Read(path string, most int64) ([]byte, error) {
	info, err := os.Lstat(path)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, &fs.PathError{Op: "read", Path: path, Err: errNoFile}
	}
	if info.Size() > most {
		return nil, &fs.PathError{Op: "read", Path: path, Err: errTooLarge}
	}
	file, err := os.OpenFile(path, os.O_RDONLY|noFollow, 0)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return io.ReadAll(io.LimitReader(file, most))
}
