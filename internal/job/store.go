package job

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"time"
)

// A Job is a record as it was read: the entries, oldest first, and whatever
// else the file holds.
type Job struct {
	Name    string // of the file, without .json
	Path    string
	Entries []Entry
	// Warnings are whole sentences on what a person should know of the files;
	// the record itself is whole.
	Warnings []string

	content *content // the file: never written otherwise
}

// A Bench is a workshop folder.
type Bench struct {
	Dir string
	Now func() time.Time // nil: time.Now

	wait time.Duration // for a lock; 0: lockWait
	step func(string)  // is told how far a write has come; tests stop there
}

// An ExistsError reports a name that is taken.
type ExistsError struct{ Name, Path string }

// Error implements error.
func (e *ExistsError) Error() string {
	return fmt.Sprintf("there is a job %s already (%s); choose another name, or go on with that one", e.Name, e.Path)
}

// Is makes errors.Is(err, fs.ErrExist) true.
func (e *ExistsError) Is(target error) bool { return target == fs.ErrExist }

// Create starts a job with the description of a set as its first entry. The
// folder is made if need be. A name that exists is an error.
func (b *Bench) Create(ctx context.Context, name string, first Entry) (*Job, error) {
	if first.Kind != KindSet {
		return nil, fmt.Errorf("job %s: the first entry must describe the set, and this is of the kind %q", name, first.Kind)
	}
	if first.Corrects != 0 {
		return nil, fmt.Errorf("job %s: the first entry can correct nothing, and this corrects entry %d", name, first.Corrects)
	}
	if err := CheckName(name); err != nil {
		return nil, err
	}
	if err := os.MkdirAll(b.Dir, 0o777); err != nil {
		return nil, fmt.Errorf("the folder %s cannot be made: %w; choose another one", b.Dir, bare(err))
	}
	f, err := b.files(name)
	if err != nil {
		return nil, err
	}
	if err := f.free(); err != nil {
		return nil, err
	}
	b.stamp(&first, 1)
	if err := first.Validate(); err != nil {
		return nil, err
	}
	c, err := fresh(first)
	if err != nil {
		return nil, err
	}
	unlock, err := f.lock(ctx, b.wait)
	if err != nil {
		return nil, err
	}
	defer unlock()
	if err := f.free(); err != nil { // another may have been faster
		return nil, err
	}
	return b.write(ctx, f, c, true)
}

// free says why no job can be made under that name.
func (f *files) free() error {
	if there, err := f.here(); err != nil {
		return err
	} else if there {
		return &ExistsError{f.name, f.path}
	}
	if c, err := f.goodCopy(); err == nil && c != nil {
		return f.missing(c)
	}
	return nil
}

// Open reads a job.
func (b *Bench) Open(name string) (*Job, error) {
	f, err := b.files(name)
	if err != nil {
		return nil, err
	}
	return b.open(f)
}

func (b *Bench) open(f *files) (*Job, error) {
	there, err := f.here()
	if err != nil {
		return nil, err
	}
	// A writer puts the copy in place after the file. Read in this order, the
	// copy is never ahead of the file on account of a writer.
	kept, _ := readFile(f.copyPath, f.copyPath)
	if !there {
		if good, _ := parse(kept); good != nil {
			return nil, f.missing(good)
		}
		return nil, b.unknown(f.name)
	}
	data, err := readFile(f.real, f.path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, b.unknown(f.name)
	}
	if err != nil {
		return nil, err
	}
	c, err := parse(data)
	if err == nil && bytes.Equal(data, kept) {
		return f.job(c), nil
	}
	good, _ := parse(kept)
	if err != nil {
		return nil, f.explain(err, good)
	}
	if good != nil && len(good.entries) > len(c.entries) {
		return nil, f.behind(c, good)
	}
	return f.job(c), nil
}

func (f *files) job(c *content) *Job {
	return &Job{Name: f.name, Path: f.path, Entries: c.entries, content: c}
}

// Append adds the entry that make returns for the job as it stands, under a
// lock that other writers wait for, and returns the job with it. ID, Time are
// filled in. Nothing is written if make returns an error.
func (b *Bench) Append(ctx context.Context, name string, make func(*Job) (Entry, error)) (*Job, error) {
	f, err := b.files(name)
	if err != nil {
		return nil, err
	}
	if there, err := f.here(); err != nil || !there {
		_, err := b.open(f) // says what is the matter, and makes no lock for it
		return nil, err
	}
	unlock, err := f.lock(ctx, b.wait)
	if err != nil {
		return nil, err
	}
	defer unlock()
	j, err := b.open(f)
	if err != nil {
		return nil, err
	}
	c := j.content
	e, err := make(j)
	if err != nil {
		return nil, err
	}
	b.stamp(&e, len(c.entries)+1)
	if err := e.Validate(); err != nil {
		return nil, err
	}
	if err := corrects(c.entries, e); err != nil {
		return nil, err
	}
	more, err := c.with(e)
	if err != nil {
		return nil, fmt.Errorf("job %s: %w", name, err)
	}
	return b.write(ctx, f, more, false)
}

// write stores a file, unless the caller has given up.
func (b *Bench) write(ctx context.Context, f *files, c *content, isNew bool) (*Job, error) {
	if ctx.Err() != nil {
		return nil, fmt.Errorf("interrupted before anything was written to %s: %w", f.path, context.Cause(ctx))
	}
	step := b.step
	if step == nil {
		step = func(string) {}
	}
	warning, err := f.store(c.data, isNew, step)
	if errors.Is(err, fs.ErrExist) && isNew {
		return nil, &ExistsError{f.name, f.path}
	}
	if err != nil {
		return nil, err
	}
	j := f.job(c)
	if warning != "" {
		j.Warnings = append(j.Warnings, warning)
	}
	return j, nil
}

// stamp fills in what no caller may choose.
func (b *Bench) stamp(e *Entry, id int) {
	now := time.Now
	if b.Now != nil {
		now = b.Now
	}
	e.ID, e.Time = id, now().UTC().Truncate(time.Second)
}

// readFile reads a file of bounded size.
func readFile(path, shown string) ([]byte, error) {
	r, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("%s cannot be read: %w; see to its permissions", shown, bare(err))
	}
	defer r.Close()
	data, err := io.ReadAll(io.LimitReader(r, mostBytes+1))
	switch {
	case err != nil:
		return nil, fmt.Errorf("%s cannot be read: %w; see to the disk", shown, bare(err))
	case len(data) > mostBytes:
		return nil, fmt.Errorf("%s is larger than %d MB, which no job is; is it another kind of file?", shown, mostBytes>>20)
	}
	return data, nil
}

// Raw returns an entry as it stands in the file, with keys that this program
// does not know.
func (j *Job) Raw(id int) json.RawMessage {
	if j.content == nil || id < 1 || id > len(j.content.places) {
		return nil
	}
	return j.content.raw(id - 1)
}
