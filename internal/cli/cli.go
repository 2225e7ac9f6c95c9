// Package cli is the command line: commands, streams and exit codes. It
// computes nothing.
package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"
	"time"

	"backporch/internal/output"
)

// Exit codes: 0 done, 1 work failed, 2 command line wrong, 3 done and out of
// tolerance.
const (
	exitDone   = 0
	exitFailed = 1
	exitUsage  = 2
	exitOut    = 3
)

// errOut ends a command that has measured and said what it found, which is out
// of tolerance, not fit, or cannot be told. Nothing more is printed.
type errOut struct{}

func (errOut) Error() string { return "out of tolerance" }

// Streams are what a command may touch of the outside.
type Streams struct {
	In          io.Reader // nil: none
	Out, Err    io.Writer
	InTerminal  bool // standard input is a terminal: somebody can be asked
	OutTerminal bool // standard output is a terminal
	ErrTerminal bool
	Color       bool // the terminal may be colored: NO_COLOR is not set

	Now func() time.Time // the clock; nil is the computer's
}

// usageError is a wrong command line.
type usageError struct {
	err  error
	path string // of the command, for the hint; "" for none
}

func (e *usageError) Error() string { return e.err.Error() }
func (e *usageError) Unwrap() error { return e.err }

func usagef(format string, args ...any) error {
	return &usageError{err: fmt.Errorf(format, args...)}
}

// Main runs the program on the process's own arguments and streams, and
// returns its exit code. An interrupt cancels the work, which then clears up;
// a second one ends the process at once.
func Main() int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM, syscall.SIGHUP)
	defer stop()
	go func() {
		<-ctx.Done()
		stop()
	}()
	s := &Streams{
		In: os.Stdin, Out: os.Stdout, Err: os.Stderr,
		InTerminal: isTerminal(os.Stdin), OutTerminal: isTerminal(os.Stdout), ErrTerminal: isTerminal(os.Stderr),
		Color: os.Getenv("NO_COLOR") == "",
	}
	return Run(ctx, s, os.Args[1:])
}

// Run runs one command line and returns the exit code.
func Run(ctx context.Context, s *Streams, args []string) int {
	root := newRoot(s, args)
	root.SetArgs(args)
	root.SetOut(s.Out)
	root.SetErr(s.Err)
	err := root.ExecuteContext(ctx)
	switch {
	case err == nil:
		return exitDone
	case output.IsClosedPipe(err):
		return exitFailed // the reader has gone: there is nobody to tell
	case errors.Is(err, errOut{}):
		return exitOut
	}
	fmt.Fprintln(s.Err, "backporch: "+err.Error())
	var usage *usageError
	if errors.As(err, &usage) {
		if usage.path != "" {
			fmt.Fprintf(s.Err, "see `%s --help`\n", usage.path)
		}
		return exitUsage
	}
	// cobra reports an unknown command without a type of its own.
	if strings.HasPrefix(err.Error(), "unknown command ") {
		return exitUsage
	}
	return exitFailed
}
