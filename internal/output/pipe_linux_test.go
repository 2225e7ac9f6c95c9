package output

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

func TestEnlargePipe(t *testing.T) {
	r, w, err := os.Pipe()
	require.NoError(t, err)
	defer r.Close()
	defer w.Close()
	got := EnlargePipe(w)
	now, err := unix.FcntlInt(r.Fd(), unix.F_GETPIPE_SZ, 0)
	require.NoError(t, err)
	assert.Equal(t, now, got, "what is returned is what the system says")
	limit := 1 << 20
	if f, err := os.Open("/proc/sys/fs/pipe-max-size"); err == nil {
		_, _ = fmt.Fscan(f, &limit)
		_ = f.Close()
	}
	if limit >= pipeSize {
		assert.Equal(t, 1<<20, now)
	}
	assert.Equal(t, now, EnlargePipe(w), "a second call changes nothing")

	_, err = unix.FcntlInt(r.Fd(), unix.F_SETPIPE_SZ, 2<<20)
	if err == nil { // allowed to root only
		assert.Equal(t, 2<<20, EnlargePipe(w), "a larger one is not shrunk")
	}
}

func TestEnlargePipeOfNoPipe(t *testing.T) {
	f, err := os.Create(filepath.Join(t.TempDir(), "f"))
	require.NoError(t, err)
	defer f.Close()
	assert.Zero(t, EnlargePipe(f))
	assert.Zero(t, EnlargePipe(nil))
}

// syscalls is how often this process has called write(2) and its kin: syscw
// in /proc/self/io, proc_pid_io(5).
func syscalls(t *testing.T) int {
	t.Helper()
	f, err := os.Open("/proc/self/io")
	if err != nil {
		t.Skip("no /proc/self/io here: ", err)
	}
	defer f.Close()
	for sc := bufio.NewScanner(f); sc.Scan(); {
		var n int
		if _, err := fmt.Sscanf(sc.Text(), "syscw: %d", &n); err == nil {
			return n
		}
	}
	t.Skip("/proc/self/io has no syscw")
	return 0
}

func TestOneWriteIsOneSystemCall(t *testing.T) {
	frame := make([]byte, 720*480*2)
	const frames = 50
	n := 0
	err := File(t.Context(), filepath.Join(t.TempDir(), "out.uyvy"), false, nil, func(w io.Writer) error {
		before := syscalls(t)
		for range frames {
			if _, err := w.Write(frame); err != nil {
				return err
			}
		}
		n = syscalls(t) - before
		return nil
	})
	require.NoError(t, err)
	// The runtime may wake a thread through an eventfd now and then; frames cut
	// into buffers of 4 or 64 KiB would be hundreds of calls.
	assert.GreaterOrEqual(t, n, frames)
	assert.LessOrEqual(t, n, frames+5)
}

func BenchmarkFile(b *testing.B) {
	frame := make([]byte, 720*480*2)
	b.Run("devnull", func(b *testing.B) {
		err := File(b.Context(), os.DevNull, false, nil, func(w io.Writer) error {
			b.SetBytes(int64(len(frame)))
			b.ReportAllocs()
			for b.Loop() {
				if _, err := w.Write(frame); err != nil {
					return err
				}
			}
			return nil
		})
		require.NoError(b, err)
	})
	b.Run("pipe", func(b *testing.B) {
		r, w, err := os.Pipe()
		require.NoError(b, err)
		go func() {
			buf := make([]byte, 1<<20)
			for {
				if _, err := r.Read(buf); err != nil {
					return
				}
			}
		}()
		err = File(b.Context(), "-", false, w, func(w io.Writer) error {
			b.SetBytes(int64(len(frame)))
			b.ReportAllocs()
			for b.Loop() {
				if _, err := w.Write(frame); err != nil {
					return err
				}
			}
			return nil
		})
		require.NoError(b, err)
		require.NoError(b, w.Close())
	})
}
