package output

import (
	"fmt"
	"os"
	"path/filepath"
)

// Folder adds a folder that may stay empty.
func (s *Set) Folder(name string) error {
	p, err := local(name)
	if err != nil {
		return fmt.Errorf("%q %w", name, err)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.done {
		return fmt.Errorf("%s is finished; %s cannot be added", s.path, name)
	}
	if s.whole == "" {
		if info, err := s.base.Lstat(p); err == nil && !info.IsDir() {
			return s.notOurs(p)
		}
	}
	if err := s.fresh.MkdirAll(p, 0o777); err != nil {
		return s.failed(p, err)
	}
	s.folders = append(s.folders, p)
	return nil
}

// makeFolders makes the folders of the set in the target, and returns those
// that are new, outer first.
func (s *Set) makeFolders() (made []string, err error) {
	for _, dir := range s.folders {
		above, err := s.makeParents(filepath.Join(dir, "x"))
		made = append(made, above...)
		if err != nil {
			return made, &WriteError{s.show(dir), s.left(), err}
		}
		if info, err := s.base.Lstat(dir); err == nil && !info.IsDir() {
			return made, &WriteError{s.show(dir), s.left(), os.ErrExist}
		}
	}
	return made, nil
}
