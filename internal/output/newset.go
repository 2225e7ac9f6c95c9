package output

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// NewFolder starts a set that is to be the whole content, as far as it is ours,
// of the folder dir. m names the manifest, which must be among the files.
//
// A folder that does not exist is staged beside dir and appears with one
// rename; its parent must exist. An empty folder is filled, force or not.
// A folder that holds our manifest is refused without force (*[ExistsError]);
// with force the files that the manifest lists are replaced or removed, and all
// others stay. Every other folder, and a manifest that lists names outside the
// folder, is refused even with force (*[TargetError]).
func NewFolder(ctx context.Context, dir string, force bool, m Manifest) (*Set, error) {
	s := &Set{ctx: ctx, path: dir, manifest: m.Name, outdated: true}
	if dir == "" {
		return nil, &TargetError{dir, "the output folder has an empty name", "give a folder with -o", nil}
	}
	info, err := os.Stat(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return s.start(func() error { return s.besides(dir) })
	case err != nil && !isNotFolder(err):
		return nil, &TargetError{dir, fmt.Sprintf("%s cannot be looked at: %v", dir, bare(err)),
			"choose another folder with -o", err}
	case err != nil || !info.IsDir():
		return nil, &TargetError{dir, dir + " is not a folder", "choose another folder with -o", err}
	}
	return s.start(func() error { return s.inside(dir, force, m) })
}

// NewFiles starts a set of loose files in the existing folder dir, all of
// which must be announced here: without force one that exists is refused now
// (*[ExistsError]), with force those that exist are replaced. Other files in
// dir are never touched. A name that holds a folder, a device or a FIFO is
// refused (*[TargetError]), since a set cannot be taken back from there.
func NewFiles(ctx context.Context, dir string, force bool, names ...string) (*Set, error) {
	if dir == "" {
		dir = "."
	}
	s := &Set{ctx: ctx, path: dir, allowed: map[string]bool{}, old: map[string]bool{}}
	if err := folderError(dir, dir); err != nil {
		return nil, err
	}
	return s.start(func() error {
		for _, name := range names {
			if err := s.announce(name, force); err != nil {
				return err
			}
		}
		return nil
	})
}

// start opens the folder, lets prepare look at the target, and makes the
// hidden folder. For a folder still to be made, prepare opens its parent.
func (s *Set) start(prepare func() error) (*Set, error) {
	s.files = map[string]*setFile{}
	in := s.path
	if _, err := os.Stat(s.path); err != nil {
		in = filepath.Dir(filepath.Clean(s.path))
	}
	if err := folderError(s.path, in); err != nil {
		return nil, err
	}
	root, err := os.OpenRoot(in)
	if err != nil {
		return nil, createError(s.path, in, err)
	}
	s.base = root
	if err := prepare(); err != nil {
		_ = root.Close()
		return nil, err
	}
	if s.ctx.Err() != nil {
		_ = root.Close()
		return nil, s.interrupted()
	}
	if err := s.makeStage(); err != nil {
		if s.stage != "" {
			_ = root.RemoveAll(s.stage)
		}
		_ = root.Close()
		return nil, createError(s.path, in, err)
	}
	return s, nil
}

// makeStage makes the hidden folder and the one for new files in it. The
// latter may become the target, so its mode is 0777 before umask.
func (s *Set) makeStage() error {
	for try := 0; ; try++ {
		name := hidden()
		err := s.base.Mkdir(name, 0o777)
		if err == nil {
			s.stage = name
			break
		}
		if !errors.Is(err, fs.ErrExist) || try == 100 {
			return err
		}
	}
	in := filepath.Join(s.stage, newFiles)
	if err := s.base.Mkdir(in, 0o777); err != nil {
		return err
	}
	root, err := s.base.OpenRoot(in)
	s.fresh = root
	return err
}

// besides prepares a folder that does not exist.
func (s *Set) besides(dir string) error {
	if to, err := os.Readlink(dir); err == nil {
		return &TargetError{dir, fmt.Sprintf("%s is a symbolic link to %s, which does not exist", dir, to),
			"remove the link or choose another folder with -o", nil}
	}
	s.whole = filepath.Base(filepath.Clean(dir))
	return nil
}

// inside prepares a folder that exists.
func (s *Set) inside(dir string, force bool, m Manifest) error {
	entries, err := fs.ReadDir(s.base.FS(), ".")
	if err != nil {
		return &TargetError{dir, fmt.Sprintf("%s cannot be read: %v", dir, bare(err)),
			"choose another folder with -o", err}
	}
	var first string
	ours := false
	for _, e := range entries {
		name := e.Name()
		switch {
		case name == m.Name:
			ours = true
		case strings.HasPrefix(name, tempPrefix) && strings.HasSuffix(name, tempSuffix):
			// Left by a run that was killed, or of one that is at work.
		case first == "":
			first = name
		}
	}
	if !ours && first == "" {
		return nil
	}
	if !ours {
		return &TargetError{dir,
			fmt.Sprintf("%s holds other files (%s) and no %s, so it is not replaced, even with --force", dir, first, m.Name),
			"choose another folder with -o", nil}
	}
	if !force {
		return &ExistsError{dir}
	}
	old, err := m.read(s.base)
	if err != nil {
		return &TargetError{dir,
			fmt.Sprintf("%s does not say which files may be replaced: %v", filepath.Join(dir, m.Name), err),
			"remove the folder yourself or choose another one with -o", err}
	}
	s.old = old
	return nil
}

// announce notes one file of NewFiles.
func (s *Set) announce(name string, force bool) error {
	p, err := local(name)
	if err != nil {
		return fmt.Errorf("%q %w", name, err)
	}
	if s.allowed[p] {
		return fmt.Errorf("%s is named twice", s.show(p))
	}
	s.allowed[p] = true
	info, err := s.base.Stat(p)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if _, err := s.base.Lstat(p); err != nil {
			return folderError(s.show(p), filepath.Dir(s.show(p)))
		}
	case err != nil:
		return &TargetError{s.show(p), fmt.Sprintf("%s cannot be looked at: %v", s.show(p), bare(err)),
			"choose another place with -o", err}
	case info.IsDir():
		return &TargetError{s.show(p), s.show(p) + " is a folder", "choose another name with -o", nil}
	case !info.Mode().IsRegular():
		return &TargetError{s.show(p),
			s.show(p) + " is not a regular file, and several files that belong together cannot be sent there",
			"choose another name with -o", nil}
	}
	if !force {
		if err == nil {
			return &ExistsError{s.show(p)}
		}
		return &TargetError{s.show(p), s.show(p) + " is a symbolic link to nothing",
			"remove the link or choose another name with -o", nil}
	}
	s.old[p] = true
	return nil
}
