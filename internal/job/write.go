package job

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"syscall"
	"time"

	"backporch/internal/output"
)

// with returns the file with one more entry. All other bytes stay as they are,
// whoever wrote them, and the new ones are read before anybody writes them.
func (c *content) with(e Entry) (*content, error) {
	raw, err := encode(e)
	if err != nil {
		return nil, err
	}
	at, before := c.list[0]+1, "\n    "
	if n := len(c.places); n > 0 {
		at, before = c.places[n-1][1], ",\n    "
	}
	data := slices.Concat(c.data[:at], []byte(before), raw, c.data[at:])
	start := at + len(before)
	more := &content{data, slices.Clip(c.entries), slices.Clip(c.places), [2]int{c.list[0], c.list[1] + len(data) - len(c.data)}}
	if err := more.add(start, start+len(raw)); err != nil {
		return nil, fmt.Errorf("the entry would make the file invalid: %w; nothing was written", err)
	}
	return more, nil
}

// fresh returns a file with one entry.
func fresh(e Entry) (*content, error) {
	raw, err := encode(e)
	if err != nil {
		return nil, err
	}
	return parse(fmt.Appendf(nil, "{\n  \"schema\": %q,\n  \"entries\": [\n    %s\n  ]\n}\n", Schema, raw))
}

// encode spells an entry as it stands in the file, a line for each key.
func encode(e Entry) ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false) // people read it
	enc.SetIndent("    ", "  ")
	if err := enc.Encode(e); err != nil {
		return nil, fmt.Errorf("the entry cannot be written: %w", err)
	}
	return bytes.TrimSpace(b.Bytes()), nil
}

// A WriteError reports that a job could not be written. The record is as it was
// before.
type WriteError struct {
	Path string
	Left string // what stands under the name
	Err  error
}

// Error implements error.
func (e *WriteError) Error() string {
	switch {
	case output.IsFull(e.Err):
		return fmt.Sprintf("%s: the disk is full; %s; free some space and try again", e.Path, e.Left)
	case errors.Is(e.Err, fs.ErrPermission):
		return fmt.Sprintf("%s: no permission to write in the folder %s; %s; choose a folder that you may write in", e.Path, filepath.Dir(e.Path), e.Left)
	}
	return fmt.Sprintf("%s: %v; %s; see to the disk and try again", e.Path, e.Err, e.Left)
}

// Unwrap returns what the system said.
func (e *WriteError) Unwrap() error { return e.Err }

// store puts data under the job's name, so that a program or a machine that
// stops at any moment leaves the old file or the new one, and then under that
// of the copy. The lock must be held. An error of the copy is a warning: the
// record is complete.
func (f *files) store(data []byte, isNew bool, at func(string)) (warning string, err error) {
	if len(data) > mostBytes {
		return "", fmt.Errorf("%s would be larger than %d MB; nothing was written; go on in a new job", f.path, mostBytes>>20)
	}
	left := "the old file is unchanged"
	if isNew {
		left = "nothing was left under that name"
	}
	if err := putFile(f.real, data, isNew, at); err != nil {
		return "", &WriteError{f.path, left, err}
	}
	at("stored")
	if err := putFile(f.copyPath, data, false, at); err != nil {
		return fmt.Sprintf("the entry is recorded, but the good copy %s could not be written: %v", f.copyPath, err), nil
	}
	at("copied")
	return "", nil
}

// putFile writes beside path, syncs, and moves into place. The hidden name is
// always the same, so that what a killed program left is used up by the next.
func putFile(path string, data []byte, isNew bool, at func(string)) (err error) {
	part := filepath.Join(filepath.Dir(path), "."+filepath.Base(path)+".part")
	if err := os.Remove(part); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return bare(err)
	}
	w, err := os.OpenFile(part, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return bare(err)
	}
	defer func() {
		if err != nil {
			_ = w.Close() // a second Close is harmless
			_ = os.Remove(part)
			err = bare(err)
		}
	}()
	at("opened")
	half := len(data) / 2
	if _, err := w.Write(data[:half]); err != nil {
		return err
	}
	at("half")
	if _, err := w.Write(data[half:]); err != nil {
		return err
	}
	if err := w.Sync(); err != nil {
		return err
	}
	if err := w.Close(); err != nil {
		return err
	}
	at("written")
	if err := move(part, path, isNew); err != nil {
		return err
	}
	return syncFolder(filepath.Dir(path))
}

// move renames; a new file does not replace one that has appeared meanwhile.
func move(from, to string, isNew bool) error {
	if isNew {
		err := os.Link(from, to)
		if err == nil || errors.Is(err, fs.ErrExist) {
			_ = os.Remove(from)
			return err
		}
		// Some file systems have no links; the lock keeps other writers out.
	}
	err := os.Rename(from, to)
	// Where a file that somebody reads cannot be replaced, readers are done soon.
	for try := 0; err != nil && runtime.GOOS == "windows" && try < 100; try++ {
		time.Sleep(10 * time.Millisecond)
		err = os.Rename(from, to)
	}
	return err
}

// syncFolder makes a rename outlive a loss of power, on systems and file
// systems that can.
func syncFolder(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return nil // readable folders are not needed for writing
	}
	defer d.Close()
	err = d.Sync()
	if runtime.GOOS == "windows" || errors.Is(err, syscall.EINVAL) || errors.Is(err, errors.ErrUnsupported) {
		return nil
	}
	return err
}

// bare strips the wrapper that would print a hidden file's name.
func bare(err error) error {
	if p := (*fs.PathError)(nil); errors.As(err, &p) {
		return p.Err
	}
	if l := (*os.LinkError)(nil); errors.As(err, &l) {
		return l.Err
	}
	return err
}
