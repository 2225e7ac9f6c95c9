package output

import (
	"context"
	"fmt"
	"io"
)

// sink passes writes straight on, one for one and without a copy, until the
// first error or the end of its context; later calls return the same error.
// It is not safe for concurrent use.
type sink struct {
	ctx context.Context
	w   io.Writer
	n   int64 // bytes that w took
	err error

	stdout bool // w is standard output
}

// Write implements io.Writer.
func (s *sink) Write(p []byte) (int, error) {
	if s.err != nil {
		return 0, s.err
	}
	if err := s.ctx.Err(); err != nil {
		s.err = err
		return 0, err
	}
	n, err := s.w.Write(p)
	s.n += int64(n)
	if err == nil && n < len(p) {
		err = io.ErrShortWrite
	}
	s.err = err
	return n, err
}

// verdict is the error of a finished write: an interruption first, then what
// went wrong on the way to the target even if the writer of the content
// ignored it, then the writer's own error as it is.
func (s *sink) verdict(path, left string, own error) error {
	switch {
	case s.ctx.Err() != nil:
		return &InterruptedError{path, left, context.Cause(s.ctx)}
	case s.err != nil:
		return &WriteError{path, left, s.err}
	}
	return own
}

// sent describes what a direct target has received.
func (s *sink) sent() string {
	if s.n == 0 {
		return "nothing was sent"
	}
	return fmt.Sprintf("%d bytes were sent before", s.n)
}
