package job

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strings"
	"time"
)

// A MissingError reports that there is no job of that name.
type MissingError struct {
	Name, Dir string
	Have      []string // the jobs that there are
}

// Error implements error.
func (e *MissingError) Error() string {
	if len(e.Have) == 0 {
		return fmt.Sprintf("there is no job %s in %s, nor any other; start one with backporch job new, or give another folder with --bench", e.Name, e.Dir)
	}
	have := e.Have
	more := ""
	if len(have) > 10 {
		have, more = have[:10], fmt.Sprintf(" and %d more", len(have)-10)
	}
	return fmt.Sprintf("there is no job %s in %s; there %s %s%s", e.Name, e.Dir,
		map[bool]string{true: "is", false: "are"}[len(e.Have) == 1], strings.Join(have, ", "), more)
}

// Is makes errors.Is(err, fs.ErrNotExist) true.
func (e *MissingError) Is(target error) bool { return target == fs.ErrNotExist }

// List reads all jobs of the folder, by name. A damaged file is in broken, and
// the others are listed all the same. JSON files of other kinds are left out. A
// folder that does not exist has no jobs.
func (b *Bench) List() (jobs []*Job, broken []error, err error) {
	names, strange, err := b.names()
	if err != nil {
		return nil, nil, err
	}
	for _, name := range names {
		j, err := b.Open(name)
		var other *otherSchema
		switch {
		case errors.As(err, &other):
		case err != nil:
			broken = append(broken, err)
		default:
			jobs = append(jobs, j)
		}
	}
	return jobs, append(broken, strange...), nil
}

// names lists the names of files that may be jobs, and of copies whose file is
// missing; what only looks like one is in strange.
func (b *Bench) names() (names []string, strange []error, err error) {
	all, err := os.ReadDir(b.Dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil, nil
	}
	if err != nil {
		return nil, nil, fmt.Errorf("the folder %s cannot be read: %w; give another folder with --bench", b.Dir, bare(err))
	}
	for _, e := range all {
		name, isJob := strings.CutSuffix(e.Name(), jobSuffix)
		if !isJob {
			name, isJob = strings.CutSuffix(e.Name(), copySuffix)
		}
		switch {
		case !isJob || e.IsDir() || strings.HasPrefix(name, "."):
		case CheckName(name) != nil:
			if strings.HasSuffix(e.Name(), jobSuffix) {
				strange = append(strange, fmt.Errorf("%s is not listed: %w; rename the file", e.Name(), CheckName(name)))
			}
		default:
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return slices.Compact(names), strange, nil
}

// unknown says that there is no such job, and which there are.
func (b *Bench) unknown(name string) error {
	names, _, _ := b.names()
	return &MissingError{name, b.Dir, names}
}

// goodCopy reads the last good copy; nil if there is none that is good.
func (f *files) goodCopy() (*content, error) {
	data, err := readFile(f.copyPath, f.copyPath)
	if err != nil {
		return nil, err
	}
	return parse(data)
}

// missing says that a job's file is gone and its copy is not.
func (f *files) missing(good *content) error {
	return fmt.Errorf("the file of job %s is missing (%s), but its last good copy has %s, the last of %s; bring it back: %s",
		f.name, f.path, count(len(good.entries), "entry", "entries"), last(good), moves([2]string{f.copyPath, f.real}))
}

// behind says that a job's file has fewer entries than its copy, which no
// program makes: it was cut by hand or brought back from a backup.
func (f *files) behind(c, good *content) error {
	return fmt.Errorf("%s has %s, and its last good copy %s has %d, the last of %s: the file was shortened or replaced by an older one; nothing is written until one of them is chosen: to go on from the copy, %s; to go on from the file, %s",
		f.path, count(len(c.entries), "entry", "entries"), f.copyPath, len(good.entries), last(good),
		moves([2]string{f.real, f.real + ".short"}, [2]string{f.copyPath, f.real}), moves([2]string{f.copyPath, f.copyPath + ".long"}))
}

// explain makes an error for people of what parse said.
func (f *files) explain(err error, good *content) error {
	var newer newerSchema
	var other *otherSchema
	var bad *flaw
	switch {
	case errors.As(err, &newer):
		return &NewerError{f.path, string(newer)}
	case errors.As(err, &other) && good == nil:
		return fmt.Errorf("%s is no job: %w; give the name of another file", f.path, err)
	case errors.As(err, &bad):
		d := &DamageError{Path: f.path, Line: bad.line, Column: bad.column, Reason: bad.reason}
		if good != nil {
			d.Copy, d.Entries, d.Last = f.copyPath, len(good.entries), last(good)
		}
		return d
	}
	return err
}

// last is the time of the last entry.
func last(c *content) string {
	return c.entries[len(c.entries)-1].Time.Format(time.DateTime) + " UTC"
}
