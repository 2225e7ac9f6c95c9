package output

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"syscall"
	"time"
)

// File makes the file at path out of what write writes.
//
// The writer handed to write is unbuffered: each Write is one write(2) of the
// same bytes, so a writer of frames should hand over whole frames, and a writer
// of small pieces should bring a bufio.Writer. It is not safe for concurrent
// use and fails once ctx is canceled.
//
// A regular file appears under its name only when write has returned nil and
// ctx is not canceled; otherwise the name is as it was before and no hidden
// file stays. Its mode is 0666 before umask. Without force an existing file is
// refused before write is called (*[ExistsError]), and one that appeared
// meanwhile is kept (*[ExistsError] too). Behind a symbolic link it is the
// link's target that is replaced. FIFOs and devices are written in place, and
// path "-" writes to stdout; pipes are enlarged, see [EnlargePipe].
//
// Other errors are *[TargetError] (cannot be written at all), *[WriteError]
// (failed on the way), *[InterruptedError] (ctx canceled), and what write
// itself returned.
func File(ctx context.Context, path string, force bool, stdout io.Writer, write func(w io.Writer) error) error {
	return maker{}.file(ctx, path, force, stdout, write)
}

// maker makes files; tests put something between the sink and the hidden file.
type maker struct {
	wrap func(io.Writer) io.Writer
}

func (m maker) file(ctx context.Context, path string, force bool, stdout io.Writer, write func(w io.Writer) error) error {
	if path == Stdout {
		if f, ok := stdout.(*os.File); ok {
			EnlargePipe(f)
		}
		return direct(ctx, stdout, stdoutName, write)
	}
	t, err := inspect(path, force)
	if err != nil {
		return err
	}
	if ctx.Err() != nil {
		return &InterruptedError{path, t.left(), context.Cause(ctx)}
	}
	if t.direct() {
		return t.writeDirect(ctx, write)
	}
	return m.writeHidden(ctx, t, force, write)
}

// writeHidden writes beside the target and moves the result into place.
func (m maker) writeHidden(ctx context.Context, t *target, force bool, write func(w io.Writer) error) error {
	root, err := os.OpenRoot(t.dir)
	if err != nil {
		return createError(t.path, t.dir, err)
	}
	defer root.Close()
	f, name, err := createHidden(root)
	if err != nil {
		return createError(t.path, t.dir, err)
	}
	kept := false
	defer func() {
		if !kept {
			_ = f.Close() // a second Close is harmless
			_ = root.Remove(name)
		}
	}()

	s := &sink{ctx: ctx, w: f}
	if m.wrap != nil {
		s.w = m.wrap(f)
	}
	own := write(s)
	if err := f.Close(); err != nil && s.err == nil {
		s.err = err // some file systems report a full disk only here
	}
	if err := s.verdict(t.path, t.left(), own); err != nil {
		return err
	}
	if force {
		err = root.Rename(name, t.base)
	} else {
		err = placeNew(root, root.Link, name, t.base)
	}
	switch {
	case errors.Is(err, fs.ErrExist):
		return &ExistsError{t.path}
	case err != nil:
		return &WriteError{t.path, t.left(), err}
	}
	kept = true
	return nil
}

// writeDirect writes a FIFO or device in place.
func (t *target) writeDirect(ctx context.Context, write func(w io.Writer) error) error {
	f, err := t.open(ctx)
	if err != nil {
		return err
	}
	EnlargePipe(f)
	err = direct(ctx, f, t.path, write)
	if cerr := f.Close(); err == nil && cerr != nil {
		return &WriteError{t.path, "it may be incomplete", cerr}
	}
	return err
}

// open opens a direct target. A FIFO without a reader blocks in open(2), which
// no signal ends; when ctx does, its reading side is opened for a moment, which
// lets the call return.
func (t *target) open(ctx context.Context) (*os.File, error) {
	type opened struct {
		f   *os.File
		err error
	}
	c := make(chan opened, 1)
	go func() {
		f, err := os.OpenFile(t.path, os.O_WRONLY, 0)
		c <- opened{f, err}
	}()
	select {
	case o := <-c:
		if o.err != nil {
			return nil, &TargetError{t.path, fmt.Sprintf("%s cannot be opened for writing: %v", t.path, bare(o.err)),
				"choose another place with -o", o.err}
		}
		return o.f, nil
	case <-ctx.Done():
		if t.mode&fs.ModeNamedPipe != 0 {
			r, err := os.OpenFile(t.path, os.O_RDONLY|syscall.O_NONBLOCK, 0)
			if err == nil {
				if o := <-c; o.err == nil {
					_ = o.f.Close()
				}
				_ = r.Close()
			}
		}
		return nil, &InterruptedError{t.path, "nothing was sent", context.Cause(ctx)}
	}
}

// stdoutName is what messages call standard output.
const stdoutName = "standard output"

// grace is how long a canceled direct write may take to notice.
const grace = 500 * time.Millisecond

// direct writes w in place. A write that blocks because nobody reads is ended
// when ctx is: by a deadline where w has them (FIFOs), else by leaving it
// behind after a grace, since the program is about to end.
func direct(ctx context.Context, w io.Writer, name string, write func(w io.Writer) error) error {
	s := &sink{ctx: ctx, w: w, stdout: name == stdoutName}
	if d, ok := w.(interface{ SetWriteDeadline(time.Time) error }); ok {
		stop := context.AfterFunc(ctx, func() { _ = d.SetWriteDeadline(time.Unix(1, 0)) })
		defer stop()
	}
	done := make(chan error, 1)
	go func() { done <- write(s) }()
	var own error
	select {
	case own = <-done:
	case <-ctx.Done():
		select {
		case own = <-done:
		case <-time.After(grace):
			return &InterruptedError{name, "what was sent is incomplete", context.Cause(ctx)}
		}
	}
	if err := s.verdict(name, s.sent(), own); err != nil {
		return err
	}
	return nil
}
