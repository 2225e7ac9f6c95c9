//go:build unix

package output

import (
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func fifo(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "fifo")
	require.NoError(t, syscall.Mkfifo(path, 0o666))
	return path
}

func TestDirectFIFO(t *testing.T) {
	path := fifo(t)
	got := make(chan string, 1)
	go func() {
		data, _ := os.ReadFile(path)
		got <- string(data)
	}()
	require.NoError(t, File(t.Context(), path, false, nil, text("stream")), "a FIFO needs no force")
	assert.Equal(t, "stream", <-got)
	info, err := os.Lstat(path)
	require.NoError(t, err)
	assert.NotZero(t, info.Mode()&os.ModeNamedPipe, "it is still a FIFO")
	holds(t, filepath.Dir(path), "fifo")
}

func TestDirectFIFONobodyReads(t *testing.T) {
	path := fifo(t)
	ctx, cancel := context.WithTimeout(t.Context(), 50*time.Millisecond)
	defer cancel()
	err := File(ctx, path, false, nil, never(t))
	assert.EqualError(t, err, "interrupted while writing "+path+"; nothing was sent")
}

func TestDirectFIFOReaderStalls(t *testing.T) {
	path := fifo(t)
	r, err := os.OpenFile(path, os.O_RDONLY|syscall.O_NONBLOCK, 0)
	require.NoError(t, err)
	defer r.Close()
	ctx, cancel := context.WithTimeout(t.Context(), 50*time.Millisecond)
	defer cancel()
	frame := make([]byte, 4<<20) // more than an enlarged pipe holds
	err = File(ctx, path, false, nil, func(w io.Writer) error {
		_, err := w.Write(frame)
		return err
	})
	var ie *InterruptedError
	require.ErrorAs(t, err, &ie)
	assert.Contains(t, err.Error(), "bytes were sent before", "the blocked write was ended, not left behind")
}

func TestDirectFIFOReaderLeaves(t *testing.T) {
	path := fifo(t)
	go func() {
		r, err := os.Open(path)
		if err == nil {
			_, _ = io.ReadFull(r, make([]byte, 10))
			_ = r.Close()
		}
	}()
	frame := make([]byte, 4<<20)
	err := File(t.Context(), path, false, nil, func(w io.Writer) error {
		_, err := w.Write(frame)
		return err
	})
	require.Error(t, err)
	assert.True(t, IsClosedPipe(err), "%v", err)
	assert.Contains(t, err.Error(), "the reading side was closed")
}

func TestDirectBlockedWithoutDeadline(t *testing.T) {
	r, w := io.Pipe() // nobody reads r
	defer r.Close()
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Millisecond)
	defer cancel()
	start := time.Now()
	err := File(ctx, "-", false, w, text("frame"))
	assert.EqualError(t, err, "interrupted while writing standard output; what was sent is incomplete")
	assert.Less(t, time.Since(start), 5*time.Second)
}

func TestDirectDevices(t *testing.T) {
	require.NoError(t, File(t.Context(), os.DevNull, false, nil, text("x")))
	if _, err := os.Stat("/dev/full"); err != nil {
		t.Skip("this system has no /dev/full")
	}
	// full(4): writes fail with ENOSPC.
	err := File(t.Context(), "/dev/full", false, nil, text("x"))
	require.ErrorIs(t, err, syscall.ENOSPC)
	assert.EqualError(t, err, "/dev/full: the disk is full; nothing was sent; free some space or choose another place with -o")
}

func TestDirectSocket(t *testing.T) {
	path := filepath.Join(t.TempDir(), "s")
	fd, err := syscall.Socket(syscall.AF_UNIX, syscall.SOCK_STREAM, 0)
	require.NoError(t, err)
	defer syscall.Close(fd)
	require.NoError(t, syscall.Bind(fd, &syscall.SockaddrUnix{Name: path}))
	err = File(t.Context(), path, false, nil, never(t))
	var te *TargetError
	require.ErrorAs(t, err, &te)
	assert.ErrorIs(t, err, syscall.ENXIO)
	assert.Contains(t, err.Error(), path+" cannot be opened for writing")
}

func TestIsClosedPipe(t *testing.T) {
	for _, tt := range []struct {
		err  error
		want bool
	}{
		{nil, false},
		{&os.PathError{Op: "write", Path: "|1", Err: syscall.EPIPE}, true},
		{io.ErrClosedPipe, true},
		{&WriteError{Path: "x", Err: syscall.EPIPE}, true},
		{syscall.ENOSPC, false},
		{errors.New("broken pipe"), false}, // by type, not by words
	} {
		assert.Equal(t, tt.want, IsClosedPipe(tt.err), "%v", tt.err)
	}
}
