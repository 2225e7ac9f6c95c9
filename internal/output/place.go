package output

import (
	"errors"
	"io/fs"
	"math/rand/v2"
	"os"
	"strconv"
	"syscall"
)

// isNotFolder reports whether err says that a part of a path is not a folder.
func isNotFolder(err error) bool { return errors.Is(err, syscall.ENOTDIR) }

// hidden returns a fresh name for unfinished work. It is short whatever the
// target is called, so that a long name stays within the file system's limit.
func hidden() string {
	return tempPrefix + strconv.FormatUint(rand.Uint64(), 36) + tempSuffix
}

// createHidden opens a new hidden file, mode 0666 before umask, for writing.
func createHidden(root *os.Root) (*os.File, string, error) {
	for try := 0; ; try++ {
		name := hidden()
		f, err := root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if !errors.Is(err, fs.ErrExist) || try == 100 {
			return f, name, err
		}
	}
}

// placeNew moves from to the name to unless something is there, in which case
// the error is fs.ErrExist. Unlike a look followed by a rename, no file that
// appears in between is lost: link(2) creates a name or fails. link is
// root.Link except in tests.
//
// File systems without hard links (FAT and exFAT, on the cards and sticks that
// playing devices read) get an empty file created with O_EXCL, which is then
// ours to rename over.
func placeNew(root *os.Root, link func(from, to string) error, from, to string) error {
	err := link(from, to)
	if err == nil {
		// The file is complete under its name; a hidden second name that
		// cannot be removed is not worth failing for.
		_ = root.Remove(from)
		return nil
	}
	if errors.Is(err, fs.ErrExist) {
		return fs.ErrExist
	}
	f, err := root.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return err
	}
	if err := f.Close(); err != nil {
		_ = root.Remove(to)
		return err
	}
	if err := root.Rename(from, to); err != nil {
		_ = root.Remove(to)
		return err
	}
	return nil
}
