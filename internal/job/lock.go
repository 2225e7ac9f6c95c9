package job

import "github.com/gofrs/flock"

// newLock is the lock of a job; its file stays beside the job.
func newLock(path string) *flock.Flock { return flock.New(path) }
