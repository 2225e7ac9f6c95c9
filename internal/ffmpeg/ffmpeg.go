// Package ffmpeg finds and runs an installed ffmpeg, the general media
// converter, as a process of its own: bytes in, bytes out, and an error that
// quotes what it complained of.
//
// It knows nothing of pictures or of the program's formats; whoever calls it
// says what the bytes are.
package ffmpeg

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os/exec"
	"strings"
	"time"
)

// name is the command that Find looks for on the search path.
const name = "ffmpeg"

// Tool is an installed ffmpeg. It is safe for concurrent use: each Run is a
// process of its own.
type Tool struct {
	Path    string // the file that is run
	Version string // as it names itself, such as "5.1.9-0+deb12u1"
}

// MissingError says that no working ffmpeg is installed.
type MissingError struct {
	Err error // why the one looked for could not be used
}

func (e *MissingError) Error() string {
	return fmt.Sprintf("ffmpeg is needed for this and cannot be run (%v); install ffmpeg, for example with apt-get install ffmpeg or brew install ffmpeg", e.Err)
}

// Unwrap returns the reason.
func (e *MissingError) Unwrap() error { return e.Err }

// Find looks for ffmpeg on the search path and asks its version. The error is
// a *MissingError when there is none that works, or that of ctx.
func Find(ctx context.Context) (*Tool, error) {
	return find(ctx, name)
}

func find(ctx context.Context, name string) (*Tool, error) {
	path, err := exec.LookPath(name)
	if err != nil {
		return nil, &MissingError{err}
	}
	out, err := command(ctx, path, "-version").Output()
	if ctx.Err() != nil {
		return nil, context.Cause(ctx)
	}
	if err != nil {
		return nil, &MissingError{fmt.Errorf("%s -version: %w", path, err)}
	}
	version, err := parseVersion(string(out))
	if err != nil {
		return nil, &MissingError{fmt.Errorf("%s -version: %w", path, err)}
	}
	return &Tool{Path: path, Version: version}, nil
}

// parseVersion takes the version from the first line that ffmpeg prints,
// "ffmpeg version 5.1.9-0+deb12u1 Copyright (c) ...".
func parseVersion(out string) (string, error) {
	line, _, _ := strings.Cut(out, "\n")
	words := strings.Fields(line)
	if len(words) < 3 || words[0] != "ffmpeg" || words[1] != "version" {
		return "", fmt.Errorf("says %q, which is not a version of ffmpeg", line)
	}
	return words[2], nil
}

// RunError says why a run of ffmpeg failed.
type RunError struct {
	Args []string // what it was asked, without the options that Run adds
	Tail string   // the last lines of what it complained of
	Err  error    // how the process ended
}

func (e *RunError) Error() string {
	if e.Tail == "" {
		return fmt.Sprintf("ffmpeg failed: %v", e.Err)
	}
	return fmt.Sprintf("ffmpeg failed (%v): %s", e.Err, e.Tail)
}

// Unwrap returns how the process ended, or the error of a reader or writer.
func (e *RunError) Unwrap() error { return e.Err }

// Run runs ffmpeg with args and waits for it. It reads stdin (nil: nothing)
// where the arguments say pipe:0 and writes to stdout (nil: nowhere) where
// they say pipe:1. It asks nothing of a terminal and prints errors only.
//
// When ctx ends, ffmpeg is stopped and the cause of ctx returned; what stdout
// has by then is not whole. Run returns only when no more is read from stdin,
// so a reader that may wait forever must end with ctx too. Any other failure
// is a *RunError, which holds the error of stdout if that was the cause.
func (t *Tool) Run(ctx context.Context, stdin io.Reader, stdout io.Writer, args ...string) error {
	cmd := command(ctx, t.Path, append([]string{"-hide_banner", "-nostdin", "-v", "error"}, args...)...)
	var complaints tail
	out := &keeper{w: stdout}
	cmd.Stdin, cmd.Stderr = stdin, &complaints
	if stdout != nil {
		cmd.Stdout = out
	}
	err := cmd.Run()
	switch {
	case err == nil:
		return nil
	case ctx.Err() != nil:
		return context.Cause(ctx)
	case errors.Is(err, exec.ErrNotFound):
		return &MissingError{err}
	case out.err != nil:
		err = out.err // the cause; that ffmpeg could not go on then is not
	}
	return &RunError{Args: args, Tail: complaints.String(), Err: err}
}

// command is exec.CommandContext that cannot hang: a stopped process whose
// pipes stay open is given up after a moment.
func command(ctx context.Context, path string, args ...string) *exec.Cmd {
	cmd := exec.CommandContext(ctx, path, args...)
	cmd.WaitDelay = 2 * time.Second
	return cmd
}

// keeper hands on what is written and keeps the first error.
type keeper struct {
	w   io.Writer
	err error
}

func (k *keeper) Write(p []byte) (int, error) {
	n, err := k.w.Write(p)
	if err != nil && k.err == nil {
		k.err = err
	}
	return n, err
}

// tail is a writer that keeps the end of what it is given.
type tail struct{ b []byte }

// The end is at most this many lines and bytes: what fits an error message.
const (
	tailLines = 4
	tailBytes = 1000
)

// Write keeps twice of what String shows, and drops the rest.
func (t *tail) Write(p []byte) (int, error) {
	t.b = append(t.b, p...)
	if over := len(t.b) - 2*tailBytes; over > 0 {
		t.b = append(t.b[:0], t.b[over:]...)
	}
	return len(p), nil
}

// String returns the last lines that say something, on one line.
func (t *tail) String() string {
	b := t.b
	if len(b) > tailBytes {
		b = b[len(b)-tailBytes:]
		if i := bytes.IndexByte(b, '\n'); i >= 0 {
			b = b[i+1:] // from a line's beginning
		}
	}
	var lines []string
	for line := range strings.Lines(string(b)) {
		if line = strings.TrimSpace(line); line != "" {
			lines = append(lines, line)
		}
	}
	lines = lines[max(0, len(lines)-tailLines):]
	return strings.Join(lines, "; ")
}
