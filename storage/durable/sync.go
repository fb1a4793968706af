package durable

import "os"

// Sync makes the contents of a file outlast a power cut.
func Sync(path string) error {
	file, err := os.OpenFile(path, syncing|noFollow, 0)
	if err != nil {
		return err
	}
	defer file.Close()
	if err := file.Sync(); err != nil {
		return err
	}
	did(Synced, path, "")
	return nil
}
