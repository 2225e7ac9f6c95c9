package output

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"runtime"
	"syscall"
)

// An ExistsError reports a target that is kept because --force was not given,
// or because it appeared while the new one was being written.
type ExistsError struct {
	Path string
}

// Error implements error.
func (e *ExistsError) Error() string {
	return e.Path + " already exists; use --force to overwrite it"
}

// Is makes errors.Is(err, fs.ErrExist) true.
func (e *ExistsError) Is(target error) bool { return target == fs.ErrExist }

// A TargetError reports a target that cannot be written whatever the content:
// a missing folder, a folder where a file is wanted, no permission, or a
// folder that is not ours to replace.
type TargetError struct {
	Path   string // as the user gave it
	Reason string // a whole clause that names the thing
	Way    string // the way out
	Err    error  // what the system said, or nil
}

// Error implements error.
func (e *TargetError) Error() string { return e.Reason + "; " + e.Way }

// Unwrap returns what the system said.
func (e *TargetError) Unwrap() error { return e.Err }

// A WriteError reports that writing stopped on the way. Left says what stands
// under the name now.
type WriteError struct {
	Path string
	Left string
	Err  error
}

// Error implements error.
func (e *WriteError) Error() string {
	switch {
	case IsFull(e.Err):
		return fmt.Sprintf("%s: the disk is full; %s; free some space or choose another place with -o", e.Path, e.Left)
	case IsClosedPipe(e.Err):
		return fmt.Sprintf("%s: the reading side was closed; %s", e.Path, e.Left)
	}
	return fmt.Sprintf("%s: %v; %s", e.Path, bare(e.Err), e.Left)
}

// Unwrap returns what the system said.
func (e *WriteError) Unwrap() error { return e.Err }

// An InterruptedError reports that the context was canceled before the target
// was complete. Left says what stands under the name now.
type InterruptedError struct {
	Path string
	Left string
	Err  error // the cause of the cancellation
}

// Error implements error.
func (e *InterruptedError) Error() string {
	return fmt.Sprintf("interrupted while writing %s; %s", e.Path, e.Left)
}

// Unwrap returns the cause of the cancellation.
func (e *InterruptedError) Unwrap() error { return e.Err }

// IsClosedPipe reports whether err says that the reader of a pipe has gone.
// On standard output itself the Go runtime raises SIGPIPE and the program dies
// quietly before anyone can ask (package os/signal, "SIGPIPE"); the question
// arises for FIFOs and where SIGPIPE is ignored.
func IsClosedPipe(err error) bool {
	if errors.Is(err, syscall.EPIPE) || errors.Is(err, io.ErrClosedPipe) {
		return true
	}
	// ERROR_BROKEN_PIPE and ERROR_NO_DATA, Windows system error codes.
	return runtime.GOOS == "windows" &&
		(errors.Is(err, syscall.Errno(109)) || errors.Is(err, syscall.Errno(232)))
}

// IsFull reports whether err says that no space, or no quota, is left.
func IsFull(err error) bool {
	if errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT) {
		return true
	}
	// ERROR_DISK_FULL, Windows system error codes.
	return runtime.GOOS == "windows" && errors.Is(err, syscall.Errno(112))
}

// bare strips the wrapper that would print a hidden file's name.
func bare(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	var l *os.LinkError
	if errors.As(err, &l) {
		return l.Err
	}
	return err
}
