package output

import (
	"fmt"
	"os"
	"path/filepath"
)

// scratch is the folder within the hidden one where other programs write.
const scratch = "scratch"

// Scratch returns a folder on the disk of the target where programs that write
// their files themselves may do so. It is hidden, empty at first, and goes with
// the set whether that is committed or not; [Set.Take] saves files out of it.
func (s *Set) Scratch() (string, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.done {
		return "", fmt.Errorf("%s is finished; nothing can be added", s.path)
	}
	in := filepath.Join(s.stage, scratch)
	if err := s.base.MkdirAll(in, 0o777); err != nil {
		return "", s.failed("", err)
	}
	return filepath.Abs(filepath.Join(s.base.Name(), in))
}

// Take adds the file from, a path within [Set.Scratch] with forward slashes, to
// the set under that name, by moving it: however large it is, nothing is copied.
// Errors are those of [Set.Create].
func (s *Set) Take(name, from string) error {
	src, err := local(from)
	if err != nil {
		return fmt.Errorf("%q %w", from, err)
	}
	w, err := s.Create(name)
	if err != nil {
		return err
	}
	if err := w.Close(); err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	p, _ := local(name) // Create took it
	err = s.base.Rename(filepath.Join(s.stage, scratch, src), filepath.Join(s.stage, newFiles, p))
	if err != nil {
		err = s.failed(p, err)
		if s.err == nil {
			s.err = err
		}
	}
	return err
}

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
