package widgets

import (
	"os"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/storage"
	"fyne.io/fyne/v2/storage/repository"
)

// keepFiles makes Fyne open a file to write only with the first byte. Its dialog for
// saving opens the chosen file, which empties it, before there is anything to write.
func keepFiles() {
	files, err := repository.ForURI(storage.NewFileURI(os.TempDir()))
	if all, ok := files.(fileAccess); err == nil && ok {
		if _, kept := files.(keptFiles); !kept {
			repository.Register(filesScheme, keptFiles{all})
		}
	}
}

const filesScheme = "file"

// fileAccess is all that Fyne's access to files can do.
type fileAccess interface {
	repository.AppendableRepository
	repository.CopyableRepository
	repository.DeleteAllRepository
	repository.HierarchicalRepository
	repository.ListableRepository
	repository.MovableRepository
}

// keptFiles is access to files that empties none by opening it.
type keptFiles struct{ fileAccess }

// Writer implements repository.WritableRepository.
func (f keptFiles) Writer(u fyne.URI) (fyne.URIWriteCloser, error) {
	return &laterFile{at: u, open: f.fileAccess.Writer}, nil
}

// laterFile is a file that is opened with the first write.
type laterFile struct {
	at   fyne.URI
	open func(fyne.URI) (fyne.URIWriteCloser, error)
	file fyne.URIWriteCloser // nil: not opened
}

// URI implements fyne.URIWriteCloser.
func (l *laterFile) URI() fyne.URI { return l.at }

// Write implements io.Writer.
func (l *laterFile) Write(data []byte) (int, error) {
	if l.file == nil {
		file, err := l.open(l.at)
		if err != nil {
			return 0, err
		}
		l.file = file
	}
	return l.file.Write(data)
}

// Close implements io.Closer.
func (l *laterFile) Close() error {
	if l.file == nil {
		return nil
	}
	return l.file.Close()
}
