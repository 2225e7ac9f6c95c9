package job

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"github.com/gofrs/flock"
)

// lockWait is how long a writer waits for another one, which needs some
// milliseconds; lockRetry is how often it tries.
const (
	lockWait  = 10 * time.Second
	lockRetry = 3 * time.Millisecond
)

// A LockedError reports that another program did not give a job free in time.
type LockedError struct {
	Job, Lock string // name of the job, path of the lock file
	Holder    string // what the lock file says of the program, or ""
	Waited    time.Duration
}

// Error implements error.
func (e *LockedError) Error() string {
	who := "another program"
	if e.Holder != "" {
		who = e.Holder
	}
	return fmt.Sprintf("job %s is locked: %s has held %s for more than %v; nothing was written; wait until it is done or end it, and try again (the lock goes with the program: the file need not be removed)",
		e.Job, who, e.Lock, e.Waited)
}

// A WaitError reports that the wait for another program was broken off.
type WaitError struct {
	Job, Lock string
	Err       error
}

// Error implements error.
func (e *WaitError) Error() string {
	return fmt.Sprintf("interrupted while waiting for job %s, which another program has locked with %s; nothing was written", e.Job, e.Lock)
}

// Unwrap returns the cause of the cancellation.
func (e *WaitError) Unwrap() error { return e.Err }

// newLock is the lock of a job; its file stays beside the job, because removing
// it would let two writers in who hold locks on two files of one name. It is
// open to everybody whose umask says so, as the job is.
func newLock(path string) *flock.Flock { return flock.New(path, flock.SetPermissions(0o666)) }

// lock waits for the lock of a job and returns what gives it free.
func (f *files) lock(ctx context.Context, wait time.Duration) (free func(), err error) {
	if wait == 0 {
		wait = lockWait
	}
	// Byte 0 is what some systems lock against reading; it says nothing.
	if n, err := os.OpenFile(f.lockPath, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666); err == nil {
		_, _ = n.WriteString("\n")
		_ = n.Close()
	}
	l := newLock(f.lockPath)
	timed, cancel := context.WithTimeout(ctx, wait)
	defer cancel()
	_, err = l.TryLockContext(timed, lockRetry)
	switch {
	case ctx.Err() != nil:
		_ = l.Close()
		return nil, &WaitError{f.name, f.lockPath, context.Cause(ctx)}
	case errors.Is(err, context.DeadlineExceeded):
		return nil, &LockedError{f.name, f.lockPath, holder(f.lockPath), wait}
	case err != nil:
		return nil, fmt.Errorf("job %s cannot be locked: %s: %w; nothing was written; choose a folder that you may write in, on a disk that can lock files",
			f.name, f.lockPath, bare(err))
	}
	f.sign()
	return func() { _ = l.Close() }, nil
}

// sign writes into the lock file who holds it, for the message to those who
// wait in vain. What is left of an older holder means nothing without the lock.
func (f *files) sign() {
	w, err := os.OpenFile(f.lockPath, os.O_WRONLY, 0)
	if err != nil {
		return
	}
	defer w.Close()
	host, _ := os.Hostname()
	_ = w.Truncate(1)
	_, _ = w.WriteAt(fmt.Appendf(nil, "process %d on %s, since %s\n", os.Getpid(), host, time.Now().UTC().Format(time.RFC3339)), 1)
}

// holder reads what sign wrote, or "".
func holder(path string) string {
	r, err := os.Open(path)
	if err != nil {
		return ""
	}
	defer r.Close()
	b, _ := io.ReadAll(io.NewSectionReader(r, 1, 200))
	line, _, _ := strings.Cut(string(b), "\n")
	if !strings.HasPrefix(line, "process ") {
		return ""
	}
	return line
}
