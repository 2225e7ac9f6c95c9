package ffmpeg

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// need returns the installed ffmpeg, or skips; BACKPORCH_REQUIRE_TOOLS=1
// makes a missing one a failure, so that a run that should prove something
// cannot pass by skipping.
func need(t *testing.T) *Tool {
	t.Helper()
	tool, err := Find(t.Context())
	if err != nil && os.Getenv("BACKPORCH_REQUIRE_TOOLS") != "1" {
		t.Skip(err)
	}
	require.NoError(t, err)
	return tool
}

func TestFind(t *testing.T) {
	tool := need(t)
	assert.True(t, filepath.IsAbs(tool.Path), tool.Path)
	out, err := exec.Command(tool.Path, "-version").Output()
	require.NoError(t, err)
	assert.True(t, strings.HasPrefix(string(out), "ffmpeg version "+tool.Version+" "), "%s against %s", tool.Version, out)
}

func TestFindMissing(t *testing.T) {
	t.Setenv("PATH", t.TempDir())
	_, err := Find(t.Context())
	var missing *MissingError
	require.ErrorAs(t, err, &missing)
	assert.ErrorIs(t, err, exec.ErrNotFound)
	assert.Contains(t, err.Error(), "install ffmpeg")
}

// A program of the same name that is something else must not be taken for it.
func TestFindOther(t *testing.T) {
	for _, tt := range []struct{ name, script, want string }{
		{"another program", "#!/bin/sh\necho other 1.0\n", `says "other 1.0"`},
		{"a broken one", "#!/bin/sh\nexit 3\n", "exit status 3"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			dir := t.TempDir()
			require.NoError(t, os.WriteFile(filepath.Join(dir, "ffmpeg"), []byte(tt.script), 0o755))
			t.Setenv("PATH", dir)
			_, err := Find(t.Context())
			var missing *MissingError
			require.ErrorAs(t, err, &missing)
			assert.ErrorContains(t, err, tt.want)
		})
	}
}

func TestParseVersion(t *testing.T) {
	for _, tt := range []struct{ name, out, want string }{
		{"a distribution", "ffmpeg version 5.1.9-0+deb12u1 Copyright (c) 2000-2026 the FFmpeg developers\nbuilt with gcc\n", "5.1.9-0+deb12u1"},
		{"a build of a day", "ffmpeg version N-109542-g1bf1466 Copyright (c) 2000-2023\n", "N-109542-g1bf1466"},
		{"nothing", "", ""},
		{"another", "avconv version 9\n", ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, err := parseVersion(tt.out)
			assert.Equal(t, tt.want, got)
			assert.Equal(t, tt.want == "", err != nil)
		})
	}
}

// Bytes go through unchanged: gray samples in, gray samples out.
func TestRun(t *testing.T) {
	tool := need(t)
	in := make([]byte, 16*4)
	for i := range in {
		in[i] = byte(4*i + 1)
	}
	var out bytes.Buffer
	err := tool.Run(t.Context(), bytes.NewReader(in), &out,
		"-f", "rawvideo", "-pix_fmt", "gray", "-s", "16x4", "-i", "pipe:0", "-f", "rawvideo", "pipe:1")
	require.NoError(t, err)
	assert.Equal(t, in, out.Bytes())
}

func TestRunFails(t *testing.T) {
	tool := need(t)
	err := tool.Run(t.Context(), nil, nil, "-i", filepath.Join(t.TempDir(), "nosuch.mov"), "-f", "null", "-")
	var failed *RunError
	require.ErrorAs(t, err, &failed)
	assert.Contains(t, failed.Tail, "nosuch.mov: No such file or directory")
	assert.Contains(t, err.Error(), "ffmpeg failed (exit status 1): ")
	var exit *exec.ExitError
	assert.ErrorAs(t, err, &exit)
}

// A writer that fails ends the run, and its own error comes back.
func TestRunWriterFails(t *testing.T) {
	tool := need(t)
	full := errors.New("disk full")
	err := tool.Run(t.Context(), bytes.NewReader(make([]byte, 1<<20)), failing{full},
		"-f", "rawvideo", "-pix_fmt", "gray", "-s", "1024x1024", "-i", "pipe:0", "-f", "rawvideo", "pipe:1")
	var failed *RunError
	require.ErrorAs(t, err, &failed)
	assert.ErrorIs(t, err, full)
}

type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }

// A run whose input never ends stops when its context does.
func TestRunStops(t *testing.T) {
	tool := need(t)
	r, w := io.Pipe()
	defer w.Close()
	ctx, cancel := context.WithCancelCause(t.Context())
	enough := errors.New("enough")
	time.AfterFunc(100*time.Millisecond, func() {
		cancel(enough)
		_ = w.Close() // what waits for input returns
	})
	start := time.Now()
	err := tool.Run(ctx, r, nil, "-f", "rawvideo", "-pix_fmt", "gray", "-s", "16x4", "-i", "pipe:0", "-f", "null", "-")
	assert.ErrorIs(t, err, enough)
	assert.Less(t, time.Since(start), 5*time.Second)
}

func TestTail(t *testing.T) {
	var b tail
	assert.Empty(t, b.String())
	for i := range 10_000 {
		_, err := b.Write([]byte(strings.Repeat("x", i%50) + "\n\n"))
		require.NoError(t, err)
	}
	_, err := b.Write([]byte("one\ntwo\n  three\nfour\n"))
	require.NoError(t, err)
	assert.Equal(t, "one; two; three; four", b.String())
	assert.LessOrEqual(t, cap(b.b), 4*tailBytes, "the tail grows with what it is given")

	_, err = b.Write([]byte("five\n" + strings.Repeat("y", 3*tailBytes)))
	require.NoError(t, err)
	assert.Equal(t, strings.Repeat("y", tailBytes), b.String(), "a line without an end is cut")
}
