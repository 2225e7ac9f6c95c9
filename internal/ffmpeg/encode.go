package ffmpeg

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"
)

// Encode is Run for arguments that write a file; progress, if not nil, is told
// how many frames the encoder has done. An encoder that this ffmpeg was built
// without is an *EncoderError.
func (t *Tool) Encode(ctx context.Context, stdin io.Reader, progress func(frames int), args ...string) error {
	var report io.Writer
	if progress != nil {
		report = &reports{to: progress}
		args = append([]string{"-progress", "pipe:1", "-stats_period", "0.2"}, args...)
	}
	err := t.Run(ctx, stdin, report, args...)
	if run, ok := err.(*RunError); ok {
		if m := regexp.MustCompile(`Unknown encoder '([^']+)'`).FindStringSubmatch(run.Tail); m != nil {
			return &EncoderError{Version: t.Version, Encoder: m[1], Err: err}
		}
	}
	return err
}

// EncoderError says that the installed ffmpeg lacks an encoder.
type EncoderError struct {
	Version, Encoder string
	Err              error
}

func (e *EncoderError) Error() string {
	return fmt.Sprintf("the installed ffmpeg (%s) was built without the encoder %s; install one that has it, for example the ffmpeg of Debian or of Homebrew", e.Version, e.Encoder)
}

// Unwrap returns what ffmpeg said.
func (e *EncoderError) Unwrap() error { return e.Err }

// Full reports whether ffmpeg stopped because no space was left.
func (e *RunError) Full() bool { return strings.Contains(e.Tail, "No space left on device") }

// reports reads what -progress prints, lines of key=value, and hands on the
// number of frames.
type reports struct {
	to   func(frames int)
	part []byte // of a line
}

// Write implements io.Writer.
func (r *reports) Write(p []byte) (int, error) {
	r.part = append(r.part, p...)
	for {
		line, rest, ok := bytes.Cut(r.part, []byte("\n"))
		if !ok {
			return len(p), nil
		}
		r.part = rest
		if v, ok := bytes.CutPrefix(line, []byte("frame=")); ok {
			if n, err := strconv.Atoi(strings.TrimSpace(string(v))); err == nil {
				r.to(n)
			}
		}
	}
}
