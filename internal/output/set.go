package output

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path"
	"path/filepath"
	"slices"
	"sync"
)

// A Set stages files in a hidden folder and moves them into place together,
// or not at all. Make one with [NewFolder] or [NewFiles], create its files,
// then Commit; a deferred Abort clears up after every other way out.
//
// The methods are safe for concurrent use, and so are different files of one
// set; a single file is not.
type Set struct {
	ctx  context.Context
	path string // the folder as given, for messages

	base  *os.Root // where the hidden folder lives
	stage string   // its name in base
	fresh *os.Root // the new files, in stage/new
	whole string   // not "": stage/new becomes this folder of base

	allowed  map[string]bool // names that Create takes; nil: any
	old      map[string]bool // existing files that may be replaced
	outdated bool            // whether old files not made anew are removed
	manifest string          // must be among the files, or ""

	mu      sync.Mutex
	files   map[string]*setFile
	order   []string // in which files were created
	folders []string // that are there even when empty
	err     error    // the first failure of any file
	done    bool     // committed or aborted
}

// Names inside the hidden folder.
const (
	newFiles = "new"
	oldFiles = "old"
)

// Create starts the file of that name, which is relative to the folder, with
// forward slashes; folders on the way are made. The writer is unbuffered, like
// that of [File]. It must be closed before Commit.
//
// The errors are *[ExistsError] where the name holds a file that may not be
// replaced, *[InterruptedError], *[WriteError], and a plain error for a name
// that is not local, was created before or was not announced to [NewFiles].
func (s *Set) Create(name string) (io.WriteCloser, error) {
	p, err := local(name)
	if err != nil {
		return nil, fmt.Errorf("%q %w", name, err)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	switch {
	case s.done:
		return nil, fmt.Errorf("%s is finished; %s cannot be added", s.path, name)
	case s.files[p] != nil:
		return nil, fmt.Errorf("%s is in the set already", s.show(p))
	case s.allowed != nil && !s.allowed[p]:
		return nil, fmt.Errorf("%s was not announced for this set", s.show(p))
	case s.ctx.Err() != nil:
		return nil, s.interrupted()
	}
	if s.whole == "" && !s.old[p] {
		if _, err := s.base.Lstat(p); err == nil {
			return nil, s.notOurs(p)
		}
	}
	if dir := filepath.Dir(p); dir != "." {
		if err := s.fresh.MkdirAll(dir, 0o777); err != nil {
			return nil, s.failed(p, err)
		}
	}
	f, err := s.fresh.OpenFile(p, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return nil, s.failed(p, err)
	}
	sf := &setFile{set: s, name: p, f: f, sink: sink{ctx: s.ctx, w: f}}
	s.files[p] = sf
	s.order = append(s.order, p)
	return sf, nil
}

// WriteFile creates the file of that name with that content.
func (s *Set) WriteFile(name string, data []byte) error {
	w, err := s.Create(name)
	if err != nil {
		return err
	}
	_, err = w.Write(data)
	return errors.Join(err, w.Close())
}

// Commit moves all files into place. If it cannot move every one, those that it
// had moved or replaced are put back, the hidden folder is removed, and the
// error says why. Afterwards the set is finished either way.
func (s *Set) Commit() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.done {
		return fmt.Errorf("%s is finished already", s.path)
	}
	defer s.clear()
	if err := s.ready(); err != nil {
		return err
	}
	if s.whole != "" {
		return s.commitWhole()
	}
	return s.commitEach()
}

// Abort removes what was staged and leaves the target as it was. After a
// Commit or another Abort it does nothing.
func (s *Set) Abort() {
	s.mu.Lock()
	defer s.mu.Unlock()
	if !s.done {
		s.clear()
	}
}

// ready says why the set must not be committed, or nil.
func (s *Set) ready() error {
	if s.ctx.Err() != nil {
		return s.interrupted()
	}
	if s.err != nil {
		return s.err
	}
	for _, p := range s.order {
		if !s.files[p].closed {
			return fmt.Errorf("%s is still being written; %s", s.show(p), s.left())
		}
	}
	for p := range s.allowed {
		if s.files[p] == nil {
			return fmt.Errorf("%s was announced but not made; %s", s.show(p), s.left())
		}
	}
	if s.manifest != "" && s.files[s.manifest] == nil {
		return fmt.Errorf("%s has no %s; %s", s.path, s.manifest, s.left())
	}
	return nil
}

// clear closes and removes everything hidden.
func (s *Set) clear() {
	s.done = true
	for _, f := range s.files {
		if !f.closed {
			_ = f.f.Close()
		}
	}
	_ = s.fresh.Close()
	_ = s.base.RemoveAll(s.stage)
	_ = s.base.Close()
}

// show is a file of the set as the user would name it.
func (s *Set) show(p string) string { return filepath.Join(s.path, p) }

// left says what stands under the target if the set fails.
func (s *Set) left() string {
	switch {
	case s.whole != "":
		return "nothing was left under the name " + s.path
	case s.allowed != nil:
		names := make([]string, 0, len(s.allowed))
		for p := range s.allowed {
			names = append(names, p)
		}
		slices.Sort(names)
		return "nothing was changed under the names " + joinNames(names)
	}
	return "nothing was changed in " + s.path
}

// joinNames lists names in a sentence.
func joinNames(names []string) string {
	out := ""
	for i, n := range names {
		switch {
		case i == 0:
		case i == len(names)-1:
			out += " and "
		default:
			out += ", "
		}
		out += n
	}
	return out
}

func (s *Set) interrupted() error {
	return &InterruptedError{s.path, s.left(), context.Cause(s.ctx)}
}

func (s *Set) failed(p string, err error) error {
	return &WriteError{s.show(p), s.left(), err}
}

// notOurs is the error for a name that something else holds.
func (s *Set) notOurs(p string) error {
	if s.manifest == "" {
		return &ExistsError{s.show(p)}
	}
	return &TargetError{s.show(p),
		fmt.Sprintf("%s is there and not listed in %s, so it is kept", s.show(p), path.Join(s.path, s.manifest)),
		"move it away or choose another folder with -o", nil}
}

// setFile is one file of a set.
type setFile struct {
	sink
	set    *Set
	name   string
	f      *os.File
	closed bool
}

// Write implements io.Writer.
func (f *setFile) Write(p []byte) (int, error) {
	n, err := f.sink.Write(p)
	if err != nil {
		err = f.fail()
	}
	return n, err
}

// Close implements io.Closer; a second call does nothing.
func (f *setFile) Close() error {
	f.set.mu.Lock()
	defer f.set.mu.Unlock()
	if f.closed || f.set.done {
		return nil
	}
	f.closed = true
	if err := f.f.Close(); err != nil && f.err == nil {
		f.err = err
	}
	return f.record()
}

// fail notes the file's error in the set, so that Commit refuses even when the
// caller lost it, and returns it with the file's name.
func (f *setFile) fail() error {
	f.set.mu.Lock()
	defer f.set.mu.Unlock()
	return f.record()
}

// record is fail with the set locked.
func (f *setFile) record() error {
	if f.err == nil {
		return nil
	}
	var err error
	if f.ctx.Err() != nil {
		err = f.set.interrupted()
	} else {
		err = f.set.failed(f.name, f.err)
	}
	if f.set.err == nil {
		f.set.err = err
	}
	return err
}
