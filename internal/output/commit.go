package output

import (
	"errors"
	"io/fs"
	"maps"
	"path/filepath"
	"slices"
	"strconv"
)

// commitWhole turns the staged folder into the new one with one rename, which
// fails where a file or a folder with something in it has appeared meanwhile
// (rename(2): ENOTDIR, ENOTEMPTY).
func (s *Set) commitWhole() error {
	_ = s.fresh.Close() // some systems do not rename an open folder
	if err := s.base.Rename(filepath.Join(s.stage, newFiles), s.whole); err != nil {
		if _, lerr := s.base.Lstat(s.whole); lerr == nil {
			return &ExistsError{s.path}
		}
		return &WriteError{s.path, s.left(), err}
	}
	return nil
}

// commitEach moves files one by one, and puts everything back on a failure.
// The manifest goes last, so that the old one holds as long as there is a
// mixture.
func (s *Set) commitEach() (err error) {
	var undo []func()
	defer func() {
		if err != nil {
			for _, f := range slices.Backward(undo) {
				f()
			}
		}
	}()

	if err := s.base.Mkdir(filepath.Join(s.stage, oldFiles), 0o700); err != nil {
		return s.failed("", err)
	}
	for i, p := range s.oldNames() {
		aside := filepath.Join(s.stage, oldFiles, strconv.Itoa(i))
		err := s.base.Rename(p, aside)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			continue // somebody removed it meanwhile
		case err != nil:
			return s.failed(p, err)
		}
		undo = append(undo, func() { _ = s.base.Rename(aside, p) })
	}
	for _, p := range s.newNames() {
		made, err := s.makeParents(p)
		for _, dir := range made {
			undo = append(undo, func() { _ = s.base.Remove(dir) })
		}
		if err != nil {
			return s.failed(p, err)
		}
		err = placeNew(s.base, s.base.Link, filepath.Join(s.stage, newFiles, p), p)
		switch {
		case errors.Is(err, fs.ErrExist):
			return s.notOurs(p)
		case err != nil:
			return s.failed(p, err)
		}
		undo = append(undo, func() { _ = s.base.Remove(p) })
	}
	s.pruneFolders()
	made, err := s.makeFolders()
	for _, dir := range made {
		undo = append(undo, func() { _ = s.base.Remove(dir) })
	}
	return err
}

// oldNames lists the existing files to move aside, the manifest last.
func (s *Set) oldNames() []string {
	var names []string
	for p := range s.old {
		if s.outdated || s.files[p] != nil {
			names = append(names, p)
		}
	}
	return s.manifestLast(names)
}

// newNames lists the files to move in, the manifest last.
func (s *Set) newNames() []string {
	return s.manifestLast(slices.Collect(maps.Keys(s.files)))
}

func (s *Set) manifestLast(names []string) []string {
	slices.Sort(names)
	if i := slices.Index(names, s.manifest); i >= 0 {
		names = append(slices.Delete(names, i, i+1), s.manifest)
	}
	return names
}

// makeParents makes the folders above p and returns those that are new, outer
// first.
func (s *Set) makeParents(p string) (made []string, err error) {
	var above []string
	for dir := filepath.Dir(p); dir != "."; dir = filepath.Dir(dir) {
		above = append(above, dir)
	}
	for _, dir := range slices.Backward(above) {
		err := s.base.Mkdir(dir, 0o777)
		switch {
		case err == nil:
			made = append(made, dir)
		case !errors.Is(err, fs.ErrExist):
			return made, err
		}
	}
	return made, nil
}

// pruneFolders removes folders that have become empty because their files were
// ours and were not made again. A folder with anything in it cannot be removed
// this way.
func (s *Set) pruneFolders() {
	if !s.outdated {
		return
	}
	for p := range s.old {
		for dir := filepath.Dir(p); dir != "."; dir = filepath.Dir(dir) {
			if s.base.Remove(dir) != nil {
				break
			}
		}
	}
}
