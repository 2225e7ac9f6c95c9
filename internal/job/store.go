package job

import (
	"context"
	"encoding/json"
	"errors"
	"time"
)

// A Job is a record as it was read: the entries, oldest first, and whatever
// else the file holds.
type Job struct {
	Name    string // of the file, without .json
	Path    string
	Entries []Entry

	raw []json.RawMessage // the entries as they stand in the file: never written otherwise
}

// A Bench is a workshop folder.
type Bench struct {
	Dir string
	Now func() time.Time // nil: time.Now
}

// Create starts a job with the description of a set as its first entry. The
// folder is made if need be. A name that exists is an error.
func (b *Bench) Create(ctx context.Context, name string, first Entry) (*Job, error) {
	return nil, errors.New("job: Create: not built yet")
}

// Open reads a job.
func (b *Bench) Open(name string) (*Job, error) { return nil, errors.New("job: Open: not built yet") }

// List reads all jobs of the folder, by name. A damaged file is in broken, and
// the others are listed all the same.
func (b *Bench) List() (jobs []*Job, broken []error, err error) {
	return nil, nil, errors.New("job: List: not built yet")
}

// Append adds the entry that make returns for the job as it stands, under a
// lock that other writers wait for, and returns the job with it. ID, Time are
// filled in. Nothing is written if make returns an error.
func (b *Bench) Append(ctx context.Context, name string, make func(*Job) (Entry, error)) (*Job, error) {
	return nil, errors.New("job: Append: not built yet")
}

// Counting returns the entries that no later one corrects, oldest first.
func (j *Job) Counting() []Entry { return nil }

// Set returns the description that counts.
func (j *Job) Set() *Set { return nil }

// Latest returns the last measurement of a kind that counts: at that stage, or
// at any if stage is "", and of that input, or of any if it is "".
func (j *Job) Latest(w What, s Stage, input string) (*Entry, bool) { return nil, false }
