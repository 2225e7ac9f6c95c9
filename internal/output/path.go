package output

import (
	"os"
	"path/filepath"
)

// Path reserves the file of that name for another program, which is to write it
// at the returned path before Commit. It appears with the rest of the set, or
// not at all; nothing may stand at the path while Commit runs that is still
// being written. What holds for the names of [Set.Create] holds here, and so do
// its errors.
func (s *Set) Path(name string) (string, error) {
	w, err := s.Create(name)
	if err != nil {
		return "", err
	}
	if err := w.Close(); err != nil {
		return "", err
	}
	return filepath.Join(s.fresh.Name(), w.(*setFile).name), nil
}

// Failed returns the error for a file of the set that another program could not
// write, in the words of the set's own.
func (s *Set) Failed(name string, err error) error {
	if s.ctx.Err() != nil {
		return s.interrupted()
	}
	return &WriteError{filepath.Join(s.path, name), s.left(), err}
}

// Dir makes a hidden folder for unfinished work beside the set's files, which
// goes when the set is committed or aborted.
func (s *Set) Dir() (string, error) {
	dir := filepath.Join(filepath.Dir(s.fresh.Name()), "work")
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return "", s.failed("", err)
	}
	return dir, nil
}
